"""The screens of the full-screen interface, one a module."""
