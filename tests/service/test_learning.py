"""The cellar learns its own losses of free SO2 on command, and tells how its forecasts have done."""

from __future__ import annotations

from datetime import date

import pytest

from tests.service.kept import Kept

LOSSES = (("2026-10-02", "40"), ("2026-10-17", "33"), ("2026-11-01", "27"), ("2026-11-16", "22"))
"""About 1.3 % a day, where oak is taken to lose 0.8 %."""


@pytest.fixture
def read(cellar: Kept) -> Kept:
    """The wine in the first barrel, losing faster than oak is taken to."""
    cellar.kept("reading", "2026-10-02", ph="3.3")
    for on, value in LOSSES:
        cellar.kept("reading", on, free_so2=value, method="aspiration")
    return cellar


def test_a_cellar_without_readings_has_nothing_to_learn(cellar: Kept) -> None:
    with cellar.refusal() as refused:
        cellar.service.recorder.learn()
    assert "test free SO2 twice or more" in str(refused.value)


def test_what_one_wine_shows_moves_the_loss_a_part_of_the_way(read: Kept) -> None:
    learned, answer = read.service.recorder.learn()
    assert [(one.rule, one.before, one.wines) for one in learned] == [("loss_oak", 0.008, 1)]
    # The default counts as three wines: a quarter of the way at most, on the scale of ratios.
    assert 0.008 < learned[0].after < 0.008 * (0.0133 / 0.008) ** 0.25 + 1e-5
    assert answer.saved
    assert read.service.view.house.number("loss_oak") == learned[0].after


def test_wines_that_agree_move_it_further(read: Kept) -> None:
    alone, _ = read.service.recorder.learn(preview=True)
    for on, value in LOSSES:
        read.kept("reading", on, target="B2", free_so2=value, method="aspiration")
    both, _ = read.service.recorder.learn(preview=True)
    assert both[0].wines == 2
    assert both[0].after > alone[0].after


def test_a_preview_of_learning_keeps_nothing(read: Kept) -> None:
    before = read.service.view.ledger()
    learned, answer = read.service.recorder.learn(preview=True)
    assert learned[0].moves
    assert not answer.saved
    assert read.service.view.ledger() == before


def test_a_date_moves_only_by_the_entry_that_learning_makes_and_the_why_names_it(read: Kept) -> None:
    read.kept("reading", "2026-11-19", target="B2", free_so2="38", ph="3.3", method="aspiration")
    risk = {name: _risk(read, name) for name in ("B1", "B2")}
    read.kept("reading", "2026-11-20", free_so2="20", method="aspiration")
    assert _risk(read, "B2") == risk["B2"]
    _, answer = read.service.recorder.learn()
    assert _risk(read, "B2") < risk["B2"]
    plan = read.service.view.wine("B2").plan
    assert plan is not None
    assert plan.forecast is not None
    facts = {fact.name: fact.entries for fact in plan.forecast.because.facts}
    assert facts["house rule loss_oak"] == (answer.outcomes[0].entry.seq,)


def test_learning_twice_from_the_same_readings_changes_little_and_undo_takes_it_back(read: Kept) -> None:
    first, answer = read.service.recorder.learn()
    again, _ = read.service.recorder.learn(preview=True)
    assert again[0].after == pytest.approx(first[0].after, rel=0.05)
    read.service.recorder.undo(answer.outcomes[0].entry.seq)
    assert read.service.view.house.number("loss_oak") == 0.008


def test_forecasts_are_scored_over_the_whole_cellar(read: Kept) -> None:
    assert (read.service.view.calibration().inside, read.service.view.calibration().tested) == (3, 3)
    read.kept("reading", "2026-11-01", target="B2", free_so2="38", method="aspiration")
    read.kept("reading", "2026-11-15", target="B2", free_so2="60", method="aspiration")
    score = read.service.view.calibration()
    assert (score.inside, score.tested) == (3, 4)
    assert score.told == "3 of your last 4 readings fell inside the interval"
    assert score.scores[-1].on == date(2026, 11, 16)
    assert read.service.known_on(date(2026, 11, 1)).calibration().tested == 0  # all was entered on 20 November


def _risk(kept: Kept, name: str) -> date:
    plan = kept.service.view.wine(name).plan
    assert plan is not None
    assert plan.forecast is not None
    return plan.forecast.risk_day
