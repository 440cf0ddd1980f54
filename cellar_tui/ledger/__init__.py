"""What happened in the cellar: the kinds of entry, which of them stand, and the fold to contents.

Pure: no clock, no randomness, no input or output.
"""
