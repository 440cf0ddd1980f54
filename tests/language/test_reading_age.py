"""A figure that says little of the wine of today is shown as old, or not at all."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from cellar_tui.cli import look
from cellar_tui.language import describe_entry, reading_age
from cellar_tui.planning.estimate import Estimate
from cellar_tui.tui.screens.wine_figures import figure_items
from cellar_tui.workbench.prefill import prefill
from tests.tui.demo import demo

TODAY = date(2026, 11, 26)


@pytest.mark.parametrize(
    ("name", "days", "old"),
    [
        ("temperature", 14, False),
        ("temperature", 15, True),
        ("free_so2", 183, False),
        ("free_so2", 184, True),
        ("ph", 365, False),
        ("ph", 366, True),
    ],
)
def test_a_reading_is_old_after_its_days(name: str, days: int, old: bool) -> None:
    assert reading_age.is_old(name, TODAY - timedelta(days=days), TODAY) is old


def test_free_so2_of_a_wine_in_bottles_for_over_a_year_is_old_not_a_number() -> None:
    found = Estimate(9.6, 0.19, 442)
    assert describe_entry.free(found, bare=True) == "old"
    assert describe_entry.molecular(found, bare=True) == "old"
    assert describe_entry.free(found) == "old: last tested 442 d ago"
    assert describe_entry.free(Estimate(26, 0.5, 12), bare=True) == "~26"


def test_a_temperature_of_last_winter_is_old_on_the_page_on_paper_and_no_input() -> None:
    with demo() as service:
        view = service.view.wine("Barrel 2")
        assert view.plan is not None
        read = view.plan.readings["temperature"].on
        assert (view.today - read).days > 200, "the demo's barrel was last measured in its first winter"
        shown = next(one for one in figure_items(view) if "temperature" in one.head)
        assert shown.text.endswith(", old")
        assert shown.tone == "quiet"
        told = "\n".join(look._wine_lines(view, [], working=False))
        assert next(line for line in told.splitlines() if "temperature" in line).endswith(", old")
        assert "temperature" not in prefill(view, view.house)
        fresh = service.view.wine("Steel 2")
        assert "temperature" in prefill(fresh, fresh.house)
