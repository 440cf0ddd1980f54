"""The shelf at the keyboard: what is needed and why, a bag counted, a new material entered, one taken back."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from textual.pilot import Pilot

from cellar_tui.ledger.cellar_kinds import MaterialOnHand
from cellar_tui.service.open import OpenCellar, create_cellar
from cellar_tui.service.views import Request
from cellar_tui.tui.screens.home import HomeScreen
from cellar_tui.tui.screens.materials import MaterialsScreen
from tests.tui.seen import NOW, SETTLED, cellar, flat, lines, opened, text
from tests.tui.typing import rest

KMS = "potassium_metabisulfite"


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    found.close()


async def choose(pilot: Pilot[int], material: str) -> MaterialsScreen:
    """Open the shelf with the cursor on a material."""
    await pilot.press("g")
    await pilot.pause()
    shelf = pilot.app.screen
    assert isinstance(shelf, MaterialsScreen)
    shelf.listing.select([one.material for one in shelf.listing.rows].index(material))
    await pilot.pause()
    return shelf


def last(service: OpenCellar) -> MaterialOnHand:
    entry = service.last_by("ida")
    assert entry is not None
    assert isinstance(entry.body, MaterialOnHand)
    return entry.body


async def test_a_bag_is_counted_and_leaves_the_shopping_list(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await choose(pilot, KMS)
        assert "To get until 24 Feb 2027: potassium metabisulfite" in flat(pilot)
        await pilot.press("enter", *"1/4 kg", "tab", *"95%", "tab", *"2026-08-15", "enter")
        await pilot.pause()
        assert last(service) == MaterialOnHand(KMS, 0.95, date(2026, 8, 15), 250.0)
        assert "To get until 24 Feb 2027: nothing." in flat(pilot)
        assert "250 g 0.95 15 Aug 2026" in flat(pilot)
        service.recorder.record(Request("Barrel 2", "addition", {"material": KMS, "amount": "5"}))
        await pilot.press("escape", "g")
        await pilot.pause()
        assert "245 g 0.95" in flat(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, HomeScreen)


async def test_a_weaker_bag_shows_the_doses_it_moves_before_enter(service: OpenCellar) -> None:
    (due,) = [one for one in service.view.tasks() if one.vessel == "Demijohn 1" and one.action.rule == "sulfite"]
    assert due.action.dose is not None
    async with opened(service, (120, 40)) as pilot:
        await choose(pilot, KMS)
        await pilot.press("enter", "tab", *"0.5")
        await pilot.pause(0.8)
        full = due.action.dose.amount
        assert f"Demijohn 1 · add sulfite: {full:.1f} g → {2 * full:.1f} g" in flat(pilot)


async def test_which_wine_needs_how_much_and_when_is_said_and_worked_out(service: OpenCellar) -> None:
    (due,) = [one for one in service.view.tasks() if one.vessel == "Demijohn 1" and one.action.rule == "sulfite"]
    assert due.action.dose is not None
    async with opened(service, (120, 60)) as pilot:
        await choose(pilot, KMS)
        said = f"26 Nov 2026 · Demijohn 1 · Terrace: {due.action.dose.amount:.1f} g (add sulfite)"
        assert said in flat(pilot)
        await pilot.press("w")
        await pilot.pause()
        assert said in flat(pilot)
        assert "pH 3.50 on 20 Nov 2026" in flat(pilot)
        assert "1000 x 0.576" in flat(pilot)


async def test_a_material_of_the_cellars_own_is_entered_counted_again_and_taken_back(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await pilot.press("g")
        await pilot.pause()
        await pilot.press("a", *"oak chips", "tab", *"2kg", "enter")
        await pilot.pause()
        assert "oak chips is no material of the list" in flat(pilot)
        rest(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert last(service) == MaterialOnHand("oak chips", None, None, 2000.0)
        await pilot.press("escape")
        await choose(pilot, "oak chips")
        await pilot.press("enter", *"1.5kg", "enter")
        await pilot.pause()
        assert last(service).amount == 1500
        assert "1.5 kg" in text(pilot)
        await pilot.press("u")
        await pilot.pause(SETTLED)
        assert "Taken back: on hand: oak chips" in flat(pilot)
        assert service.view.house.stock["oak chips"].amount == 2000


async def test_a_known_material_is_entered_by_its_words_and_measured_in_its_own_unit(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await pilot.press("g")
        await pilot.pause()
        await pilot.press("a", *"so2 solution", "tab")
        await pilot.pause()
        assert "mL" in text(pilot)
        await pilot.press(*"half", "enter")
        await pilot.pause()
        assert "so2_solution" not in service.view.house.stock
        await pilot.press(*["backspace"] * 4, *"0.5L", "enter")
        await pilot.pause()
        assert last(service) == MaterialOnHand("so2_solution", None, None, 500.0)


async def test_an_old_bag_is_marked_by_a_word(service: OpenCellar) -> None:
    service.recorder.set_material(KMS, {"amount": "250g", "opened": "2025-09-01"})
    async with opened(service, (60, 20)) as pilot:
        await choose(pilot, KMS)
        assert "old potassium metabisulfite" in text(pilot)
        assert "opened 451 d ago, it may have lost strength" in flat(pilot)
        await pilot.press("w")
        await pilot.pause()
        assert "trusted for 365 d (house rule bag days, the default)" in flat(pilot)
        await pilot.press("escape", "slash", *"old", "enter")
        await pilot.pause()
        assert "bentonite " not in "\n".join(lines(pilot)[:8])


@pytest.mark.parametrize("name", ["[/]", "[@click=app.quit]x[/]", "[red]Chalk[/]"])
async def test_a_name_is_shown_as_it_is_written(name: str, service: OpenCellar) -> None:
    service.recorder.set_material(name, {"amount": "250g"})
    async with opened(service, (100, 30)) as pilot:
        await choose(pilot, name)
        assert f" {name}" in text(pilot)
        await pilot.press("w")
        await pilot.pause()
        assert f"Why · {name}" in text(pilot)
        await pilot.press("escape", "enter", "3")
        await pilot.pause(0.8)
        assert f"On hand · {name}" in text(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert f"on hand: {name}" in flat(pilot)
    assert service.view.house.stock[name].amount == 3


async def test_an_empty_cellar_says_how_the_first_material_is_entered(tmp_path: Path) -> None:
    service = create_cellar(tmp_path / "empty.db", lambda: NOW, by="ida", zone="UTC")
    async with opened(service) as pilot:
        await pilot.press("g")
        await pilot.pause()
        assert "a enters the first material" in flat(pilot)
    service.close()
