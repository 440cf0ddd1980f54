"""A slip of the keyboard is weighed like any other entry: no figure that a field takes stops the program."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Any

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.effects import weighed_out
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fields import specs
from cellar_tui.ledger.house import SETTINGS
from cellar_tui.ledger.kinds import Body
from cellar_tui.ledger.materials import MATERIALS
from cellar_tui.planning import planner
from cellar_tui.planning.consider import CellarState, consider
from cellar_tui.planning.wine_figures import look
from tests.laws import statements
from tests.planning import stories
from tests.planning.stories import WRITTEN, Story

TOLD = (
    stories.fermenting,
    stories.kept,
    stories.red,
    stories.arrested,
    stories.fortified,
    stories.ready_to_sweeten,
    stories.sweetened,
)
LATER = date(2027, 1, 10)
AMOUNTS = (0.001, 50.0, 100_000.0)


def slips() -> Iterator[Body]:
    """Yield readings at both ends of every field, absurd amounts of every material, and work that leaves nothing."""
    for name, spec in specs(k.Reading):
        if spec.sort == "number":
            for value in (spec.low, spec.high):
                said: dict[str, Any] = {name: value}
                yield k.Reading(**said)
                yield k.Reading(**said, ph=2.2) if name != "ph" else k.Reading(ph=value, free_so2=300.0)
    for material in MATERIALS:
        for amount in AMOUNTS:
            yield weighed_out(k.Addition(material=material), amount, None)
    for temperature in (-10.0, 45.0):
        yield k.Chill(start=True, temperature=temperature, place="fridge")
    for volume in (0.0, 0.0005, 100_000.0):
        yield from (k.Racking(volume=volume), k.Press(volume=volume), k.Loss(volume=volume))
        yield k.Topping(outside=True, wine="Moor", volume=volume)
    yield from (k.Bottle(count=0, size=750), k.Bottle(count=1_000_000, size=20_000), k.Intent(finish_sg=1.2))
    yield from (k.Intent(sweetness=500.0), k.Intent(minimum_age=600.0), k.Intent(molecular_so2=0.0))


def written(made: list[Entry], vessel: int, body: Body, on: date) -> Entry:
    """Return an entry at the end of a ledger."""
    seq = len(made) + 1
    return Entry(seq, seq.to_bytes(16, "big"), on, None, WRITTEN, "Ada", body, vessel)


@pytest.mark.parametrize("story", TOLD, ids=lambda one: one.__name__)
def test_a_slip_is_weighed_planned_and_explained(story: Callable[[], Story]) -> None:
    told = story()
    base = CellarState(told.entries)
    for body in slips():
        found = consider(base, [written(told.entries, told.vessel, body, LATER)])
        for number, plan in found.new.items():
            planner.on_day(plan, LATER + timedelta(days=30))
            look(found.cellar.holds[number], found.cellar.vessels[number], found.cellar.house)


@pytest.mark.parametrize("first", ["spirit", "sugar", "potassium_sorbate", "potassium_bicarbonate", "water"])
@pytest.mark.parametrize("story", TOLD, ids=lambda one: one.__name__)
def test_a_second_slip_after_a_first_is_weighed_too(story: Callable[[], Story], first: str) -> None:
    told = story()
    told.record(
        LATER.isoformat(), next(one for one in slips() if isinstance(one, k.Addition) and one.material == first)
    )
    told.add(LATER.isoformat(), first, 50.0)
    base = CellarState(told.entries)
    statements.everything_has_its_reason(told.entries)
    for body in [*slips()][::3]:
        consider(base, [written(told.entries, told.vessel, body, LATER + timedelta(days=1))])


@pytest.mark.parametrize("name", [name for name, one in SETTINGS.items() if not one.words])
def test_a_house_rule_at_either_end_of_its_range_governs(name: str) -> None:
    for value in (SETTINGS[name].low, SETTINGS[name].high):
        for story in TOLD:
            statements.everything_has_its_reason(story().house(**{name: value}).entries)
