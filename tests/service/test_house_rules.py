"""Every house rule moves a date, a dose or a verdict, and the why of what moved names the entry that changed it.

The rows stand in `house_table.py`, with how to add one; the wines they speak of in `house_stories.py`.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from cellar_tui.ledger.house import SETTINGS
from cellar_tui.ledger.kinds import Bottle
from cellar_tui.planning.plan import STABILITIES, Fact
from cellar_tui.planning.planner import on_day
from cellar_tui.service.open import OpenCellar
from tests.service import house_stories as told
from tests.service.house_stories import NOW, Shelf, place, say
from tests.service.house_table import AT_SECOND_HAND, ROWS, Row, sulfite

Seen = tuple[Any, tuple[Fact, ...]]
"""What is looked at, None where it is not there, and the inputs of its why."""


def everything(service: OpenCellar) -> dict[str, Seen]:
    """Return every date, dose and verdict of the wine by its name, each with the inputs of its why."""
    plan = service.view.wine(place(service)).plan
    if plan is None:
        return {}
    found: dict[str, Seen] = {}
    for one in plan.actions:
        # One action bears the name of a verdict.
        name = f"{one.rule} action" if one.rule in STABILITIES else one.rule
        found[name] = (one.due, one.latest, one.expires, one.task), one.because.facts
        found[f"{name} reason"] = one.because.reason, one.because.facts
        if one.dose is not None:
            amount = round(one.dose.amount, 3)
            found[f"{one.rule} dose"] = (one.dose.material, amount, one.dose.note), one.dose.because.facts
    found |= {kind: ((one.state, one.until), one.because.facts) for kind, one in plan.verdicts.items()}
    if plan.forecast is not None:
        days = plan.forecast.risk_day, plan.forecast.middle_day
        found["forecast"] = (plan.forecast.target, *days), plan.forecast.because.facts
    return found


def step(service: OpenCellar, name: str) -> Seen:
    """Return the day of a step until bottling, with the house rules of every step that it comes after."""
    plan = service.view.wine(place(service)).plan
    assert plan is not None
    day = next(one.earliest for one in on_day(plan, NOW.date()).path if one.action == name)
    return day, tuple(fact for one in plan.path for fact in one.facts)


def guard(service: OpenCellar, line: str, name: str) -> Seen:
    found = [one for outcome in say(service, line, preview=True).outcomes for one in outcome.findings]
    one = next((one for one in found if one.guard == name), None)
    return one and one.waivable is not None, () if one is None else one.facts


def look(service: OpenCellar, row: Row) -> Seen:
    """Return what a row says is moved, as it stands now, and the inputs of its why."""
    if row.moves in ("today", "units"):
        return getattr(service.view, row.moves), ()
    if row.moves == "lot":
        body = say(service, row.asked, preview=True).outcomes[0].entry.body
        # The number behind it is that of the entry, whatever the pattern.
        return (body.lot or "").partition("-")[0] if isinstance(body, Bottle) else None, ()
    if row.moves == "scale":
        return getattr(say(service, row.asked, preview=True).outcomes[0].entry.body, "scale", None), ()
    if row.moves.startswith("empty "):
        asked = service.view.wine("V").empty
        one = next(one for one in asked.actions if one.rule == row.moves.removeprefix("empty ")) if asked else None
        return (None, ()) if one is None else ((one.due, one.latest), one.because.facts)
    if row.asked:
        return guard(service, row.asked, row.moves.removeprefix("guard "))
    if row.moves.startswith("path "):
        return step(service, row.moves.removeprefix("path "))
    return everything(service).get(row.moves, (None, ()))


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Shelf:
    """The stories told so far."""
    return Shelf(tmp_path_factory.mktemp("stories"))


@pytest.fixture
def cellar(shelf: Shelf, tmp_path: Path, row: Row) -> Iterator[OpenCellar]:
    """A cellar of its own in which the story of the row has happened."""
    shutil.copyfile(shelf.find(row.story), tmp_path / "cellar.db")
    service = shelf.open(tmp_path / "cellar.db")
    yield service
    service.close()


def named(row: Row, why: tuple[Fact, ...]) -> set[tuple[int, ...]]:
    """Return the entries that a why names for the house rule of a row."""
    return {fact.entries for fact in why if fact.name == f"house rule {row.setting}"}


def test_every_house_rule_has_its_row() -> None:
    assert sorted(row.setting for row in ROWS) == sorted(SETTINGS)


@pytest.mark.parametrize("row", [*ROWS, *AT_SECOND_HAND], ids=lambda row: row.setting)
def test_a_house_rule_moves_what_it_decides_and_all_that_moves_names_it(cellar: OpenCellar, row: Row) -> None:
    (before, _), plan_before = look(cellar, row), everything(cellar)
    entry = cellar.recorder.set_rule(row.setting, row.value).outcomes[0].entry.seq
    (after, why), plan_after = look(cellar, row), everything(cellar)
    assert after != before
    assert after is not None
    assert row.moves in ("today", "units", "lot", "scale") or named(row, why) == {(entry,)}
    for name, (value, inputs) in plan_after.items():
        # A dose that comes with its action is explained by the action.
        fresh = name not in plan_before and name.endswith(" dose")
        if not fresh and value != plan_before.get(name, (None, ()))[0]:
            assert named(row, inputs) == {(entry,)}, f"{name} moved"
    cellar.recorder.undo(entry)
    assert look(cellar, row)[0] == before


@pytest.mark.parametrize(
    ("setting", "value", "story", "said"),
    [
        ("second_rack_weeks", "7", told.KEPT, "first racking + 7 weeks"),
        ("total_share", "45", told.KEPT, "sum > 45 % of the limit"),
        (
            "yeast_proof_days",
            "10",
            told.OUT,
            "gravity steady for 10 days at or under the expected dry gravity, or residual sugar",
        ),
        ("bacteria_days", "90", told.SAFE, "free SO2 on target at every reading over 90 days"),
    ],
)
def test_a_why_speaks_of_the_figure_that_the_house_has_set(
    shelf: Shelf, tmp_path: Path, setting: str, value: str, story: str, said: str
) -> None:
    shutil.copyfile(shelf.find(story), tmp_path / "cellar.db")
    service = shelf.open(tmp_path / "cellar.db")
    service.recorder.set_rule(setting, value)
    plan = service.view.wine("V").plan
    assert plan is not None
    whys = [*(one.because for one in plan.actions), *(one.because for one in plan.verdicts.values())]
    assert any(said in why.formula or said in why.reason for why in whys)
    service.close()


def test_what_a_guard_says_names_the_house_rule_that_was_changed(shelf: Shelf, tmp_path: Path) -> None:
    shutil.copyfile(shelf.find(told.OUT), tmp_path / "cellar.db")
    service = shelf.open(tmp_path / "cellar.db")
    entry = service.recorder.set_rule("threefold", "2").outcomes[0].entry.seq
    (stop,) = say(service, sulfite("3.4g"), preview=True).outcomes[0].stops
    assert stop.why.endswith(f"check unit and volume. House rule threefold 2 x (entry {entry}).")
    service.close()


def test_a_step_until_bottling_names_the_house_rule_that_was_changed(shelf: Shelf, tmp_path: Path) -> None:
    shutil.copyfile(shelf.find(told.HEATED), tmp_path / "cellar.db")
    service = shelf.open(tmp_path / "cellar.db")
    entry = service.recorder.set_rule("cold_test_days", "6").outcomes[0].entry.seq
    day = service.view.wine("V").day
    assert day is not None
    (test,) = [one for one in day.path if one.action == "cold_test"]
    assert test.why == f"6 days at -4 C, or conductivity. House rule cold test days 6 d (entry {entry})."
    service.close()
