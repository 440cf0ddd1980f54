"""The cellar file: an append-only ledger and the board derived from it, in one SQLite database.

This package knows rows, not wine: it takes and gives the tuples of `rows` and never calls back.
"""
