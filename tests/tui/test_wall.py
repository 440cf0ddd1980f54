"""The wall display: what is late and for today by place, the counts, the days ahead; it follows other programs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from cellar_tui.cli.arguments import find, parser
from cellar_tui.language.clean_text import cells
from cellar_tui.service.open import OpenCellar, create_cellar, open_cellar
from cellar_tui.service.views import Board, Request
from cellar_tui.tui.app import CellarApp
from cellar_tui.tui.screens import wall_text
from cellar_tui.tui.screens.home import HomeScreen
from cellar_tui.tui.screens.wall import WallScreen
from cellar_tui.tui.widgets import large
from cellar_tui.tui.widgets.toned import text_of
from tests.tui.seen import NOW, cellar, flat, lines, opened, text

SIZES = [(60, 20), (80, 24), (140, 45)]


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    found.close()


@pytest.mark.parametrize("size", SIZES)
async def test_counts_late_work_today_and_the_next_days_are_read_at_every_size(
    service: OpenCellar, size: tuple[int, int]
) -> None:
    async with opened(service, size) as pilot:
        await pilot.press("z")
        await pilot.pause(0.2)
        assert isinstance(pilot.app.screen, WallScreen)
        seen = text(pilot)
        for told in ("late", "today", "this week", "TODAY", "d late", "Esc back"):
            assert told in seen
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


def wall(board: Board, width: int, height: int, *, plain: bool = False) -> list[str]:
    return [text_of(one) for one in wall_text.wall(board, "test", (width, height), "metric", plain=plain)]


def test_figures_are_five_lines_high_and_higher_by_the_room_there_is() -> None:
    assert [large.height(scale) for scale in (0, 1, 2, 3)] == [3, 5, 10, 15]
    assert all(len(large.lines("209 d", scale)) == large.height(scale) for scale in (0, 1, 2, 3))
    assert large.lines("1", 1) == ["  ██", "████", "  ██", "  ██", "██████"]
    assert large.lines("7", 0) == ["▀▀█", "  █", "  ▀"]


@pytest.mark.parametrize(("size", "high"), [((60, 19), 5), ((80, 23), 5), ((140, 44), 10), ((200, 59), 10)])
def test_the_counts_are_drawn_as_large_as_they_fit(service: OpenCellar, size: tuple[int, int], high: int) -> None:
    board = replace(service.view.board(), late=4, due_today=6, week=16)
    told = wall(board, *size)
    first = next(at for at, line in enumerate(told) if "██" in line)
    assert "this week" in told[first + high - 1]


def test_what_is_late_is_named_in_large_letters_with_what_to_do_beside_it(service: OpenCellar) -> None:
    board = service.view.board()
    name = next(one for one in board.lines if one.next is not None and one.next.status == "late").name
    for size, scale in (((138, 44), 1), ((80, 23), 0)):
        told = wall(board, *size)
        at = next(at for at, line in enumerate(told) if line.startswith(f" {large.lines(name, scale)[0]}"))
        block = told[at : at + large.height(scale)]
        assert "d late" in block[-2]
        assert block[-1].startswith(f" {large.lines(name, scale)[-1]}")
        assert "   " in block[-1]


def test_of_many_late_wines_four_are_named_and_the_others_counted(service: OpenCellar) -> None:
    board = service.view.board()
    late = next(one for one in board.lines if any(task.status == "late" for task in one.actions))
    task = next(one for one in late.actions if one.status == "late")
    many = [replace(late, name=f"Tank {at}", actions=(replace(task, vessel=f"Tank {at}"),)) for at in range(9)]
    told = "\n".join(wall(replace(board, lines=tuple(many)), 80, 23))
    assert sum(f"TANK {at}" in told for at in range(9)) <= wall_text.MOST_LATE
    assert "and 5 more late" in told


@pytest.mark.parametrize("size", [(20, 5), (30, 10), (60, 19), (80, 23), (140, 44), (200, 59)])
@pytest.mark.parametrize("plain", [False, True])
def test_no_line_is_wider_than_the_wall_nor_any_below_it(
    service: OpenCellar, size: tuple[int, int], plain: bool
) -> None:
    told = wall(service.view.board(), *size, plain=plain)
    assert len(told) <= size[1]
    assert all(cells(line) <= size[0] for line in told)
    assert not plain or all(line.isascii() or "·" in line or "…" in line for line in told)


def test_at_most_five_days_to_come_are_told(service: OpenCellar) -> None:
    told = wall_text._next(service.view.board(), 80, "metric")
    assert 0 < len(told) <= wall_text.NEXT_DAYS


async def test_a_day_on_which_nothing_is_due_says_so(tmp_path: Path) -> None:
    empty = create_cellar(tmp_path / "new.db", lambda: NOW, by="ida", zone="UTC")
    told = "\n".join(wall(empty.view.board(date(2026, 11, 26)), 80, 23))
    assert "Nothing is late" in told
    assert "nothing is due" in told
    async with opened(empty) as pilot:
        await pilot.press("z")
        await pilot.pause(0.2)
        assert "Nothing is late" in flat(pilot)
    empty.close()


@pytest.mark.parametrize("name", ["[/]", "[@click=app.quit]x[/]"])
async def test_names_and_places_are_shown_as_text(service: OpenCellar, name: str) -> None:
    service.recorder.add_vessel({"name": name, "capacity": "23L", "material": "glass", "place": f"shelf {name}"})
    wine = {"name": "Hill", "style": "dry_white", "volume": "22", "finished": "yes"}
    service.recorder.start_wine(Request(name, "wine", wine, "2026-11-01"))
    async with opened(service, (140, 45)) as pilot:
        await pilot.press("z")
        await pilot.pause(0.2)
        assert f"shelf {name}" in text(pilot)
        assert name.upper() in text(pilot)
