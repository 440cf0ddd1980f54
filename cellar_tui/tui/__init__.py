"""The full-screen interface; it never imports storage."""
