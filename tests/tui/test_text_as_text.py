"""Whatever a person or a file wrote is shown as text: no markup, no command, no terminal control."""

from __future__ import annotations

from pathlib import Path

import pytest
from rich.segment import Segment
from textual.color import Color
from textual.content import Content

from cellar_tui.language.layout import column
from cellar_tui.service.open import create_cellar
from cellar_tui.service.views import Request
from cellar_tui.tui.screens.wine import WineScreen
from cellar_tui.tui.widgets.cells import ControlFilter, label
from tests.tui.seen import NOW, SETTLED, flat, opened, text

HOSTILE = ("[red]Barrel[/]", "[/]", "low [SO2] 25", "[@click=app.quit]x[/]", "[b", "[not a tag!]", "Öl 酒 é")


async def test_every_name_stands_in_the_cellar_as_it_is_written(tmp_path: Path) -> None:
    service = create_cellar(tmp_path / "cellar.db", lambda: NOW, by="[/b]", zone="UTC")
    for name in HOSTILE:
        service.recorder.add_vessel({"name": name, "capacity": "23L", "material": "glass", "place": name})
        wine = {"name": f"W {name}", "style": "dry_white", "volume": "22", "finished": "yes", "alcohol": "12"}
        service.recorder.start_wine(Request(name, "wine", wine, "2026-11-01"))
    async with opened(service, (140, 45)) as pilot:
        for name in HOSTILE:
            # Where the column is narrower than the name its end is cut, never its signs.
            assert f" {name[:9]}" in text(pilot)
            assert f" W {name[:9]}" in text(pilot)
        assert "[/b]" in text(pilot)
    service.close()


@pytest.mark.parametrize("name", HOSTILE)
async def test_a_name_is_shown_as_it_is_written_on_every_screen(name: str, tmp_path: Path) -> None:
    service = create_cellar(tmp_path / "cellar.db", lambda: NOW, by=name, zone="UTC")
    service.recorder.add_vessel({"name": name, "capacity": "23L", "material": "glass", "place": name})
    wine = {"name": name, "style": "dry_white", "volume": "22", "finished": "yes", "alcohol": "12"}
    service.recorder.start_wine(Request(name, "wine", wine, "2026-11-01"))
    service.recorder.record(Request(name, "note", {"text": f"note {name}"}, by=name))
    async with opened(service, (100, 40)) as pilot:
        await pilot.press("enter")
        await pilot.pause(0.1)
        wine_screen = pilot.app.screen
        assert isinstance(wine_screen, WineScreen)
        assert f"note {name}" in text(pilot)
        assert [one for one in text(pilot).splitlines() if name in one and f"note {name}" not in one], "the name itself"
        place = next(i for i, one in enumerate(wine_screen.listing.rows) if one.written is not None)
        wine_screen.listing.select(place)
        await pilot.press("enter")
        await pilot.pause()
        assert f"note {name}" in text(pilot)
        await pilot.press("escape", "e")
        await pilot.pause()
        assert f"note {name}" in text(pilot)
        await pilot.press("escape", "u")
        await pilot.pause(SETTLED)
        assert f"Taken back: note {name}" in flat(pilot)
    service.close()


CONTROLS = ("\x1b]0;x\x07", "\x1b[2J", "\x9b31m", "\x1bP1$r\x1b\\", "\x1b]52;c;eA==\x07", "\u202eabc", "\x00", "\x7f")


@pytest.mark.parametrize("text", CONTROLS)
def test_no_control_character_gets_past_the_helpers_or_the_wall(text: str) -> None:
    for shown in (column(f"a{text}b", 20), label(f"a{text}b").plain):
        assert not [one for one in shown if ord(one) < 32 or 127 <= ord(one) < 160 or one == "\u202e"]
    (segment,) = ControlFilter().apply([Segment(f"a{text}b")], Color.parse("black"))
    assert not [one for one in segment.text if ord(one) < 32 or 127 <= ord(one) < 160 or one == "\u202e"]


def test_a_label_keeps_brackets_where_markup_would_swallow_them() -> None:
    assert label("low [SO2] 25").plain == "low [SO2] 25"
    assert isinstance(label("[b]x[/b]"), Content)
    assert not label("[b]x[/b]").spans


def test_a_column_is_as_wide_as_it_says_whatever_is_in_it() -> None:
    from cellar_tui.language.clean_text import cells

    for name in HOSTILE:
        assert [cells(column(name, size)) for size in (1, 4, 9, 30)] == [1, 4, 9, 30]
