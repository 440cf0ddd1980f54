"""A sheet imported on screen: its path typed, its columns chosen by key, its rows seen, then all recorded or none."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from threading import Event
from typing import Any

import pytest

from cellar_tui.service import importing
from cellar_tui.service.open import OpenCellar
from tests.tui.seen import cellar, flat, lines, opened

SHEET = "Tank;When;Free;pH\nDemijohn 1;24.11.2026;31;3,48\nBarrel 2;25.11.2026;28;3,60\n"


@pytest.fixture
def service(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[OpenCellar]:
    folder = tmp_path / "work"
    folder.mkdir()
    monkeypatch.chdir(folder)
    found = cellar(tmp_path)
    yield found
    found.close()


async def chosen(pilot: Any, path: str) -> None:
    """Open the page by its key and type a path."""
    await pilot.press("X", *["down"] * 4)
    await enter(pilot)
    assert "Import a sheet" in lines(pilot)[0]
    await pilot.press(*path)
    await enter(pilot)


async def unhurried(pilot: Any) -> None:
    """Let the next Enter not be the second one of a slip."""
    pilot.app.pace._entered = float("-inf")


async def enter(pilot: Any) -> None:
    """Press Enter, not as the second one of a slip."""
    await unhurried(pilot)
    await pilot.press("enter")
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def named(pilot: Any) -> None:
    """Choose the columns that the sheet's own words leave unclear."""
    await pilot.press("d")  # When: date
    await pilot.press("down", "f")  # Free: free_so2
    await pilot.press("home", "right")  # dates: day first


async def test_a_sheet_is_seen_before_it_is_recorded_and_its_columns_are_remembered(service: OpenCellar) -> None:
    Path("autumn.csv").write_text(SHEET, encoding="utf-8")
    before = service.entries()
    async with opened(service) as pilot:
        await chosen(pilot, "autumn.csv")
        assert any("When" in line and "? choose a field" in line for line in lines(pilot))
        await named(pilot)
        assert any("Free" in line and "free_so2" in line and "31" in line for line in lines(pilot))
        await enter(pilot)
        assert "Would record 2 entries" in flat(pilot)
        assert any("row 2" in line and "Demijohn 1" in line and "31" in line for line in lines(pilot))
        assert service.entries() == before, "nothing is recorded before the last Enter"
        await enter(pilot)
        assert "2 entries recorded together" in flat(pilot)
        assert service.entries() == before + 2
        await chosen(pilot, "autumn.csv")
        assert not any("? choose a field" in line for line in lines(pilot))
        await pilot.press("right")
        await enter(pilot)
        assert "2 are in the ledger already" in flat(pilot)


