"""Laws of free SO2 over a drawn year, each tried with faults planted against it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import Phase, example, given, settings
from hypothesis import strategies as st

from cellar_tui.planning import small_lot, so2
from cellar_tui.planning.estimate import Fading
from cellar_tui.planning.forecast import outlook
from cellar_tui.planning.plan import Because, Dose, Fact
from cellar_tui.planning.rules import sulfite
from cellar_tui.planning.subject import Subject
from cellar_tui.service import rows
from storage.rows import FillingRow
from tests.laws import so2_statements as laws

YEARS = settings(max_examples=12, deadline=None, phases=(Phase.explicit, Phase.generate))
LOW_AND_LEFT: list[laws.Deed] = [(10, "ph", 0.0), (5, "read", 0.33), (1, "look", 0.0), (40, "look", 0.0)]
"""pH on 31 October, free SO2 of 20 on 5 November, and no hand for months."""
RACKED_AND_LEFT: list[laws.Deed] = [(10, "read", 1.0), (40, "rack", 0.0), (40, "rack", 0.0), (40, "rack", 0.0)]
"""High once, then racked again and again and never read."""


@given(laws.DEEDS, st.sampled_from(("glass", "oak", "steel", "plastic")))
@example(LOW_AND_LEFT, "glass")
@example(RACKED_AND_LEFT, "steel")
@YEARS
def test_free_so2_is_asked_for_and_dosed_soundly_over_a_year(deeds: list[laws.Deed], vessel: str) -> None:
    laws.free_so2_is_asked_for_and_dosed_soundly_over_a_year(deeds, vessel)


@pytest.mark.parametrize("free", [18.0, 26.0, 35.0])
def test_a_reading_on_its_own_day_is_what_is_shown(free: float) -> None:
    laws.a_reading_on_its_own_day_is_what_is_shown(free)


Plant = Callable[[pytest.MonkeyPatch], None]


def _old_reading(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(so2, "fit_until", lambda s: (None if s.free is None else s.free.on + timedelta(days=300), ()))


def _old_ph(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(so2, "ph_until", lambda s: None)


def _both_asked(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(sulfite, "asked", lambda s: None)


def _crumbs(patch: pytest.MonkeyPatch) -> None:
    sound = so2.dose

    def tiny(s: Subject, goal: float | None = None, rests_on: tuple[Fact, ...] = ()) -> Dose | None:
        found = sound(s, goal, rests_on)
        return None if found is None else replace(found, amount=found.amount / 10)

    patch.setattr(so2, "dose", tiny)


def _pinches(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(small_lot, "STEPS", 0)


def _forgotten(patch: pytest.MonkeyPatch) -> None:
    patch.setattr(outlook, "recheck", lambda s, after=None: None if after is None else _late(s, after))


def _late(s: Subject, after: date) -> outlook.Recheck:
    because = so2.target(s).facts
    return outlook.Recheck(date(after.year + 1, 1, 1), Because("so2_recheck", "some day", because))


def _faster_on_the_board(patch: pytest.MonkeyPatch) -> None:
    sound = rows.fading_of

    def fast(row: FillingRow) -> Fading | None:
        found = sound(row)
        return None if found is None else replace(found, loss=2 * found.loss)

    patch.setattr(rows, "fading_of", fast)


@pytest.mark.parametrize(
    ("plant", "deeds"),
    [
        (_old_reading, LOW_AND_LEFT),
        (_old_ph, [(85, "read", 0.33), (20, "look", 0.0)]),
        (_both_asked, [(15, "read", 0.33), (2, "rack", 0.0), (20, "look", 0.0)]),
        (_crumbs, LOW_AND_LEFT),
        (_pinches, LOW_AND_LEFT),
        (_forgotten, RACKED_AND_LEFT),
        (_faster_on_the_board, LOW_AND_LEFT),
    ],
)
def test_a_planted_fault_is_noticed(plant: Plant, deeds: list[laws.Deed], monkeypatch: pytest.MonkeyPatch) -> None:
    plant(monkeypatch)
    with pytest.raises(AssertionError):
        laws.free_so2_is_asked_for_and_dosed_soundly_over_a_year(deeds, "glass")
