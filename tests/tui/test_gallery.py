"""Every screen looks as it was last looked at, at each size; nothing is cut off without a sign."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest

from cellar_tui.language.clean_text import CUT, cells
from tests.tui.demo import demo
from tests.tui.gallery import (
    GOLDEN,
    SIZES,
    VIEWS,
    drawn,
    kept,
    name_of,
    portrait,
    portrait_file,
    renewed,
)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_screen_looks_as_it_was_last_looked_at(
    size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    with demo() as service:
        found = await drawn(service, size)
    for view, text in kept(size):
        assert found[view] == text, f"{name_of(view, size)}: draw it again and look at the difference"


async def test_the_picture_in_colours_shows_the_wine_before_and_after_and_the_dates_that_move() -> None:
    with demo() as service:
        drawn_now = await portrait(service)
    assert "@font-face" not in drawn_now
    for picture in (drawn_now, portrait_file().read_text(encoding="utf-8")):
        assert picture.startswith("<svg")
        words = " ".join(html.unescape(re.sub(r"<[^>]+>", " ", picture)).split())
        assert re.search(r"before\s+after", words)
        assert re.search(r"test free SO2: .*?→", words)
        assert re.search(r"Dissolve sulfite in water", words), "the cautions are in sight"
        assert "Enter record" in words


def test_a_difference_is_told_before_a_picture_is_renewed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "cellar_80x24.txt"
    file.write_text("Barrel 1  free SO2 24\n", encoding="utf-8")
    renewed(file, "Barrel 1  free SO2 25\n")
    said = capsys.readouterr().out
    assert "-Barrel 1  free SO2 24" in said
    assert "+Barrel 1  free SO2 25" in said
    assert file.read_text(encoding="utf-8") == "Barrel 1  free SO2 25\n"
    renewed(file, "Barrel 1  free SO2 25\n")
    assert capsys.readouterr().out == ""


def test_no_picture_is_left_of_a_screen_that_is_gone() -> None:
    assert {one.stem for one in GOLDEN.glob("*.txt")} == {name_of(view, size) for view in VIEWS for size in SIZES}


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
def test_every_screen_fills_its_room_and_keeps_to_it(size: tuple[int, int]) -> None:
    width, height = size
    for view, text in kept(size):
        rows = text.splitlines()
        assert len(rows) <= height, view
        assert all(cells(row) <= width for row in rows), view
        assert sum(bool(row.strip()) for row in rows) >= 5, f"{view} is nearly empty"
        foot = rows[-1]
        assert any(word in foot for word in ("Esc", "keys", "Enter", CUT)), f"{view} says no way on: {foot}"
