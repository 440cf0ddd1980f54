"""An entry under way, without a terminal: what is typed, where the cursor is, what Enter would do."""
