"""Checks made before an entry is accepted: what stops it, waivably or not, and what cautions."""
