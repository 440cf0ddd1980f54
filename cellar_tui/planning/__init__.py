"""What should come next: rules, verdicts, guards and the plan that follows from what has happened.

Pure: no clock, no randomness, no input or output. Only `on_day` is told what day it is.
"""
