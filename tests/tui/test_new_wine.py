"""A vessel and a wine entered step by step: by keys alone, then read off the ledger."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from textual.events import Key
from textual.pilot import Pilot

from cellar_tui.entry_form import questions
from cellar_tui.ledger.cellar_kinds import Vessel, WineStart
from cellar_tui.ledger.kinds import Reading
from cellar_tui.ledger.styles import STYLES
from cellar_tui.service.open import OpenCellar, create_cellar, open_cellar
from cellar_tui.service.views import BoardLine, Request
from cellar_tui.tui.screens.home import HomeScreen
from cellar_tui.tui.screens.newcomer import NewVesselScreen, NewWineScreen
from tests.tui.seen import NOW, cellar, choose, flat, lines, opened, text
from tests.tui.typing import rest, write

FEW = 40
"""Keys in which a new cellar has its first reading and its first due date."""


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[OpenCellar]:
    found = create_cellar(tmp_path / "new.db", lambda: NOW, by="ida", zone="UTC")
    yield found
    found.close()


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    found.close()


async def press(pilot: Pilot[int], *keys: str) -> int:
    """Press keys one by one; return how many."""
    for key in keys:
        rest(pilot)
        await pilot.press(key)
        await pilot.pause(0.05)
    await pilot.pause(0.25)
    return len(keys)


def begun(service: OpenCellar) -> WineStart:
    """Return the wine that was begun last."""
    body = next(one.entry.body for one in service.view.ledger() if isinstance(one.entry.body, WineStart))
    assert isinstance(body, WineStart)
    return body


def last_vessel(service: OpenCellar) -> Vessel:
    """Return the vessel that was entered last."""
    found = [
        one.entry for one in service.view.ledger() if isinstance(one.entry.body, Vessel) and one.state == "standing"
    ]
    body = max(found, key=lambda one: one.seq).body
    assert isinstance(body, Vessel)
    return body


async def test_an_empty_cellar_has_a_reading_and_a_due_date_within_few_keys(empty: OpenCellar) -> None:
    async with opened(empty) as pilot:
        pressed = await press(pilot, "enter")
        pressed += await press(pilot, "enter", "enter", "2", "3", "enter", "enter")
        pressed += await press(pilot, *"Hill", "enter", "down", "down", "enter", "enter", "2", "2", "enter")
        pressed += await press(pilot, "down", "enter", *["enter"] * 6)
        pressed += await press(pilot, *["enter"] * 3)
        assert isinstance(pilot.app.screen, HomeScreen)
        assert " Demijohn 1 · Hill · 22.0 of 23 L" in text(pilot)
        assert " Now   test gravity" in text(pilot)
        pressed += await press(pilot, "r", *"28", "enter")
    assert pressed < FEW
    reading = empty.last_by("ida")
    assert reading is not None
    assert isinstance(reading.body, Reading)
    assert reading.body.free_so2 == 28
    tasks = empty.view.tasks()
    assert min(one.action.due for one in tasks) == date(2026, 11, 26)
    assert {one.wine for one in tasks} == {"Hill"}
    assert last_vessel(empty) == Vessel("Demijohn 1", 23.0, "glass")
    wine = begun(empty)
    assert (wine.name, wine.style, wine.volume, wine.finished) == ("Hill", "dry_white", 22.0, True)


async def test_a_must_is_asked_for_its_gravity_its_skins_and_what_it_is_made_from(empty: OpenCellar) -> None:
    empty.recorder.add_vessel({"name": "Tub", "capacity": "60", "material": "plastic"})
    async with opened(empty) as pilot:
        await press(pilot, "y", *"Ridge", "enter", "enter", "enter", "4", "8", "enter")
        assert "on skins" in text(pilot)
        assert "total SO2" not in text(pilot)
        await press(pilot, "enter", *"1.092", "enter", "enter", "enter")
        await press(pilot, "enter", *"2026-11-20", "enter", "enter")
    wine = begun(empty)
    assert (wine.style, wine.sg, wine.skins, wine.source) == ("dry_red", 1.092, True, "grape")
    assert wine.harvested == date(2026, 11, 20)
    assert wine.finished is None


async def test_what_will_be_due_first_is_seen_before_the_wine_is_recorded(service: OpenCellar) -> None:
    async with opened(service, (80, 30)) as pilot:
        await press(pilot, "y", *"Hill", "enter", *"rose", "enter", "enter", "9", "enter", "down", "enter")
        count = service.entries()
        seen = text(pilot).partition("Due first")[2]
        first = next(line for line in seen.splitlines() if line.strip())
        await press(pilot, *["enter"] * 6, *["enter"] * 3)
        assert service.entries() == count + 1
        home = pilot.app.screen
        assert isinstance(home, HomeScreen)
        line = home.listing.selected
        assert isinstance(line, BoardLine)
        assert (line.name, line.wine) == ("Demijohn 9", "Hill")
        assert line.next is not None
        assert line.next.action.task in first


async def test_only_empty_vessels_are_offered(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await press(pilot, "y", *"Hill", "enter", "enter")
        assert "[Demijohn 9]" in text(pilot)
        assert "Steel 4" not in text(pilot)
        await press(pilot, *"steel", "enter")
        assert "Choose one of: Demijohn 9" in flat(pilot)
        assert isinstance(pilot.app.screen, NewWineScreen)


async def test_where_no_vessel_is_empty_the_way_to_one_is_told(tmp_path: Path) -> None:
    full = cellar(tmp_path)
    full.recorder.retire_vessel("Demijohn 9")
    async with opened(full) as pilot:
        await press(pilot, "y")
        assert "No vessel is empty: v enters a new one." in lines(pilot)[-1]
    full.close()


async def test_what_is_wrong_is_said_beside_its_field_while_it_is_typed(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await press(pilot, "y", *"Hill", "enter", "enter", "enter", *"lots")
        row = next(line for line in lines(pilot) if "volume" in line)
        assert "! volume" in row
        assert "number" in row
        count = service.entries()
        await press(pilot, "enter", "enter")
        assert isinstance(pilot.app.screen, NewWineScreen)
        assert service.entries() == count


async def test_more_wine_than_the_vessel_holds_is_stopped_before_enter(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await press(pilot, "y", *"Hill", "enter", "enter", "enter", *"12")
        assert "STOP: Demijohn 9 holds 10 L to the stopper, not 12 L." in flat(pilot)


async def test_escape_goes_back_a_page_and_then_keeps_what_was_typed(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await press(pilot, "y", *"Hill", "enter", *"rose", "enter", "enter", "9", "enter")
        assert "how it stands" in text(pilot)
        await press(pilot, "escape")
        assert "what and where" in text(pilot)
        await press(pilot, "escape")
        assert isinstance(pilot.app.screen, HomeScreen)
        await press(pilot, "y")
        screen = pilot.app.screen
        assert isinstance(screen, NewWineScreen)
        answers = screen.form.answers
        assert (answers["name"], answers["style"], answers["volume"]) == ("Hill", "rose", "9")


async def test_questions_cut_off_come_back_and_are_not_asked_again_once_recorded(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await press(pilot, "v", "enter", *"Jug")
        pilot.app.screen.save_draft()  # type: ignore[attr-defined]
    async with opened(service) as pilot:
        screen = pilot.app.screen
        assert isinstance(screen, NewVesselScreen)
        assert screen.form.answers["name"] == "Jug"
        # The cursor is where it was: behind the name.
        await press(pilot, "enter", "5", "enter", "enter")
        assert "vessel Jug" in flat(pilot)
    async with opened(service) as pilot:
        assert isinstance(pilot.app.screen, HomeScreen)
    assert last_vessel(service).name == "Jug"


async def test_the_next_vessel_of_a_material_is_like_the_last_one(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await press(pilot, "v", *"oak", "enter")
        screen = pilot.app.screen
        assert isinstance(screen, NewVesselScreen)
        # Barrel 2 is there already.
        assert (screen.form.answers["name"], screen.form.answers["capacity"]) == ("Barrel 1", "56")
        await press(pilot, "enter", "enter", "enter")
        assert isinstance(pilot.app.screen, HomeScreen)
    assert last_vessel(service) == Vessel("Barrel 1", 56.0, "oak", "shelf")


async def test_a_name_that_is_taken_is_refused_beside_it(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await press(pilot, "v", "enter", *"steel 4")
        assert "there is a vessel steel 4 already" in next(line for line in lines(pilot) if "name" in line)


async def test_a_vessel_is_renamed_moved_and_retired_by_correcting_it(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        choose(pilot, "Demijohn 9")
        await press(pilot, "e")
        panel = pilot.app.screen.query_one("FormPanel")
        for name, value in (("name", "Jar"), ("place", "attic"), ("retired", "yes")):
            row = next(one for one in panel.rows if one.slot.name == name)  # type: ignore[attr-defined]
            await write(pilot, row, value)
        await press(pilot, "enter")
    vessel = last_vessel(service)
    assert (vessel.name, vessel.place, vessel.retired) == ("Jar", "attic", True)
    assert "Jar" not in [one.name for one in service.view.board().lines]


async def test_keys_of_one_burst_go_to_the_fields_they_are_meant_for(empty: OpenCellar) -> None:
    empty.recorder.add_vessel({"name": "Tub", "capacity": "60", "material": "plastic"})
    async with opened(empty) as pilot:
        await press(pilot, "y")
        for key in (*"Hill", "enter", *"rose", "enter", "enter", *"50", "enter"):
            pilot.app.post_message(Key(key, key if len(key) == 1 else None))
        await pilot.pause(0.3)
        screen = pilot.app.screen
        assert isinstance(screen, NewWineScreen)
        assert screen.form.page == 1
        answers = screen.form.answers
        assert (answers["name"], answers["style"], answers["volume"]) == ("Hill", "rose", "50")


async def test_a_second_enter_in_the_same_moment_makes_no_second_wine(empty: OpenCellar) -> None:
    empty.recorder.add_vessel({"name": "Tub", "capacity": "60", "material": "plastic"})
    async with opened(empty) as pilot:
        await press(pilot, "y", *"Hill", "enter", "enter", "enter", *"50", "enter", *["enter"] * 4, "enter", "enter")
        rest(pilot)
        for _ in range(3):
            pilot.app.post_message(Key("enter", None))
        await pilot.pause(0.3)
    assert [one.entry.body.kind for one in empty.view.ledger()].count("wine") == 1


@pytest.mark.parametrize("name", ["[/]", "[@click=app.quit]x[/]", "low [SO2] 25", "\x1b]0;x\x07Öl"])
async def test_whatever_is_typed_is_shown_as_text(empty: OpenCellar, name: str) -> None:
    plain = name.replace("\x1b", "").replace("\x07", "")
    async with opened(empty) as pilot:
        await press(pilot, "enter", "enter")
        screen = pilot.app.screen
        assert isinstance(screen, NewVesselScreen)
        for field in ("name", "place"):
            await write(pilot, screen.rows[[one.name for one in screen.asked].index(field)], name)
            await pilot.pause()
        await press(pilot, "enter", "2", "3", "enter", "enter")
        wine = pilot.app.screen
        assert isinstance(wine, NewWineScreen)
        for row in wine.rows:
            await write(pilot, row, name)
            await pilot.pause()
            assert f" {plain}" in text(pilot)
        await write(pilot, wine.rows[1], "rose")
        await write(pilot, wine.rows[2], plain)
        assert f"[{plain}]" in text(pilot)
    assert last_vessel(empty).name == plain


def test_a_style_says_what_it_intends() -> None:
    assert questions.style_line("arrested_sweet").startswith("white, stopped by cold with sugar left")
    for name, wanted in STYLES.items():
        said = questions.style_line(name)
        assert f"{wanted.minimum_age:g} months" in said
        assert f"{wanted.molecular_so2:g} mg/L" in said


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 45)])
async def test_every_question_has_room_on_every_size_of_screen(empty: OpenCellar, size: tuple[int, int]) -> None:
    empty.recorder.add_vessel({"name": "Tub", "capacity": "60", "material": "plastic"})
    async with opened(empty, size) as pilot:
        await press(pilot, "y", *"Hill", "enter", *"fortified", "enter", "enter", "enter", *"50", "enter")
        await press(pilot, *"fin", "enter")
        assert "SG of the must" in text(pilot)
        assert "Due first" in text(pilot)
        assert "Esc back" in lines(pilot)[-1]


async def test_bare_numbers_are_in_the_unit_printed_beside_the_field(empty: OpenCellar) -> None:
    empty.recorder.set_rule("units", "us")
    async with opened(empty) as pilot:
        await press(pilot, "enter", "enter", "enter", "6")
        assert "gal" in next(line for line in lines(pilot) if "capacity" in line)
        await press(pilot, "enter", "enter")
        assert isinstance(pilot.app.screen, NewWineScreen)
        await press(pilot, *"Hill", "enter", "enter", "enter", "5", "enter", *["enter"] * 4, *["enter"] * 3)
    # 6 and 5 US gallons of 3.785 L (from memory).
    assert last_vessel(empty).capacity == pytest.approx(22.71, abs=0.01)
    assert begun(empty).volume == pytest.approx(18.93, abs=0.01)


async def test_a_vessel_that_another_person_fills_meanwhile_is_no_longer_offered(
    service: OpenCellar, tmp_path: Path
) -> None:
    async with opened(service) as pilot:
        await press(pilot, "y", *"Hill", "enter", "enter", "enter", "9")
        other = open_cellar(tmp_path / "cellar.db", lambda: NOW, by="ben")
        other.recorder.start_wine(Request("Demijohn 9", "wine", {"name": "Quick", "style": "rose", "volume": "9"}))
        other.close()
        await press(pilot, "enter", *["enter"] * 4, *["enter"] * 3)
        await pilot.pause(1.3)
        screen = pilot.app.screen
        assert isinstance(screen, NewWineScreen)
        assert screen.form.answers["name"] == "Hill"
    wines = {one.name: one.wine for one in service.view.board().lines}
    assert wines["Demijohn 9"] == "Quick"
    assert "Hill" not in wines.values()


async def test_a_wine_in_a_further_vessel_takes_its_style(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await press(pilot, "y", *"terrace", "enter")
        assert "dry white" in next(line for line in lines(pilot) if "style" in line)
        await press(pilot, "enter", "enter", "9", "enter", *["enter"] * 3, *["enter"] * 3)
    wine = begun(service)
    assert (wine.name, wine.style) == ("Terrace", "dry_white")
