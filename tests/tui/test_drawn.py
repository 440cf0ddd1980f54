"""How the cellar is drawn: columns that fit every width, colours that can be read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict

import pytest
from rich.color import Color as RichColor
from rich.color import ColorSystem, ColorType
from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.pilot import Pilot

from cellar_tui.language.clean_text import CUT, cells
from cellar_tui.service.open import OpenCellar
from cellar_tui.tui.keys import Place, keys_of
from cellar_tui.tui.screens.board_table import table
from cellar_tui.tui.widgets.cells import PaletteFilter
from cellar_tui.tui.widgets.short import footer
from cellar_tui.tui.widgets.themes import IN_16_DARK, IN_16_LIGHT, ON_DARK, ON_LIGHT, Shades
from tests.tui.seen import cellar, choose, opened, text

READABLE = 4.5
"""Contrast of text on its ground, WCAG 2.1 level AA (from memory)."""


@pytest.fixture(scope="module")
def service(tmp_path_factory: pytest.TempPathFactory) -> Iterator[OpenCellar]:
    found = cellar(tmp_path_factory.mktemp("drawn"))
    yield found
    found.close()


@pytest.mark.parametrize("width", [58, 60, 72, 79, 80, 92, 100, 120, 200])
def test_the_columns_fit_and_the_most_needed_ones_stay(service: OpenCellar, width: int) -> None:
    board = service.view.board()
    found = table(board.lines, board.today, "metric", width)
    assert {"vessel", "wine", "ph", "free", "letters", "next", "due"} <= set(found.widths)
    assert cells(found.heads()) <= width
    for line in board.lines:
        assert cells("".join(text for text, _ in found.parts(line, board.today))) <= width


def test_style_goes_before_litres_and_litres_before_molecular_so2(service: OpenCellar) -> None:
    board = service.view.board()
    shown = [set(table(board.lines, board.today, "metric", width).widths) for width in range(120, 50, -1)]
    for name, after in (("style", "volume"), ("volume", "molecular")):
        assert not [one for one in shown if name in one and after not in one]


def test_litres_are_gallons_where_the_house_counts_in_them(service: OpenCellar) -> None:
    board = service.view.board()
    found = table(board.lines, board.today, "us", 120)
    assert " gal " in found.heads()
    line = next(one for one in board.lines if one.name == "Demijohn 1")
    # 22.7 L / 3.785 L a US gallon (from memory).
    assert " 6.0 " in "".join(text for text, _ in found.parts(line, board.today))


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours by the formula of WCAG 2.1 (from memory)."""
    found = []
    for colour in (Color.parse(one), Color.parse(other)):
        parts = [part / 255 for part in (colour.r, colour.g, colour.b)]
        linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        found.append(0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2])
    return (max(found) + 0.05) / (min(found) + 0.05)


TEXTS = ("ink", "late", "stop", "proven", "quiet", "accent")


@pytest.mark.parametrize("shades", [ON_DARK, ON_LIGHT], ids=["dark", "light"])
def test_every_text_can_be_read_on_its_ground_on_the_bar_and_in_a_field(shades: Shades) -> None:
    for ground in (shades.ground, shades.bar, shades.field):
        for name in TEXTS:
            assert contrast(ground, getattr(shades, name)) >= READABLE, name
    assert contrast(shades.selection, shades.ink) >= READABLE
    assert contrast(shades.cursor, shades.on_cursor) >= READABLE


def drawn(segments: list[Segment]) -> list[Style]:
    """Return the styles in which segments leave the program."""
    return [one.style for one in PaletteFilter().apply(segments, Color(0, 0, 0)) if one.style is not None]


@pytest.mark.parametrize("shades", [ON_DARK, ON_LIGHT], ids=["dark", "light"])
def test_every_colour_goes_out_as_it_is_over_a_line_of_256_colours(shades: Shades) -> None:
    for shade in asdict(shades).values():
        (style,) = drawn([Segment("x", Style(color=shade, bgcolor=shade))])
        for colour in (style.color, style.bgcolor):
            assert colour is not None
            sent = colour.downgrade(ColorSystem.EIGHT_BIT)
            assert sent.get_truecolor().hex == shade


