"""Calculations filled from a wine, and bench trials."""
