"""A slip of the keyboard is weighed like any other entry: no figure that a field takes stops the program."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from typing import Any

import pytest

from cellar_tui.entry_form.entry_form import EntryForm, Opening
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
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError
from tests.entry_form.hands import go_to, press
from tests.laws import statements
from tests.laws.book import Book
from tests.laws.keeping import Keeper, a_cellar, typed
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


@contextmanager
def kept(story: Story) -> Iterator[tuple[OpenCellar, str]]:
    """Write a story into a cellar of its own; hand out the cellar with the name of the vessel."""
    with a_cellar() as service:
        keeper, book = Keeper(service), Book()
        for entry in story.entries:
            assert keeper.write(entry, book)
        yield service, keeper.names[story.vessel]


def slip_typed(service: OpenCellar, vessel: str, body: Body, on: date) -> EntryForm:
    """Type an entry into its form, letter by letter."""
    said = {**typed(body, {}), "at": on.isoformat()}
    form = EntryForm(service, vessel, body.kind, Opening(names=tuple(said)[:-1]))
    for name, text in said.items():
        press(go_to(form, name), "ctrl+u", *text)
    return form


def tried(form: EntryForm) -> Entry | None:
    """Return the entry that Enter would make, with everything that the form says of it; None where it is refused.

    A form refuses in its own words: what a calculation cannot do is no such refusal, and fails here.
    """
    try:
        form.work.preview(form.texts())
    except CellarError as refusal:
        form.settle()
        assert form.told
        assert str(refusal)
        return None
    assert form.work.answer is not None
    form.settle()
    assert form.work.told(form.texts(), 80, stale=False, careful=True, brief=False)
    return form.work.answer.outcomes[0].entry


@pytest.mark.parametrize("story", TOLD, ids=lambda one: one.__name__)
def test_a_slip_that_is_typed_is_weighed_planned_and_explained(story: Callable[[], Story]) -> None:
    told = story()
    base, count = CellarState(told.entries), 0
    with kept(told) as (service, vessel):
        for body in [*slips()][TOLD.index(story) % 2 :: 2]:
            made = tried(slip_typed(service, vessel, body, LATER))
            if made is None:
                continue
            count += 1
            found = consider(base, [written(told.entries, told.vessel, made.body, LATER)])
            for number, plan in found.new.items():
                planner.on_day(plan, LATER + timedelta(days=30))
                look(found.cellar.holds[number], found.cellar.vessels[number], found.cellar.house)
    assert count > 50, "most slips are entries that could be true, and are weighed"


@pytest.mark.parametrize("first", ["spirit", "sugar", "potassium_sorbate", "potassium_bicarbonate", "water"])
@pytest.mark.parametrize("story", TOLD[1::2], ids=lambda one: one.__name__)
def test_a_second_slip_after_a_first_is_weighed_too(story: Callable[[], Story], first: str) -> None:
    told = story()
    told.record(
        LATER.isoformat(), next(one for one in slips() if isinstance(one, k.Addition) and one.material == first)
    )
    told.add(LATER.isoformat(), first, 50.0)
    statements.everything_has_its_reason(told.entries)
    with kept(told) as (service, vessel):
        for body in [*slips()][::12]:
            tried(slip_typed(service, vessel, body, LATER + timedelta(days=1)))


@pytest.mark.parametrize("name", [name for name, one in SETTINGS.items() if not one.words])
def test_a_house_rule_at_either_end_of_its_range_governs(name: str) -> None:
    for value in (SETTINGS[name].low, SETTINGS[name].high):
        for story in TOLD:
            statements.everything_has_its_reason(story().house(**{name: value}).entries)
