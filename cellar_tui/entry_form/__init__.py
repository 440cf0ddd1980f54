"""An entry under way: its fields, its draft, its weighing; no Textual."""
