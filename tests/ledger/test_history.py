"""Readings as evidence: which free SO2 a dose may rest on, and what the winemaker wants by now."""

from __future__ import annotations

from datetime import date

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.history import free_readings, intents, last_reading, readings
from cellar_tui.ledger.house import House
from tests.ledger.lines import Lines


def free(*strips: tuple[str, float], method: str = "strip") -> list[float]:
    lines = Lines(23)
    lines.finished()
    for at, value in strips:
        lines.read(at, free_so2=value, method=method)
    return [one.value for one in free_readings(lines.held(), House())]


def test_one_strip_over_twenty_is_a_trend_only() -> None:
    assert free(("2026-10-01", 25)) == []
    assert free(("2026-10-01", 20)) == [20]
    assert free(("2026-10-01", 25), method="aspiration") == [25]


def test_the_mean_of_two_strips_of_one_day_counts() -> None:
    assert free(("2026-10-01", 25), ("2026-10-01", 35)) == [30]
    assert free(("2026-10-01", 25), ("2026-10-02", 35)) == []


def test_the_mean_of_two_strips_rests_on_both() -> None:
    lines = Lines(23)
    lines.finished()
    entries = tuple(lines.read("2026-10-01", free_so2=value, method="strip") for value in (25, 35))
    assert free_readings(lines.held(), House())[0].entries == entries


def test_the_last_reading_is_the_last_that_was_taken() -> None:
    lines = Lines(23)
    lines.finished()
    lines.read("2026-10-05", ph=3.3)
    lines.read("2026-10-01", ph=3.1)
    last = last_reading(lines.held(), "ph")
    assert last is not None
    assert (last.value, last.on) == (3.3, date(2026, 10, 5))
    assert [one.value for one in readings(lines.held(), "ph")] == [3.1, 3.3]
    assert last_reading(lines.held(), "malic") is None


@pytest.mark.parametrize(
    ("body", "name", "value"),
    [
        (k.Intent(sweetness=30.0), "sweetness", 30.0),
        (k.Intent(bottling=date(2027, 4, 1)), "bottling", date(2027, 4, 1)),
        (k.Intent(style="sweet_white"), "finish", "sweetened"),
        (k.Decide(about="malolactic_overdue", choice="give_up", reason="x"), "malolactic", "prevented"),
        (k.Decide(about="malolactic_unwanted", choice="let_finish", reason="x"), "malolactic", "encouraged"),
    ],
)
def test_an_intent_or_a_decision_changes_what_is_wanted(body: k.Body, name: str, value: object) -> None:
    lines = Lines(23)
    lines.finished(style="fortified", colour="red", bottling=date(2027, 3, 1))
    before = intents(lines.held())
    lines.write("2026-10-01", body, 1)
    after = intents(lines.held())
    assert (getattr(before, name) != value, getattr(after, name)) == (True, value)


def test_another_style_keeps_the_wished_bottling() -> None:
    lines = Lines(23)
    lines.finished(bottling=date(2027, 3, 1))
    lines.write("2026-10-01", k.Intent(style="sweet_white"), 1)
    assert intents(lines.held()).bottling == date(2027, 3, 1)


def test_a_split_under_a_style_of_its_own_wants_that_and_its_parent_does_not() -> None:
    lines = Lines(23, 10)
    lines.finished()
    lines.write("2026-10-01", k.Split(to=2, volume=5.0, style="sweet_white"), 1)
    assert intents(lines.held(2)).style == "sweet_white"
    assert intents(lines.held(1)).style == "dry_white"
