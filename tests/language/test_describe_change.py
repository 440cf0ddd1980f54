"""What an entry changes is said once, the same in a form and on the command line."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from cellar_tui.language import describe_change
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.plan import Action, Dose
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Request
from tests.tui.demo import demo


def any_dosed(cellar: OpenCellar) -> Action:
    """Return an action of the demo cellar that has a dose."""
    return next(task.action for task in cellar.view.tasks() if task.action.dose is not None)


def test_where_only_the_dose_moves_the_dose_is_said_and_no_day_twice() -> None:
    with demo() as cellar:
        was = any_dosed(cellar)
        assert was.dose is not None
        now = replace(was, dose=replace(was.dose, amount=was.dose.amount * 2))
        line = describe_change.moved(was.rule, was, now, "metric")
        before, after = line.split(": ", 1)[1].split(" → ")
        assert before != after
        assert short_day(was.show) not in line


def test_where_only_the_window_moves_its_last_day_is_said() -> None:
    with demo() as cellar:
        was = any_dosed(cellar)
        now = replace(was, latest=was.latest + timedelta(days=3))
        line = describe_change.moved(was.rule, was, now, "metric")
        assert line.count("until ") == 2
        before, after = line.split(": ", 1)[1].split(" → ")
        assert before != after


def test_what_is_answered_is_no_longer_due_and_what_comes_new_was_not_due() -> None:
    with demo() as cellar:
        was = any_dosed(cellar)
        assert describe_change.moved(was.rule, was, None, "metric").endswith("→ no longer due")
        assert ": not due → " in describe_change.moved(was.rule, None, was, "metric")


@pytest.mark.parametrize("vessel", ["Demijohn 5", "Barrel 2", "Steel 2"])
def test_the_range_that_stays_free_holds_the_rise_shown_beside_it(vessel: str) -> None:
    with demo() as cellar:
        request = Request(vessel, "addition", {"material": "potassium_metabisulfite", "amount": "2g"})
        outcome = cellar.recorder.record(request, preview=True).outcomes[0]
        assert outcome.before is not None
        assert outcome.after is not None
        assert outcome.share is not None
        assert outcome.before.free_so2 is not None
        assert outcome.after.free_so2 is not None
        assert outcome.before.total_so2 is not None
        assert outcome.after.total_so2 is not None
        total = outcome.after.total_so2 - outcome.before.total_so2
        low, high = (total * part for part in outcome.share)
        assert low <= outcome.after.free_so2 - outcome.before.free_so2 <= high


def test_a_day_is_written_one_way() -> None:
    assert short_day(date(2026, 3, 6)) == "6 Mar 2026"


def test_a_material_without_a_dose_is_said_to_have_none() -> None:
    with demo() as cellar:
        was = any_dosed(cellar)
        assert isinstance(was.dose, Dose)
        line = describe_change.moved(was.rule, was, replace(was, dose=None), "metric")
        assert line.endswith("→ no dose")
