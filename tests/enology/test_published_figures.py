"""Every row of the table of published and computed figures: the program agrees, differs for a reason, or lists it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.conftest import MARK
from tests.enology.checks import CHECKS
from tests.enology.listed import DATA, DISAGREES, LISTED
from tests.enology.rows import Row, rows, topic

ROWS = rows()
ROUNDING = 1e-9
NUMERIC = [row for row in ROWS if row.quantity in CHECKS]
AGREED = [row for row in NUMERIC if row.key not in DISAGREES]
DIFFERING = [row for row in NUMERIC if row.key in DISAGREES]


def titles(chosen: list[Row]) -> list[str]:
    return [f"{number} {row.title}" for number, row in enumerate(chosen)]


def misses(row: Row) -> float:
    """How far the program lies outside the row's tolerance; nought or less when it agrees."""
    return abs(CHECKS[row.quantity](row) - row.figure) - float(row.tolerance) - ROUNDING


@pytest.mark.parametrize("row", AGREED, ids=titles(AGREED))
def test_the_program_agrees_within_the_published_tolerance(
    row: Row, record_property: Callable[[str, object], None]
) -> None:
    record_property(MARK, row.seen_or_memory)
    got = CHECKS[row.quantity](row)
    assert misses(row) <= 0.0, f"{got} is not {row.expected} +- {row.tolerance} {row.unit}: {row.source}"


@pytest.mark.parametrize("row", DIFFERING, ids=titles(DIFFERING))
def test_where_the_program_differs_it_does_so_for_a_reason(
    row: Row, record_property: Callable[[str, object], None]
) -> None:
    record_property(MARK, f"rightly differing ({row.seen_or_memory})")
    assert misses(row) > 0.0, f"agrees now, so it should be asserted: {row.title}"
    assert DISAGREES[row.key]


def test_the_printed_hydrometer_table_is_the_ratio_of_water_densities_alone() -> None:
    water = topic("water").water_density
    for row in ROWS:
        if "15 C hydrometer" in row.quantity:
            plain = water(15.0) / water(row.number("T")) - 1.0
            assert plain == pytest.approx(row.figure, abs=float(row.tolerance)), row.title


def test_every_row_is_asserted_or_listed_with_a_reason_and_none_twice() -> None:
    for row in ROWS:
        assert (row.quantity in CHECKS) != (row.quantity in LISTED), row.title


def test_no_check_and_no_reason_stands_without_a_row() -> None:
    quantities = {row.quantity for row in ROWS}
    assert quantities == set(CHECKS) | set(LISTED)
    assert set(DISAGREES) <= {row.key for row in ROWS}


def test_rows_that_are_only_listed_are_counted(record_property: Callable[[str, object], None]) -> None:
    listed = [row for row in ROWS if row.quantity in LISTED]
    for row in listed:
        if LISTED[row.quantity] != DATA:
            record_property(MARK, "listed with a reason")
    assert len(listed) + len(NUMERIC) == len(ROWS) == 885
