"""Reading between the points of a published table, never beyond its edges."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from cellar_tui.enology.errors import OutOfRange


def linear(points: Sequence[float], cells: Sequence[float], at: tuple[str, float], instead: str) -> float:
    """Value between two cells at the (name, value) `at`; OutOfRange says `instead` where the table does not reach.

    >>> linear((10.0, 12.0), (1.0, 2.0), ("alcohol", 11.0), "measure instead")
    1.5
    """
    index, across = _place(points, *at, instead)
    return cells[index] * (1.0 - across) + cells[index + 1] * across


def bilinear(
    rows: Sequence[float],
    columns: Sequence[float],
    cells: Sequence[Sequence[float]],
    at_row: tuple[str, float],
    at_column: tuple[str, float],
    instead: str,
) -> float:
    """Value between four cells at two (name, value) pairs; OutOfRange says `instead` where the table does not reach.

    >>> bilinear((0.0, 10.0), (0.0, 1.0), ((0.0, 1.0), (10.0, 11.0)), ("row", 5.0), ("column", 0.5), "measure")
    5.5
    """
    row, down = _place(rows, *at_row, instead)
    upper = linear(columns, cells[row], at_column, instead)
    lower = linear(columns, cells[row + 1], at_column, instead)
    return upper * (1.0 - down) + lower * down


def _place(axis: Sequence[float], name: str, value: float, instead: str) -> tuple[int, float]:
    """Index of the point at or below `value` and how far it lies towards the next [0 to 1]."""
    if not axis[0] <= value <= axis[-1]:
        raise OutOfRange(f"{name} {value:g} is outside the table, {axis[0]:g} to {axis[-1]:g}: {instead}", name)
    index = min(bisect_right(axis, value) - 1, len(axis) - 2)
    return index, (value - axis[index]) / (axis[index + 1] - axis[index])
