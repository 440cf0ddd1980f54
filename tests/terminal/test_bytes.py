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
