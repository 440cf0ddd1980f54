"""Paper, calendar and export from the palette: into the folder that the program runs in, with a line saying where."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from cellar_tui.service.open import OpenCellar
from tests.tui.seen import cellar, choose, lines, opened


@pytest.fixture
def service(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[OpenCellar]:
    folder = tmp_path / "work"
    folder.mkdir()
    monkeypatch.chdir(folder)
    found = cellar(tmp_path)
    yield found
    found.close()


def commands(pilot: Any) -> dict[str, Any]:
    """Return what the palette offers here, by name."""
    return {one.title: one.callback for one in pilot.app.get_system_commands(pilot.app.screen)}


async def test_the_palette_prints_the_round_and_the_selected_wine(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        choose(pilot, "Demijohn 1")
        found = commands(pilot)
        found["Print the round"]()
        assert "Round-2026" in lines(pilot)[-1]
        for name in ("Print this wine", "Print the bottling sheet"):
            found[name]()
    papers = sorted(Path.cwd().glob("*.pdf"))
    assert len(papers) == 3
    (wine,) = [one for one in papers if "in-Demijohn-1" in one.name]
    assert "Demijohn 1" in PdfReader(wine).pages[0].extract_text()


async def test_the_palette_writes_the_calendar_and_the_export(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        found = commands(pilot)
        found["Write the calendar"]()
        found["Export everything"]()
        assert f"export, of {service.entries()} entries" in lines(pilot)[-1]
    (calendar,) = Path.cwd().glob("*.ics")
    assert calendar.read_bytes().count(b"BEGIN:VEVENT") == len(service.view.tasks())
    (ledger,) = Path.cwd().glob("*-export/ledger.jsonl")
    assert len(ledger.read_text(encoding="utf-8").splitlines()) == service.entries()


async def test_what_cannot_be_written_is_told_in_one_line(service: OpenCellar) -> None:
    (Path.cwd() / f"{service.path.stem}.ics").write_text("mine")
    async with opened(service) as pilot:
        commands(pilot)["Write the calendar"]()
        assert "left as it is" in lines(pilot)[-1]
    assert (Path.cwd() / f"{service.path.stem}.ics").read_text() == "mine"
