"""How many examples each kind of law is tried on; drawn the same way every time, so that a run can be repeated."""

from __future__ import annotations

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from tests.laws.cellars import cellars

QUIET = (HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.large_base_example)

IN_MEMORY = settings(max_examples=30, derandomize=True, deadline=None, suppress_health_check=QUIET)
"""For laws of the core: a cellar is drawn and planned in a few milliseconds."""

ON_DISK = settings(max_examples=10, derandomize=True, deadline=None, suppress_health_check=QUIET)
"""For laws of the kept cellar: every entry is a save that reaches the disk, then a check of the whole file."""

BOOKS = cellars()
SHORT_BOOKS = cellars(3, 9)
ORDERS = st.lists(st.integers(0, 99), min_size=7, max_size=30)
"""In which order the entries of a book were made, by number."""