def test_a_colour_that_the_library_mixes_becomes_the_nearest_of_the_palette() -> None:
    # White with a little red in it: the library's own conversion makes it 224, which is pink.
    warm = RichColor.parse("#ece5da")
    assert warm.downgrade(ColorSystem.EIGHT_BIT).number == 224
    (style,) = drawn([Segment("x", Style(color=warm))])
    assert style.color is not None
    assert style.color.number == 254


@pytest.mark.parametrize("shades", [IN_16_DARK, IN_16_LIGHT], ids=["dark", "light"])
def test_in_sixteen_colours_quiet_text_is_the_ink_and_nothing_is_bright_black(shades: Shades) -> None:
    assert shades.quiet == shades.ink == "ansi_default"
    assert all(one.startswith("ansi_") and one != "ansi_bright_black" for one in asdict(shades).values())
    assert shades.cursor != shades.on_cursor


@pytest.mark.parametrize(("size", "many"), [((80, 24), 4), ((140, 45), 4)])
async def test_every_colour_on_the_screen_is_of_the_palette(
    service: OpenCellar, size: tuple[int, int], many: int
) -> None:
    async with opened(service, size) as pilot:
        for keys in ((), ("?",), ("escape", "enter"), ("a",)):
            await pilot.press(*keys)
            await pilot.pause(0.2)
            found = colours_of(pilot)
            assert len(found) >= many
            assert all(one.type is ColorType.EIGHT_BIT for one in found), found


def colours_of(pilot: Pilot[int]) -> set[RichColor]:
    """Return every colour in which the screen is drawn."""
    segments = [one for strip in pilot.app.screen._compositor.render_strips() for one in strip]
    for one in pilot.app.get_line_filters():
        segments = one.apply(segments, Color(0, 0, 0))
    styles = [one.style for one in segments if one.style is not None]
    return {colour for style in styles for colour in (style.color, style.bgcolor) if colour is not None}


ROLES_OF_SIGNS = {"+": "proven", "~": "", "-": "quiet", "!": "stop", "w": "waived"}


def test_the_letters_of_a_wine_wear_the_role_of_their_sign_and_what_is_due_that_of_its_day(service: OpenCellar) -> None:
    board = service.view.board()
    seen = set()
    for line in board.lines:
        if line.wine is None:
            continue
        found = table(board.lines, board.today, "metric", 80).parts(line, board.today)
        assert all(ROLES_OF_SIGNS[text] == role for text, role in found if text in ROLES_OF_SIGNS)
        late = line.next is not None and line.next.status == "late"
        assert any(role == "late" and " late" in text for text, role in found) == late
        seen |= {role for _, role in found}
    assert {"late", "quiet"} <= seen


@pytest.mark.parametrize("place", ["cellar", "wine", "form", "round", "bench", "step", "release"])
@pytest.mark.parametrize("width", [40, 60, 80, 140])
def test_a_key_that_the_last_line_leaves_out_is_told_by_a_mark(place: Place, width: int) -> None:
    shown = footer(place, width)
    assert cells(shown) <= width
    missing = [one.label for one in keys_of(place) if one.footer and one.label not in shown]
    assert shown.endswith(CUT) == bool(missing)
    assert "Esc" in shown or "? keys" in shown


async def test_no_size_of_terminal_ends_the_program(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        choose(pilot, "Barrel 2")
        for size in ((20, 5), (10, 3), (1, 1), (40, 10), (200, 60)):
            await pilot.resize_terminal(*size)
            await pilot.pause(0.05)
        assert "Barrel 2" in text(pilot)
        await pilot.press("enter")
        for size in ((10, 3), (40, 10), (140, 45)):
            await pilot.resize_terminal(*size)
            await pilot.pause(0.05)
        assert "Ledger" in text(pilot)


@pytest.mark.parametrize("setting", [{"TERM": "xterm"}, {"TERM": "xterm", "COLORFGBG": "0;15"}, {"NO_COLOR": "1"}])
async def test_the_program_opens_in_few_colours_and_in_none(
    service: OpenCellar, monkeypatch: pytest.MonkeyPatch, setting: dict[str, str]
) -> None:
    for name in ("COLORTERM", "COLORFGBG", "NO_COLOR"):
        monkeypatch.delenv(name, raising=False)
    for name, value in setting.items():
        monkeypatch.setenv(name, value)
    async with opened(service) as pilot:
        await pilot.press("a")
        await pilot.pause(0.2)
        assert "Addition" in text(pilot)
