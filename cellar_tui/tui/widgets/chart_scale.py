"""The scales of a chart: round values up the side, round days along the foot."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import chain, count, takewhile

STEPS = (1, 2, 5)
"""Round steps, times a power of ten."""
ROWS_APART = 1.5
"""Rows that two numbers on the scale lie apart, at least."""
WEEKS = (1, 2)
MONTHS = (1, 2, 3, 6, 12, 24, 60, 120, 240, 600)
WEEK = timedelta(days=7)
SHORT = 10 * WEEK
"""The longest time whose weeks are named."""
NAMED = 8
"""Cells that most names of days take, with the space around them."""


@dataclass(frozen=True, slots=True)
class Levels:
    """Values up the side: the lowest, the highest and the step between two that are named; figures after the point."""

    low: float
    high: float
    step: float
    digits: int

    @property
    def named(self) -> list[float]:
        """The values that are named, lowest first."""
        return [self.low + self.step * place for place in range(round((self.high - self.low) / self.step) + 1)]


def levels(low: float, high: float, digits: int, rows: int) -> Levels:
    """Return the finest round scale that holds both values in so many rows.

    Args:
        low, high: the least and the greatest value that are drawn.
        digits: figures after the point; no step is finer than its last.
        rows: rows of the field.
    """
    begin = max(-digits, math.floor(math.log10(max(high - low, 10.0**-digits) / rows)))
    for power in count(begin):
        for round_step in STEPS:
            size = round_step * 10.0**power
            first, last = math.floor(low / size + 1e-9), math.ceil(high / size - 1e-9)
            last = max(last, first + 1)
            if last - first == 1 or (last - first) * ROWS_APART <= rows - 1:
                return Levels(first * size, last * size, size, max(0, min(digits, -power)))
    raise AssertionError("a step wide enough holds any two values")  # pragma: no cover


def _mondays(first: date, weeks: int) -> Iterator[date]:
    day = first + timedelta(days=-first.weekday() % 7)
    while True:
        yield day
        day += weeks * WEEK


def _firsts(first: date, months: int) -> Iterator[date]:
    """Yield the first days of every month, or of every second, third ... of a year."""
    place = first.year * 12 + first.month - 1
    place += -place % months
    while True:
        day = date(place // 12, place % 12 + 1, 1)
        if day >= first:
            yield day
        place += months


def _until(days: Iterator[date], last: date) -> list[date]:
    return list(takewhile(lambda day: day <= last, days))


def ticks(first: date, last: date, width: int) -> list[date]:
    """Return round days along the foot, as many as can be named: Mondays in a short time, the 1st in a long one."""
    room = max(1, width // NAMED)
    weekly = [_until(_mondays(first, weeks), last) for weeks in WEEKS] if last - first <= SHORT else []
    monthly = (_until(_firsts(first, months), last) for months in MONTHS)
    return next((found for found in chain(weekly, monthly) if len(found) <= room), [])
