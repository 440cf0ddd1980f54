"""Pressure and live yeast that nothing holds stand above every housekeeping line, however late that is."""

from __future__ import annotations

from datetime import date
from pathlib import Path

from cellar_tui.planning.planner import on_day, plan
from cellar_tui.service.round_list import walking_order
from cellar_tui.service.views import Task
from tests.planning.stories import Story, sweetened
from tests.service import house_stories as told
from tests.service.house_stories import Shelf


def tasks(folder: Path, story: str, day: str) -> list[Task]:
    """Return what the board lists on a day for the cellar of a story, in its order."""
    shelf = Shelf(folder)
    service = shelf.open(shelf.find(story))
    try:
        return [one for line in service.view.board(date.fromisoformat(day)).lines for one in line.actions]
    finally:
        service.close()


def test_a_kept_bottle_under_pressure_stands_above_what_is_late(tmp_path: Path) -> None:
    failed = told.SWEET_BOTTLED + "2027-01-17 check test=kept_bottle result=fail fault=pressure\n"
    found = tasks(tmp_path, failed, "2027-06-01")
    assert found[0].action.rule == "bottle_fault"
    assert found[0].action.urgent
    assert any(one.status == "late" and not one.action.urgent for one in found[1:]), "the look at 60 d is late"
    assert sorted(found, key=walking_order)[0] is found[0], "and first on the round"


def test_crystals_in_a_kept_bottle_are_no_pressure(tmp_path: Path) -> None:
    failed = told.SWEET_BOTTLED + "2027-01-17 check test=kept_bottle result=fail fault=crystals\n"
    assert not any(one.action.urgent for one in tasks(tmp_path, failed, "2027-01-18"))


def watch(story: Story) -> list[str]:
    """Return the urgent actions of a wine on 30 November, in the order they are shown."""
    s = story.subject()
    return [one.rule for one in on_day(plan(s.c, s.vessel, s.house), date(2026, 11, 30)).actions if one.urgent]


def test_a_warm_sample_that_makes_gas_asks_at_once() -> None:
    story = sweetened()
    assert watch(story) == []
    story.check("2026-11-19", "warm_bottle", "fail", "pressure")
    assert watch(story) == ["refermentation_watch"]
    assert story.due("refermentation_watch") == ("2026-11-19", "2026-11-19"), "the sample asks again on its own day"
    assert any("made gas" in one.because.reason for one in story.dues("refermentation_watch"))
    assert story.state("yeast") != "shown"


def test_a_later_sample_that_stands_still_ends_it() -> None:
    story = sweetened().check("2026-11-19", "warm_bottle", "fail", "pressure").check("2026-12-05", "warm_bottle")
    assert watch(story) == []
