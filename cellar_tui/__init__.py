"""A keyboard-driven cellar dashboard for the terminal."""
