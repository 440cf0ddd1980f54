"""Moves by key: racked, split, blended, topped; one entry for every vessel of a wine; a decision and a waiver."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from cellar_tui.entry_form import drafts
from cellar_tui.entry_form.turns import FAMILIES, beside
from cellar_tui.ledger.kinds import Addition, Blend, Decide, Racking, Reading, Split, Topping, Waive
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Request
from cellar_tui.tui.screens.wine import WineScreen
from cellar_tui.tui.widgets.form_panel import FormPanel
from tests.opened import number_of
from tests.tui.seen import SETTLED, cellar, choose, flat, opened


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    assert [one.problem for one in found.check()] == []
    found.close()


@pytest.fixture
def shared(service: OpenCellar) -> OpenCellar:
    """The white wine of 22.7 L lies in a second demijohn too, 9.3 L of it."""
    wine = {"name": "Terrace", "volume": "9.3", "finished": "yes", "alcohol": "12", "total_so2": "40"}
    assert service.recorder.start_wine(Request("Demijohn 9", "wine", wine, "2026-11-01")).saved
    return service


def panel(pilot: Pilot[int]) -> FormPanel:
    return pilot.app.screen.query_one(FormPanel)


async def fill(pilot: Pilot[int], **said: str) -> None:
    """Type into the fields of the open form by their names, in their order on it."""
    form = panel(pilot)
    for name, typed in said.items():
        while form.form is not None and form.form.field.name != name:
            await pilot.press("tab")
        await pilot.press(*typed)
    await pilot.pause()


def newest(service: OpenCellar) -> object:
    entry = service.last_by("ida")
    assert entry is not None
    return entry.body


async def turned(pilot: Pilot[int], vessel: str, key: str, times: int) -> None:
    """Open a form on a vessel and turn it so many times to the next kind of the same work."""
    choose(pilot, vessel)
    await pilot.press(key, *["ctrl+o"] * times)
    await pilot.pause()


async def test_a_wine_is_racked_to_another_vessel(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await turned(pilot, "Demijohn 1", "m", 0)
        assert "Ctrl+O split, blend, topping" in flat(pilot)
        await fill(pilot, to="Demijohn 9", volume="9.5")
        await pilot.press("enter")
        await pilot.pause()
        assert "STOP" not in flat(pilot)
    assert newest(service) == Racking(to=number_of(service, "Demijohn 9"), volume=9.5)


async def test_part_of_a_wine_is_split_off_under_a_name_of_its_own(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await turned(pilot, "Demijohn 1", "m", 1)
        await fill(pilot, to="Demijohn 9", volume="9", name="Terrace late")
        await pilot.press("enter")
        await pilot.pause()
    assert newest(service) == Split(to=number_of(service, "Demijohn 9"), volume=9, name="Terrace late")
    (line,) = [one for one in service.view.board().lines if one.name == "Demijohn 9"]
    assert line.wine == "Terrace late"
    assert line.volume == pytest.approx(9)


async def test_two_wines_are_blended_in_an_empty_vessel(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await turned(pilot, "Demijohn 1", "m", 2)
        await pilot.press("escape")
        assert service.recorder.record(Request("Demijohn 1", "loss", {"volume": "16.7", "reason": "drunk"})).saved
        # A sweet wine and a dry one that is alive: blended without a stop only where a filter is to take the yeast.
        for wine in ("Demijohn 1", "Steel 4"):
            assert service.recorder.record(Request(wine, "intent", {"sterile_filtration": "yes"})).saved
        await turned(pilot, "Demijohn 1", "m", 2)
        await fill(pilot, **{"with": "Steel 4", "volume": "3", "to": "Demijohn 9", "name": "Picnic"})
        await pilot.press("enter")
        await pilot.pause()
    source = number_of(service, "Steel 4")
    assert newest(service) == Blend(source=source, volume=3, to=number_of(service, "Demijohn 9"), name="Picnic")
    held = {one.name: one for one in service.view.board().lines}
    assert held["Demijohn 9"].wine == "Picnic"
    assert held["Demijohn 9"].volume == pytest.approx(9)
    assert held["Steel 4"].volume == pytest.approx(95)


async def test_a_move_turns_into_a_topping(service: OpenCellar) -> None:
    service.recorder.record(Request("Barrel 2", "loss", {"volume": "1", "reason": "tasted"}))
    async with opened(service) as pilot:
        await turned(pilot, "Barrel 2", "m", 3)
        await fill(pilot, **{"with": "outside", "wine": "Regent 24", "volume": "1"})
        await pilot.press("enter")
        await pilot.pause()
    assert newest(service) == Topping(outside=True, wine="Regent 24", volume=1)


async def test_a_volume_of_one_kind_of_move_is_none_of_another_and_comes_back_with_it(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await turned(pilot, "Demijohn 1", "m", 0)
        await fill(pilot, to="Demijohn 9", volume="9")
        await pilot.press("ctrl+o")
        await pilot.pause()
        assert (panel(pilot).texts()["to"], panel(pilot).texts()["volume"]) == ("Demijohn 9", "")
        await pilot.press(*["ctrl+o"] * (len(FAMILIES[0]) - 1))
        await pilot.pause()
        assert panel(pilot).work is not None
        assert panel(pilot).texts()["volume"] == "9"


async def test_a_form_that_turned_leaves_one_draft_not_two(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await turned(pilot, "Demijohn 1", "m", 0)
        await fill(pilot, to="Demijohn 9")
        await pilot.press("ctrl+o", "escape")
        await pilot.pause()
    kept = drafts.kept(drafts.draft_file(service.path, "ida"))
    assert [(one.kind, one.fields) for one in kept] == [("split", {"to": "Demijohn 9"})]


def test_every_kind_of_a_family_is_reached_from_every_other() -> None:
    for family in FAMILIES:
        for kind in family:
            assert {kind, *beside(kind)} == set(family)
    assert beside("reading") == ()


def added(service: OpenCellar, field: str) -> dict[str, float]:
    """Return a field of the additions by vessel."""
    ledger = service.view.ledger()
    return {one.vessel: getattr(one.entry.body, field) for one in ledger if isinstance(one.entry.body, Addition)}


async def test_one_addition_is_shared_by_every_vessel_of_the_wine(shared: OpenCellar) -> None:
    async with opened(shared) as pilot:
        choose(pilot, "Demijohn 1")
        await pilot.press("a")
        await pilot.pause()
        assert "F7 all 2 vessels" in flat(pilot)
        await pilot.press("f7")
        await pilot.pause()
        assert "all 2 vessels of Terrace" in flat(pilot)
        assert "shared by volume" in flat(pilot)
        await fill(pilot, amount="3.2")
        shown = str(pilot.app.screen.query_one("#form-preview", Static).content)
        assert "Demijohn 9: 0.93 g potassium metabisulfite" in " ".join(shown.split())
        await pilot.press("enter")
        await pilot.pause()
        told = "2.3 g potassium metabisulfite in Demijohn 1; 0.93 g potassium metabisulfite in Demijohn 9"
        assert told in flat(pilot)
        # 3.2 g over 22.7 L and 9.3 L: 0.1 g a litre.
        assert added(shared, "amount") == {"Demijohn 1": pytest.approx(2.27), "Demijohn 9": pytest.approx(0.93)}
        await pilot.press("u")
        await pilot.pause(SETTLED)
        assert "Taken back: 2 entries made together" in flat(pilot)


async def test_a_dose_goes_into_each_vessel_of_the_wine(shared: OpenCellar) -> None:
    async with opened(shared) as pilot:
        choose(pilot, "Demijohn 9")
        await pilot.press("a", "f7")
        await pilot.pause()
        await fill(pilot, dose="50 mg/L")
        await pilot.press("enter")
        await pilot.pause()
    assert added(shared, "dose") == {"Demijohn 1": 50, "Demijohn 9": 50}


async def test_an_amount_for_one_vessel_is_none_for_all_of_them(shared: OpenCellar) -> None:
    async with opened(shared) as pilot:
        choose(pilot, "Demijohn 1")
        await pilot.press("a")
        await fill(pilot, amount="9", strength="0.9")
        await pilot.press("f7")
        await pilot.pause()
        assert (panel(pilot).texts()["amount"], panel(pilot).texts()["strength"]) == ("", "0.9")
        await pilot.press("f7")
        await pilot.pause()
        assert "9" in panel(pilot).texts()["amount"]


async def test_a_reading_of_the_wine_is_one_for_each_vessel(shared: OpenCellar) -> None:
    async with opened(shared) as pilot:
        choose(pilot, "Demijohn 1")
        await pilot.press("enter")
        await pilot.pause(0.1)
        await pilot.press("r")
        await pilot.pause()
        panel(pilot).put("ph", "3.4")
        await pilot.press("f7", "enter")
        await pilot.pause()
    for name in ("Demijohn 1", "Demijohn 9"):
        assert shared.view.ledger(name, 1)[0].entry.body == Reading(ph=3.4)


async def test_a_wine_in_one_vessel_offers_no_others(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        choose(pilot, "Demijohn 1")
        await pilot.press("r")
        await pilot.pause()
        assert "F7" not in flat(pilot)
        await pilot.press("f7")
        await pilot.pause()
        assert "the wine lies in no other" in flat(pilot)


async def test_a_decision_and_a_waiver_are_recorded_from_the_wine(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        choose(pilot, "Demijohn 1")
        await pilot.press("enter")
        await pilot.pause(0.1)
        assert isinstance(pilot.app.screen, WineScreen)
        await pilot.press("i", "ctrl+o")
        await fill(pilot, about="malolactic_unwanted", choice="let_finish", reason="round enough")
        await pilot.press("enter")
        await pilot.pause()
        assert newest(service) == Decide(about="malolactic_unwanted", choice="let_finish", reason="round enough")
        await pilot.press("i", "ctrl+o", "ctrl+o")
        await fill(pilot, stability="haze", reason="known wine")
        await pilot.press("enter")
        await pilot.pause()
    assert newest(service) == Waive(stability="haze", reason="known wine")
