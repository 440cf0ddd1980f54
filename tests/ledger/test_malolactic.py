"""Malolactic fermentation: wanted, running, done, given up, or alive where it must not be."""

from __future__ import annotations

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.house import House
from cellar_tui.ledger.malolactic import Malolactic, malolactic
from tests.ledger.lines import Lines

HOUSE = House()


def state(lines: Lines) -> Malolactic:
    return malolactic(lines.held(), HOUSE)


def red() -> Lines:
    """A finished red that is to go through malolactic fermentation."""
    lines = Lines(23)
    lines.finished(style="dry_red")
    return lines


def white() -> Lines:
    """A finished white that is not."""
    lines = Lines(23)
    lines.finished(style="dry_white")
    return lines


def test_wanted_and_not_begun_it_may_come_alive() -> None:
    assert (state(red()).state, state(red()).live) == ("none", True)
    assert (state(white()).state, state(white()).live) == ("none", False)


@pytest.mark.parametrize(("malic", "done"), [(0.19, True), (0.2, False)])
def test_malic_acid_under_two_tenths_shows_it_done(malic: float, done: bool) -> None:
    lines = red()
    reading = lines.read("2026-10-20", malic=malic)
    assert (state(lines).state == "done") is done
    assert not done or state(lines).entries == (reading,)


@pytest.mark.parametrize(("second", "done"), [("2026-10-29", False), ("2026-10-30", True)])
def test_two_chromatograms_ten_days_apart_show_it_done(second: str, done: bool) -> None:
    lines = red()
    for at in ("2026-10-20", second):
        lines.write(at, k.Check(test="chromatogram", result="pass"), 1)
    assert (state(lines).state == "done") is done


def test_a_malic_spot_between_two_clear_chromatograms_begins_again() -> None:
    lines = red()
    for at, result in (("2026-10-01", "pass"), ("2026-10-08", "fail"), ("2026-10-15", "pass"), ("2026-10-20", "pass")):
        lines.write(at, k.Check(test="chromatogram", result=result), 1)
    assert state(lines).state == "none"


def test_a_culture_starts_it() -> None:
    lines = red()
    culture = lines.add("2026-10-01", "malolactic_culture", 1)
    found = state(lines)
    assert (found.state, found.entries, found.live) == ("running", (culture,), True)


def test_the_decision_to_leave_it_to_itself_starts_it() -> None:
    lines = red()
    lines.write("2026-10-01", k.Decide(about="malolactic_start", choice="by_itself", reason="warm cellar"), 1)
    assert state(lines).state == "running"


@pytest.mark.parametrize(("grams", "known"), [(0.3, "running"), (0.5, "unknown")])
def test_more_than_ten_milligrams_of_so2_leave_a_running_one_unknown(grams: float, known: str) -> None:
    lines = red()
    lines.add("2026-10-01", "malolactic_culture", 1)
    lines.add("2026-10-05", "potassium_metabisulfite", grams)  # 8.6 and 14.4 mg/L in 20 L
    assert state(lines).state == known


def test_given_up_it_is_no_longer_wanted_nor_alive() -> None:
    lines = red()
    lines.add("2026-10-01", "malolactic_culture", 1)
    lines.write("2027-01-01", k.Decide(about="malolactic_overdue", choice="give_up", reason="too cold"), 1)
    assert (state(lines).state, state(lines).live) == ("given_up", False)


@pytest.mark.parametrize(("later", "live"), [(2.21, False), (2.2, True)])
def test_malic_acid_down_by_three_tenths_shows_bacteria_where_none_are_wanted(later: float, live: bool) -> None:
    lines = white()
    lines.read("2026-10-01", malic=2.5)
    lines.read("2026-10-20", malic=later)
    assert state(lines).live is live


def test_a_decision_to_stop_it_forgets_the_fall_before() -> None:
    lines = white()
    lines.read("2026-10-01", malic=2.5)
    lines.read("2026-10-20", malic=1.5)
    lines.write("2026-10-21", k.Decide(about="malolactic_unwanted", choice="stop", reason="it is a white"), 1)
    assert not state(lines).live


def test_wine_with_a_live_one_topped_in_brings_it_along() -> None:
    lines = Lines(23, 23)
    lines.finished(1)
    lines.finished(2, 10, malolactic="running")
    lines.write("2026-10-01", k.Topping(source=2, volume=1.0), 1)
    assert state(lines).live


def test_a_wine_may_come_with_it_done_or_running() -> None:
    for told in ("done", "running"):
        lines = Lines(23)
        lines.finished(malolactic=told)
        assert state(lines).state == told
