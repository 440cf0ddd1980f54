"""The reading sheet at the keyboard: typed down a column, judged row by row, recorded and taken back together."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual import events
from textual.pilot import Pilot

from cellar_tui.entry_form import drafts
from cellar_tui.entry_form.sheet import Sheet
from cellar_tui.ledger.kinds import Reading
from cellar_tui.service.open import OpenCellar, open_cellar
from cellar_tui.service.views import Request
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens.home import HomeScreen
from cellar_tui.tui.screens.sheet import SheetScreen
from tests.opened import number_of
from tests.tui.seen import NOW, SETTLED, cellar, choose, flat, lines, opened, text
from tests.tui.test_text_as_text import CONTROLS, HOSTILE


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    assert [one.problem for one in found.check()] == []
    found.close()


async def sheet(pilot: Pilot[int], *, rows: str = "every wine", columns: str = "pH and SO2") -> SheetScreen:
    """Open the sheet from the cellar, with these rows and columns, on its first cell."""
    await pilot.press("R")
    await pilot.pause(0.1)
    screen = pilot.app.screen
    assert isinstance(screen, SheetScreen)
    while screen.choice != rows:
        await pilot.press("f6")
    while screen.set_name != columns:
        await pilot.press("f5")
    screen.grid.go(0, 0)
    await pilot.pause()
    return screen


def row(pilot: Pilot[int], vessel: str) -> str:
    return next(one for one in lines(pilot) if one.startswith(f" {vessel}"))


def readings(service: OpenCellar, vessel: str) -> list[object]:
    """Return the standing readings of a vessel, newest first."""
    found = [
        one for one in service.view.ledger(vessel) if isinstance(one.entry.body, Reading) and one.state == "standing"
    ]
    return [one.entry.body for one in sorted(found, key=lambda one: -one.entry.seq)]


ROUND = ("Demijohn 1", "Steel 4", "Barrel 2")
"""The vessels in walking order: back wall, back wall, north wall."""


async def test_a_column_typed_down_is_recorded_by_one_key_and_taken_back_by_one(service: OpenCellar) -> None:
    count = service.entries()
    async with opened(service) as pilot:
        await sheet(pilot)
        await pilot.press(*"3.45", "enter", *"3.3", "enter", *"3.62", "f8")
        await pilot.pause(0.1)
        assert isinstance(pilot.app.screen, HomeScreen)
        assert "Recorded 3 readings as entries" in flat(pilot)
        assert "u takes all of them back" in flat(pilot)
        assert [readings(service, name)[0] for name in ROUND] == [Reading(ph=3.45), Reading(ph=3.3), Reading(ph=3.62)]
        assert service.entries() == count + 3
        await pilot.press("u")
        await pilot.pause(SETTLED)
        assert "Taken back: 3 entries made together" in flat(pilot)
    assert Reading(ph=3.45) not in readings(service, "Demijohn 1")
    assert Reading(ph=3.62) not in readings(service, "Barrel 2")


async def test_a_row_typed_along_goes_on_to_the_next_and_a_method_holds_for_those_below(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        screen = await sheet(pilot)
        await pilot.press(*"3.45", "tab", *"12", "tab", *"as", "tab", "tab", *"3.3", "tab", *"30", "tab")
        await pilot.pause()
        assert screen.grid.selected is not None
        assert screen.grid.selected[0].name == "Steel 4"
        assert "aspiration" in row(pilot, "Steel 4")
        await pilot.press("f8")
        await pilot.pause(0.1)
    assert readings(service, "Demijohn 1")[0] == Reading(ph=3.45, free_so2=12, method="aspiration")
    assert readings(service, "Steel 4")[0] == Reading(ph=3.3, free_so2=30, method="aspiration")


async def test_what_cannot_be_right_says_so_beside_its_row_and_keeps_all_of_them_out(service: OpenCellar) -> None:
    count = service.entries()
    async with opened(service) as pilot:
        screen = await sheet(pilot)
        await pilot.press(*"3.45", "enter", *"9")
        await pilot.pause()
        assert "ok" in row(pilot, "Demijohn 1")
        assert "wrong" in row(pilot, "Steel 4")
        assert "1 has an error" in lines(pilot)[0]
        assert "it must lie between 2.2 and 4.8" in flat(pilot)
        await pilot.press("home", "f8")
        await pilot.pause()
        assert "Nothing was recorded: Steel 4: " in flat(pilot)
        assert screen.grid.selected is not None
        assert screen.grid.selected[0].name == "Steel 4"
        assert service.entries() == count
        await pilot.press(*"3.3", "f8")
        await pilot.pause(0.1)
        assert "Recorded 2 readings" in flat(pilot)


async def test_a_row_that_a_guard_stops_is_named_and_nothing_is_kept(service: OpenCellar) -> None:
    count = service.entries()
    async with opened(service) as pilot:
        await sheet(pilot)
        # Demijohn 1 was filled on 1 November, Barrel 2 in May.
        await pilot.press(*"3.45", "enter", "enter", *"3.6", "home", "up", *"2026-08-01", "enter")
        await pilot.pause()
        assert "STOP" in row(pilot, "Demijohn 1")
        assert "Sat 1 Aug 2026" in lines(pilot)[1]
        await pilot.press("f8")
        await pilot.pause()
        assert "Nothing was recorded. Demijohn 1 is stopped:" in flat(pilot)
    assert service.entries() == count


async def test_the_dates_that_a_row_moves_stand_beside_it_and_are_those_that_move(service: OpenCellar) -> None:
    async with opened(service, (140, 45)) as pilot:
        screen = await sheet(pilot)
        await pilot.press("end", "tab", *"20", "tab", *"aspiration")
        await pilot.pause()
        found = screen.sheet.found[number_of(service, "Barrel 2")]
        assert not isinstance(found, Exception)
        (moved,) = [one for one in found.changes if one.action == "so2_recheck"]
        assert moved.now is not None
        assert f"→ {moved.now.action.show.day} {moved.now.action.show:%b}" in row(pilot, "Barrel 2")
        await pilot.press("f8")
        await pilot.pause(0.1)
    shown = [
        one.action.show for one in service.view.tasks() if (one.vessel, one.action.rule) == ("Barrel 2", "so2_recheck")
    ]
    assert shown == [moved.now.action.show]


async def test_from_the_cellar_it_begins_with_the_vessels_on_which_a_reading_is_due(service: OpenCellar) -> None:
    for day in ("2026-11-23", "2026-11-26"):
        service.recorder.record(Request("Demijohn 1", "reading", {"sg": "0.993"}, day))
    reads = ("gravity_check", "so2_recheck", "ph_check")
    due = {one.vessel for one in service.view.tasks() if one.status != "ahead" and one.action.rule in reads}
    assert due == {"Steel 4", "Barrel 2"}
    async with opened(service) as pilot:
        await pilot.press("R")
        await pilot.pause(0.1)
        screen = pilot.app.screen
        assert isinstance(screen, SheetScreen)
        assert {one.name for one in screen.rows} == due
        assert screen.grid.selected is not None
        assert screen.grid.selected[1] in screen.grid.selected[0].asked


async def test_from_a_wine_it_begins_with_the_vessels_of_that_wine(service: OpenCellar) -> None:
    service.recorder.start_wine(Request("Demijohn 9", "wine", {"name": "Terrace", "volume": "9", "finished": "yes"}))
    async with opened(service) as pilot:
        choose(pilot, "Demijohn 1")
        await pilot.press("enter")
        await pilot.pause(0.1)
        await pilot.press("R")
        await pilot.pause(0.1)
        screen = pilot.app.screen
        assert isinstance(screen, SheetScreen)
        assert [one.name for one in screen.rows] == ["Demijohn 1", "Demijohn 9"]


async def test_typed_cells_survive_escape_and_a_dropped_line(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await sheet(pilot)
        await pilot.press(*"3.45", "enter", *"3.", "ctrl+y", "escape")
        await pilot.pause(0.1)
        assert "Kept as a draft" in flat(pilot)
    async with opened(service) as pilot:
        await pilot.pause(0.1)
        screen = pilot.app.screen
        assert isinstance(screen, SheetScreen)
        assert "As you left it" in flat(pilot)
        assert screen.sheet.at == "yesterday"
        assert sorted(screen.sheet.texts.values()) == ["3.", "3.45"]
        screen.grid.go(1, list(screen.grid.columns).index("ph"))
        await pilot.press("delete", "f8")
        await pilot.pause(0.1)
        assert "Recorded 1 reading as entry" in flat(pilot)
    assert readings(service, "Demijohn 1")[0] == Reading(ph=3.45)
    assert drafts.load(drafts.draft_file(service.path, "ida")) is None


async def test_a_sheet_that_was_recorded_before_the_line_dropped_does_not_come_back(service: OpenCellar) -> None:
    kept = Sheet(service, {})
    kept.put(number_of(service, "Demijohn 1"), "ph", "3.45")
    assert kept.keep()
    draft = drafts.load(kept.shelf.path)
    assert draft is not None
    assert kept.record(kept.rows).saved
    drafts.save(kept.shelf.path, draft)
    count = service.entries()
    async with opened(service) as pilot:
        await pilot.pause()
        assert isinstance(pilot.app.screen, HomeScreen)
        assert "already recorded" in flat(pilot)
    assert service.entries() == count


async def test_what_another_person_records_meanwhile_is_shown_before_anything_is_kept(
    service: OpenCellar, tmp_path: Path
) -> None:
    async with opened(service) as pilot:
        await sheet(pilot)
        await pilot.press(*"3.45")
        other = open_cellar(tmp_path / "cellar.db", lambda: NOW, by="ben")
        other.recorder.record(Request("Demijohn 1", "reading", {"ph": "3.5"}))
        other.close()
        await pilot.press("f8")
        await pilot.pause()
        assert "Nothing was recorded: ben recorded on Demijohn 1: pH 3.5" in flat(pilot)
        await pilot.press("f8")
        await pilot.pause(0.1)
        assert "Recorded 1 reading" in flat(pilot)
    assert readings(service, "Demijohn 1")[:2] == [Reading(ph=3.45), Reading(ph=3.5)]


async def test_a_vessel_emptied_meanwhile_keeps_what_was_typed_for_it(service: OpenCellar, tmp_path: Path) -> None:
    async with opened(service) as pilot:
        screen = await sheet(pilot)
        await pilot.press(*"3.45")
        other = open_cellar(tmp_path / "cellar.db", lambda: NOW, by="ben")
        assert other.recorder.record(Request("Demijohn 1", "loss", {"volume": "22.7", "reason": "spilt"})).saved
        other.close()
        screen.refresh_from_service()
        await pilot.pause()
        assert "3.45" in row(pilot, "Demijohn 1")
        assert "STOP" in row(pilot, "Demijohn 1")


@pytest.mark.parametrize("said", [*HOSTILE, *CONTROLS, "9" * 500])
async def test_hostile_text_in_a_cell_is_text_that_cannot_be_right(service: OpenCellar, said: str) -> None:
    count = service.entries()
    async with opened(service) as pilot:
        screen = await sheet(pilot)
        screen.grid.post_message(events.Paste(said))
        await pilot.press("f8")
        await pilot.pause()
        assert not [one for one in text(pilot) if one != "\n" and (ord(one) < 32 or 127 <= ord(one) < 160)]
        assert all(len(one) <= 24 for one in screen.sheet.texts.values())
    assert service.entries() == count


async def test_pasted_lines_fill_the_column_and_record_nothing_by_themselves(service: OpenCellar) -> None:
    count = service.entries()
    async with opened(service) as pilot:
        screen = await sheet(pilot)
        screen.grid.post_message(events.Paste("3.45\t12\n3.3\t30\n3.6\t25\n3.9\n"))
        await pilot.pause()
        assert service.entries() == count
        assert [screen.sheet.said(one.number, screen.rows) for one in screen.rows] == [
            {"ph": "3.45", "free_so2": "12"},
            {"ph": "3.3", "free_so2": "30"},
            {"ph": "3.6", "free_so2": "25"},
        ]


async def test_typed_readings_stay_when_other_rows_and_columns_are_chosen(service: OpenCellar) -> None:
    async with opened(service, (60, 20)) as pilot:
        screen = await sheet(pilot)
        await pilot.press(*"3.45")
        for _ in range(3):
            await pilot.press("f6", "f5")
            assert "3.45" in row(pilot, "Demijohn 1")
        assert "Demijohn 1" in [one.name for one in screen.rows]


async def test_on_a_narrow_screen_the_columns_that_do_not_fit_come_with_the_cursor(service: OpenCellar) -> None:
    async with opened(service, (60, 20)) as pilot:
        screen = await sheet(pilot, columns="every reading")
        assert "VA" not in lines(pilot)[2]
        for _ in range(list(screen.grid.columns).index("va")):
            await pilot.press("right")
        await pilot.press(*"0.4")
        await pilot.pause()
        assert "VA" in lines(pilot)[2]
        assert "0.4" in row(pilot, "Demijohn 1")
        assert all(len(one) <= 60 for one in lines(pilot))


async def test_a_cellar_that_is_read_only_has_no_sheet(service: OpenCellar, tmp_path: Path) -> None:
    reader = open_cellar(tmp_path / "cellar.db", lambda: NOW, by="ida", read_only=True)
    async with opened(reader) as pilot:
        await pilot.press("R")
        await pilot.pause(0.1)
        assert isinstance(pilot.app.screen, HomeScreen)
    reader.close()


def test_no_two_keys_of_the_sheet_clash() -> None:
    pressed = [key for one in keys_of("sheet") for key in one.key.split(",")]
    assert len(pressed) == len(set(pressed))
