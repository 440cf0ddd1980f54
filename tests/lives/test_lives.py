"""Twenty drawn lives, two of each style, half of them kept by a hand that forgets, skips and mistypes.

The suite lives 110 days of each; `python -m tests.bench.lives` lives two hundred for 500 days.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from cellar_tui.planning import planner
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.plan import Action
from cellar_tui.planning.rules import refermentation_watch
from tests.lives import life
from tests.lives.laws import LAWS, lived
from tests.lives.life import Life

DAYS = 110
Plant = Callable[[pytest.MonkeyPatch], None]


@pytest.mark.parametrize("number", range(20))
def test_the_laws_hold_of_a_drawn_life(number: int) -> None:
    told = lived(number, DAYS)
    assert [str(one) for one in told.faults] == []
    assert told.entries > 10


def test_an_attentive_hand_bottles_its_wines() -> None:
    told = [lived(number, 130) for number in (2, 4, 7, 8)]
    assert sum(one.left for one in told) <= 0.05 * sum(one.bottled + one.left for one in told)


def _changed(patch: pytest.MonkeyPatch, change: Callable[[Action], Action | None]) -> None:
    """Let the list of actions be what it is but for one change."""
    sound = planner.actions

    def listed(s: object, rules: object) -> tuple[Action, ...]:
        found = sound(s, rules)  # type: ignore[arg-type]
        return tuple(made for one in found if (made := change(one)) is not None)

    patch.setattr(planner, "actions", listed)


def _before_its_wine(patch: pytest.MonkeyPatch) -> None:
    _changed(patch, lambda one: replace(one, due=one.due - timedelta(days=30), show=one.show - timedelta(days=30)))


def _never_gone(patch: pytest.MonkeyPatch) -> None:
    always = timedelta(days=60)
    _changed(patch, lambda one: replace(one, show=one.show - always) if one.rule == "smell_check" else one)


def _nagging(patch: pytest.MonkeyPatch) -> None:
    often = timedelta(days=57)
    _changed(patch, lambda one: replace(one, show=one.show - often) if one.rule == "smell_check" else one)


def _mute(patch: pytest.MonkeyPatch) -> None:
    _changed(
        patch, lambda one: None if one.rule in ("so2_recheck", "sulfite", "final_so2", "ph_check", "total_so2") else one
    )


def _times(factor: float, *materials: str) -> Plant:
    def dosed(one: Action) -> Action:
        if one.dose is None or one.dose.material not in materials:
            return one
        return replace(one, dose=replace(one.dose, amount=one.dose.amount * factor))

    return lambda patch: _changed(patch, dosed)


def _stopping(patch: pytest.MonkeyPatch) -> None:
    def judge(act: Act) -> list[Finding]:
        return [Finding("planted", "no", True)] if act.entry.body.kind == "racking" else []

    patch.setattr(life, "judge", judge)


def _silent(patch: pytest.MonkeyPatch) -> None:
    sound = Life.plan

    def plan(self: Life, vessel: int) -> object:
        return replace(sound(self, vessel), path=(), actions=())

    patch.setattr(Life, "plan", plan)


FAULTS: dict[str, tuple[Plant, int, int]] = {
    "nothing due before its wine": (_before_its_wine, 4, 2),
    "answered is gone that day": (_never_gone, 4, 22),
    "the list of a day ends": (_never_gone, 4, 22),
    "asked 4 times a month at most": (_nagging, 2, 110),
    "no advice that a guard stops": (_stopping, 4, 60),
    "no dose over a limit": (_times(6, "potassium_metabisulfite"), 4, 40),
    "no dose into a full vessel": (_times(60, "sugar"), 5, 100),
    "no dose too small to weigh": (_times(0.05, "potassium_metabisulfite"), 4, 40),
    "SO2 asked within 60 d": (_mute, 2, 100),
    "what is left says why": (_silent, 4, 40),
}


def test_a_way_to_answer_that_nobody_takes_and_that_leaves_its_action_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    # The hand stands a sample warm; a gravity, the other way, would leave the watch of a cold cellar on the list.
    monkeypatch.setattr(refermentation_watch, "_unanswered", lambda s, start, day: day)
    assert "answered is gone that day" in {one.law for one in lived(18, 70).faults}


@pytest.mark.parametrize("law", LAWS)
def test_a_planted_fault_breaks_its_law(law: str, monkeypatch: pytest.MonkeyPatch) -> None:
    plant, number, days = FAULTS[law]
    plant(monkeypatch)
    assert law in {one.law for one in lived(number, days).faults}
