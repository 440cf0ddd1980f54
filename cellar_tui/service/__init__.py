"""The one door that front ends use: open a cellar, look at it, record in it."""
