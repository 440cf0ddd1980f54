"""How long a reading says something of the wine as it is: what is older is shown as old."""

from __future__ import annotations

from datetime import date

FRESH = {"temperature": 14, "free_so2": 183}
"""Days after which a reading is old; common practice: a cellar's temperature moves within weeks, free SO2 is gone or
was dosed within half a year."""
YEAR = 365
"""Days for every other reading."""
OLD = "old"


def is_old(name: str, on: date, today: date) -> bool:
    """Return whether a reading of a day says little of the wine of today.

    >>> is_old("temperature", date(2025, 12, 28), date(2026, 11, 26))
    True
    """
    return (today - on).days > FRESH.get(name, YEAR)


def mark(name: str, on: date, today: date) -> str:
    """Return what stands behind the day of a reading that is old, "" for another."""
    return f", {OLD}" if is_old(name, on, today) else ""