async def test_escape_ends_the_weighing_of_a_long_sheet_and_nothing_is_recorded(
    service: OpenCellar, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The weighing is held until the keys are in: it goes on apart, the screen says so, and no other key acts."""
    Path("autumn.csv").write_text(SHEET, encoding="utf-8")
    before, go, real = service.entries(), Event(), importing.record_all

    def held(*asked: Any, **named: Any) -> importing.Imported:
        assert go.wait(30)
        return real(*asked, **named)

    monkeypatch.setattr(importing, "EACH", 1)
    async with opened(service) as pilot:
        await chosen(pilot, "autumn.csv")
        await named(pilot)
        monkeypatch.setattr(importing, "record_all", held)
        await unhurried(pilot)
        await pilot.press("enter", "d", "right", "q")
        assert "Weighing the rows. Esc stops it" in flat(pilot)
        await pilot.press("escape")
        go.set()
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "Stopped. Nothing was recorded." in flat(pilot)
        assert service.entries() == before
        await enter(pilot)
        assert "Would record 2 entries" in flat(pilot), "the columns stayed as they were chosen"


async def test_it_is_said_how_many_entries_have_been_weighed(
    service: OpenCellar, monkeypatch: pytest.MonkeyPatch
) -> None:
    Path("autumn.csv").write_text(SHEET, encoding="utf-8")
    monkeypatch.setattr(importing, "EACH", 1)
    seen: list[str] = []
    async with opened(service) as pilot:
        await chosen(pilot, "autumn.csv")
        await named(pilot)
        monkeypatch.setattr(pilot.app.screen, "say", seen.append)
        await enter(pilot)
    assert [text.split(".")[0] for text in seen if "weighed" in text] == [
        "1 of 2 entries weighed",
        "2 of 2 entries weighed",
    ]


async def test_one_wrong_row_keeps_all_of_them_out(service: OpenCellar) -> None:
    Path("bad.csv").write_text(SHEET + "Barrel 77;25.11.2026;28;3,60\n", encoding="utf-8")
    before = service.entries()
    async with opened(service) as pilot:
        await chosen(pilot, "bad.csv")
        await named(pilot)
        await enter(pilot)
        assert any("row 4" in line and "ERROR" in line for line in lines(pilot))
        await enter(pilot)
        assert "Nothing was recorded" in flat(pilot)
        assert service.entries() == before
        await pilot.press("escape", "escape", "escape")
        await pilot.pause()
        assert type(pilot.app.screen).__name__ == "HomeScreen"


async def test_a_material_that_nobody_knows_is_named_before_it_is_recorded(service: OpenCellar) -> None:
    sheet = "vessel;date;kind;material;amount\nDemijohn 1;2026-11-24;addition;bentonit;5\n"
    Path("autumn.csv").write_text(sheet, encoding="utf-8")
    before = service.entries()
    async with opened(service) as pilot:
        await chosen(pilot, "autumn.csv")
        await enter(pilot)
        await enter(pilot)
        assert "bentonit is no material of the list. Did you mean bentonite?" in flat(pilot)
        assert service.entries() == before
        await enter(pilot)
    assert service.entries() == before + 1


async def test_the_second_enter_of_a_slip_records_nothing(service: OpenCellar) -> None:
    Path("autumn.csv").write_text(SHEET, encoding="utf-8")
    before = service.entries()
    async with opened(service) as pilot:
        await chosen(pilot, "autumn.csv")
        await named(pilot)
        await pilot.press("enter", "enter")
        await pilot.app.workers.wait_for_complete()
        await pilot.pause()
        assert "Would record 2 entries" in flat(pilot)
        assert service.entries() == before


async def test_day_and_month_are_asked_for_and_never_guessed(service: OpenCellar) -> None:
    Path("dates.csv").write_text("vessel,date,ph\nDemijohn 1,11/10/2026,3.48\n", encoding="utf-8")
    async with opened(service) as pilot:
        await chosen(pilot, "dates.csv")
        await enter(pilot)
        assert "choose how the dates are written" in flat(pilot)
        await pilot.press("right", "right")
        assert any("Dates" in line and "month first" in line for line in lines(pilot))
        await enter(pilot)
        assert "10 Nov" in flat(pilot)


@pytest.mark.parametrize(("path", "told"), [("none.csv", "cannot be read"), (" ", "Type the path")])
async def test_a_path_that_is_none_is_told_and_can_be_corrected(service: OpenCellar, path: str, told: str) -> None:
    async with opened(service) as pilot:
        await chosen(pilot, path.replace(" ", ""))
        assert told in flat(pilot)
        await pilot.press("x")
        assert "x" in lines(pilot)[1]


async def test_two_columns_of_one_field_and_a_missing_vessel_are_said(service: OpenCellar) -> None:
    Path("two.csv").write_text("date,ph,pH\n2026-11-20,3.4,3.5\n", encoding="utf-8")
    async with opened(service) as pilot:
        await chosen(pilot, "two.csv")
        await enter(pilot)
        assert "Two columns are ph" in flat(pilot)
        await pilot.press("end", "-")
        assert "left out" in lines(pilot)[5]
        await enter(pilot)
        assert "Choose the column that is the vessel" in flat(pilot)
