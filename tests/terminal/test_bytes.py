"""What a key costs on the line, counted in a real terminal: over a slow line every byte is waited for."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from cellar_tui.cli.dashboard import demo_file
from tests.terminal.desk import Desk, dashboard

DOWN, UP = b"\x1b[B", b"\x1b[A"
SIZES = ((80, 24), (140, 45), (200, 60))
MOVE = 1250
"""Bytes that a move of the cursor may send, anywhere."""


def cost(desk: Desk, keys: str | bytes) -> int:
    """Return how many bytes are sent until nothing more comes after keys."""
    before = len(desk.raw)
    desk.type(keys)
    desk.settle(0.3)
    return len(desk.raw) - before


@pytest.fixture(name="cellar")
def _cellar(tmp_path: Path) -> Path:
    return Path(shutil.copyfile(demo_file(), tmp_path / "demo.db"))


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("colours", ["", "truecolor"], ids=["256", "truecolor"])
def test_a_cursor_move_sends_little_at_every_size(
    cellar: Path, tmp_path: Path, size: tuple[int, int], colours: str
) -> None:
    with dashboard(cellar, tmp_path, COLORTERM=colours) as desk:
        desk.resize(*size)
        desk.settle(1)
        # To the end of the list and back: where the list is longer than the screen it is scrolled.
        down = [cost(desk, DOWN) for _ in range(17)]
        up = [cost(desk, UP) for _ in range(17)]
        assert all(0 < sent <= MOVE for sent in (*down, *up)), (max(down), max(up))


def test_nothing_is_sent_while_nobody_types(cellar: Path, tmp_path: Path) -> None:
    with dashboard(cellar, tmp_path) as desk:
        desk.resize(140, 45)
        # What is to be got is worked out after some seconds of rest.
        desk.until("To get until")
        desk.settle(1)
        before = len(desk.raw)
        for _ in range(6):
            desk.read(0.5)
        assert len(desk.raw) == before


FORM, LETTER = 9000, 1500
"""Bytes that opening a form may send, and a letter typed into it with all that it moves."""


@pytest.mark.parametrize("size", SIZES[:2], ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("form", ["a", "r", "m", "c"])
def test_opening_a_form_sends_only_what_changes(cellar: Path, tmp_path: Path, size: tuple[int, int], form: str) -> None:
    with dashboard(cellar, tmp_path) as desk:
        desk.resize(*size)
        desk.settle(1)
        before = len(desk.raw)
        desk.type(form)
        desk.until("Enter record")
        desk.settle(1)
        opened = len(desk.raw) - before
        assert opened <= FORM * (size[0] * size[1]) / (80 * 24)
        for letter in "3.4" if form != "m" else "T":
            before = len(desk.raw)
            desk.type(letter)
            desk.settle(1)
            assert 0 < len(desk.raw) - before <= (LETTER if size == (80, 24) else 2 * LETTER)


def test_a_day_chosen_on_a_chart_sends_two_columns_and_its_lines(cellar: Path, tmp_path: Path) -> None:
    with dashboard(cellar, tmp_path) as desk:
        desk.resize(140, 45)
        desk.settle(1)
        # From the vessel that is late with its level to Barrel 2.
        desk.type(DOWN + b"\rv")
        desk.until("lay over")
        desk.settle(1)
        assert all(0 < cost(desk, b"\x1b[D") <= MOVE for _ in range(6))


def test_what_another_program_wrote_over_the_screen_is_drawn_over_on_a_key(cellar: Path, tmp_path: Path) -> None:
    with dashboard(cellar, tmp_path) as desk:
        before = list(desk.screen.display)
        desk.stream.feed(b"\x1b[6;1HBroadcast message from root: the machine goes down\x1b[1;1H")
        assert list(desk.screen.display) != before
        desk.type(b"\x0c")
        desk.settle()
        assert list(desk.screen.display) == before
