"""Bottles kept back, what they show, and what becomes of a lot that fails."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from cellar_tui.ledger.kinds import DECISIONS
from cellar_tui.planning.plan import STABILITIES
from cellar_tui.planning.planner import plan
from cellar_tui.planning.rules.table import RULE_BY_ID
from tests.planning.stories import Story, arrested, clear, fortified, kept, sweetened
from tests.planning.tables import statements

Window = tuple[str, str] | None
Tale = Callable[[], Story]


def bottled(story: Story, on: str = "2026-12-01") -> Story:
    """That wine in 20 bottles; the story goes on in their store."""
    story.then("bottle", {"count": 20, "size": 750}, on)
    story.vessel = story.last()
    return story


def failed(fault: str = "pressure") -> Story:
    return bottled(kept()).check("2026-12-15", "kept_bottle", "fail", fault)


# "bottled | 14, 90, 365 d; sweetened or arrested also 28, 60 d"
@statements(
    ("not before bottling", kept, None),
    ("14 d after it", lambda: bottled(kept()), "2026-12-15"),
    ("then 90 d after it", lambda: bottled(kept()).check("2026-12-15", "kept_bottle"), "2027-03-01"),
    (
        "then a year",
        lambda: bottled(kept()).check("2026-12-15", "kept_bottle").check("2027-03-01", "kept_bottle"),
        "2027-12-01",
    ),
    ("a look before its day answers nothing", lambda: bottled(kept()).check("2026-12-10", "kept_bottle"), "2026-12-15"),
    ("a late look answers all before it", lambda: bottled(kept()).check("2027-03-10", "kept_bottle"), "2027-12-01"),
    (
        "a skip answers the look that was asked",
        lambda: bottled(kept()).skip("2026-12-05", "kept_bottle_check"),
        "2027-03-01",
    ),
    ("sweetened: 28 d as well", lambda: bottled(sweetened()).check("2026-12-15", "kept_bottle"), "2026-12-29"),
    ("and 60", lambda: bottled(sweetened()).check("2026-12-29", "kept_bottle"), "2027-01-30"),
    ("arrested: 28 d as well", lambda: bottled(arrested()).check("2026-12-15", "kept_bottle"), "2026-12-29"),
    (
        "fortified: spirit holds its sugar",
        lambda: bottled(fortified()).check("2026-12-15", "kept_bottle"),
        "2027-03-01",
    ),
    ("after the last look none", lambda: bottled(kept()).check("2027-12-01", "kept_bottle"), None),
)
def test_kept_bottles_are_looked_at(story: Tale, window: Window) -> None:
    assert story().due("kept_bottle_check") == window


# "a fail names its fault, reopens that verdict, and asks at once: chill, drink, recork, or back to bulk"
@statements(
    ("nothing has failed", lambda: bottled(kept()).check("2026-12-15", "kept_bottle"), None),
    ("a fail asks at once", failed, "2026-12-15"),
    ("until it is decided", lambda: failed().decide("2026-12-16", "bottle_fault", "chill"), None),
    (
        "a later fail asks again",
        lambda: (
            failed().decide("2026-12-16", "bottle_fault", "chill").check("2027-03-01", "kept_bottle", "fail", "haze")
        ),
        "2027-03-01",
    ),
)
def test_a_lot_that_fails_wants_a_decision(story: Tale, window: Window) -> None:
    assert story().due("bottle_fault") == window


def test_a_fault_is_told_of_a_lot_whose_verdict_was_never_shown() -> None:
    assert "a retained bottle showed film" in failed("film").verdict("air").because.reason


def test_the_decision_about_a_lot_cannot_be_skipped() -> None:
    story = failed().skip("2026-12-15", "bottle_fault")
    s = story.subject()
    assert RULE_BY_ID["bottle_fault"].hard
    assert "bottle_fault" in [one.rule for one in plan(s.c, s.vessel, s.house).actions]


@pytest.mark.parametrize("choice", DECISIONS["bottle_fault"])
def test_every_choice_settles_it(choice: str) -> None:
    assert failed().decide("2026-12-16", "bottle_fault", choice).due("bottle_fault") is None


def test_bottles_under_pressure_are_cooled_before_anybody_touches_them() -> None:
    assert "cool the whole lot where it stands" in failed().dues("bottle_fault")[0].because.reason


def test_bottles_that_go_back_to_bulk_are_poured_into_an_empty_vessel() -> None:
    story = failed().decide("2026-12-16", "bottle_fault", "back_to_bulk")
    assert story.due("rack") == ("2026-12-16", "2026-12-16")
    assert failed().decide("2026-12-16", "bottle_fault", "chill").due("rack") is None


def back_in_bulk(filter_: str | None = None) -> Story:
    """Bottled, failed by pressure, and poured back into an empty demijohn on 16 December."""
    story = clear().waive("2026-11-30", *STABILITIES)
    story.then("bottle", {"count": 20, "size": 750, "filter": filter_}, "2026-12-01")
    story.vessel = story.last()
    story.check("2026-12-15", "kept_bottle", "fail", "pressure").decide("2026-12-16", "bottle_fault", "back_to_bulk")
    return story.rack("2026-12-16", to=story.tell_vessel("glass", 15.2))


def test_wine_back_in_bulk_is_planned_like_any_other() -> None:
    story = back_in_bulk()
    assert story.due("rack") is None
    assert story.due("kept_bottle_check") is None
    assert story.due("so2_recheck") == ("2026-12-19", "2026-12-19")  # 3 d after the racking
    assert story.state("yeast") == "lapsed"


def test_a_sterile_bottling_is_undone_by_pouring_the_wine_together_again() -> None:
    assert back_in_bulk("sterile").state("yeast") != "shown"
