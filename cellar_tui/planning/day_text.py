"""A civil day as it is written, the same in every reason, list and form."""

from __future__ import annotations

from datetime import date

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

YEAR_NAMED_AFTER = 300
"""Days from which a day without its year could be taken for another."""


def short_day(day: date) -> str:
    """Return a day with its year.

    >>> short_day(date(2026, 11, 12))
    '12 Nov 2026'
    """
    return f"{day_and_month(day)} {day.year}"


def day_and_month(day: date) -> str:
    """Return a day without its year.

    >>> day_and_month(date(2026, 11, 12))
    '12 Nov'
    """
    return f"{day.day} {MONTHS[day.month - 1]}"


def near_day(day: date, today: date) -> str:
    """Return a day without its year where that is plain, else its month and year.

    >>> near_day(date(2026, 11, 12), date(2026, 11, 26)), near_day(date(2025, 11, 12), date(2026, 11, 26))
    ('12 Nov', 'Nov 2025')
    """
    if abs((day - today).days) < YEAR_NAMED_AFTER:
        return day_and_month(day)
    return f"{MONTHS[day.month - 1]} {day.year}"
