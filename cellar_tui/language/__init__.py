"""What people type and read: no Textual, no store."""
