"""The wall display: what is late and for today by place, the counts, the days ahead; it follows other programs."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from cellar_tui.cli.arguments import find, parser
from cellar_tui.language.clean_text import cells
from cellar_tui.service.open import OpenCellar, create_cellar, open_cellar
from cellar_tui.service.views import Request
from cellar_tui.tui.app import CellarApp
from cellar_tui.tui.screens import wall_text
from cellar_tui.tui.screens.home import HomeScreen
from cellar_tui.tui.screens.wall import WallScreen
from tests.tui.seen import NOW, cellar, flat, lines, opened, text

SIZES = [(60, 20), (80, 24), (140, 45)]


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    found.close()


@pytest.mark.parametrize("size", SIZES)
async def test_counts_places_and_days_ahead_are_read_at_every_size(service: OpenCellar, size: tuple[int, int]) -> None:
    board = service.view.board()
    async with opened(service, size) as pilot:
        await pilot.press("z")
        await pilot.pause(0.2)
        assert isinstance(pilot.app.screen, WallScreen)
        seen = text(pilot)
        assert "BACK WALL" in seen
        assert "NEXT DAYS" in seen
        assert " d late" in seen
        assert f"{len([one for one in board.lines if one.wine])} vessels with wine · 1 empty" in seen
        await pilot.press("escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, HomeScreen)


async def test_it_follows_what_another_program_records(service: OpenCellar, tmp_path: Path) -> None:
    async with opened(service, (140, 45)) as pilot:
        await pilot.press("z")
        await pilot.pause(0.2)
        before = service.view.board().late
        assert "test gravity" in text(pilot)
        other = open_cellar(tmp_path / "cellar.db", lambda: NOW, by="ben")
        for vessel in ("Demijohn 1", "Barrel 2", "Steel 4"):
            other.recorder.record(Request(vessel, "reading", {"sg": "0.993"}))
        other.close()
        await pilot.pause(1.3)
        assert service.view.board().late < before
        assert " d late" not in "\n".join(one for one in lines(pilot) if "test gravity" in one)


async def test_nothing_can_be_recorded_from_the_wall(service: OpenCellar) -> None:
    count = service.entries()
    async with opened(service) as pilot:
        await pilot.press("z")
        await pilot.pause(0.2)
        await pilot.press("a", "r", "u", "v", "enter")
        await pilot.pause(0.3)
        assert isinstance(pilot.app.screen, WallScreen)
    assert service.entries() == count


async def test_the_program_can_begin_with_the_wall(service: OpenCellar) -> None:
    app = CellarApp(service, title="test", wall=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.2)
        assert isinstance(pilot.app.screen, WallScreen)
        await pilot.press("q")
        await pilot.pause()
    assert app.return_code == 0


def test_the_option_is_one_of_the_dashboard() -> None:
    command, _ = find([])
    assert parser(command).parse_args(["--wall"]).wall is True


def test_what_is_late_stands_in_the_first_places(service: OpenCellar) -> None:
    service.recorder.record(Request("Barrel 2", "reading", {"sg": "0.993"}))
    found = [text for text, tone in wall_text.pressing(service.view.board(), 78) if tone == "accent"]
    late = {one.place.upper() for line in service.view.board().lines for one in line.actions if one.status == "late"}
    assert set(found[: len(late)]) == late


@pytest.mark.parametrize("width", [30, 60, 140])
def test_no_line_is_wider_than_the_wall_and_none_is_lost_without_a_word(service: OpenCellar, width: int) -> None:
    for told in (wall_text.pressing, wall_text.ahead):
        found = told(service.view.board(), width)
        assert all(cells(line) <= width for line, _ in found)
        items = sum(line.startswith("  ") for line, _ in found)
        kept = wall_text.cut(found, 3)
        seen = sum(line.startswith("  ") for line, _ in kept)
        assert len(kept) <= 3
        assert len(found) <= 3 or kept[-1][0] == f"… {items - seen} more"


async def test_a_day_on_which_nothing_is_due_says_so(tmp_path: Path) -> None:
    empty = create_cellar(tmp_path / "new.db", lambda: NOW, by="ida", zone="UTC")
    board = empty.view.board(date(2026, 11, 26))
    assert wall_text.pressing(board, 60) == [("Nothing is due today.", "accent")]
    assert wall_text.ahead(board, 60)[-1][0] == "  nothing in 14 days"
    async with opened(empty) as pilot:
        await pilot.press("z")
        await pilot.pause(0.2)
        assert "Nothing is due today." in flat(pilot)
    empty.close()


@pytest.mark.parametrize("name", ["[/]", "[@click=app.quit]x[/]"])
async def test_names_and_places_are_shown_as_text(service: OpenCellar, name: str) -> None:
    service.recorder.add_vessel({"name": name, "capacity": "23L", "material": "glass", "place": f"shelf {name}"})
    wine = {"name": "Hill", "style": "dry_white", "volume": "22", "finished": "yes"}
    service.recorder.start_wine(Request(name, "wine", wine, "2026-11-01"))
    async with opened(service, (140, 45)) as pilot:
        await pilot.press("z")
        await pilot.pause(0.2)
        assert f"SHELF {name.upper()}" in text(pilot)
        assert f"  {name} " in text(pilot)
