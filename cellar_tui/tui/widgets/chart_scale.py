"""The scales of a chart: round values up the side, round days along the foot."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import chain, product, takewhile

STEPS = (1, 2, 5)
"""Round steps, times a power of ten."""
ROWS = (4, 3, 2, 1)
"""Rows from one named value to the next: a whole number, so that each stands exactly at its height."""
DECADES = 4
"""Powers of ten that are tried: the widest step is over 100 times what a row must hold."""
HALF = 0.5 - 1e-9
"""A row stands for the values half a row above and below it; what lies between two rows belongs to one of them."""
WEEKS = (1, 2)
MONTHS = (1, 2, 3, 6, 12, 24, 60, 120, 240, 600)
WEEK = timedelta(days=7)
SHORT = 10 * WEEK
"""The longest time whose weeks are named."""
NAMED = 8
"""Cells that most names of days take, with the space around them."""


@dataclass(frozen=True, slots=True)
class Levels:
    """Values up the side.

    Attributes:
        low, high: in the middle of the lowest and of the highest row.
        named: row from below, and the round value that stands there.
        digits: figures after the point.
    """

    low: float
    high: float
    named: tuple[tuple[int, float], ...]
    digits: int


def levels(low: float, high: float, digits: int, rows: int) -> Levels:
    """Return the finest scale that holds both values in so many rows and names two or more round values.

    Args:
        low, high: the least and the greatest value that are drawn.
        digits: figures after the point; no step is finer than its last.
        rows: rows of the field, three or more.
    """
    begin = max(-digits, math.floor(math.log10(max(high - low, 10.0**-digits) / rows)))
    sizes = ((step * 10.0**power / apart, -apart, step, power) for power, step, apart in _steps(begin))
    for size, spread, step, power in sorted(sizes):
        apart = -spread
        base = math.floor(low / size + HALF)
        named = tuple((at, (base + at) // apart * step * 10.0**power) for at in range(-base % apart, rows, apart))
        if base + rows - 1 + HALF >= high / size and len(named) > 1:
            return Levels(base * size, (base + rows - 1) * size, named, max(0, -power))
    raise AssertionError("a row of the widest step holds both values")  # pragma: no cover


def _steps(begin: int) -> Iterator[tuple[int, int, int]]:
    """Yield powers of ten from `begin` on, round steps, and the rows between two of them."""
    return product(range(begin, begin + DECADES), STEPS, ROWS)


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
