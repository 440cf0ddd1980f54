"""Wine chemistry: pure functions on plain floats in stated units, a module a topic, each constant with its source."""
