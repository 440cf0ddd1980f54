"""How the cellar is drawn: columns that fit every width, charts that keep to their scale, colours that can be read."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from textual.color import Color
from textual.theme import Theme

from cellar_tui.language.clean_text import CUT, cells
from cellar_tui.service.open import OpenCellar
from cellar_tui.tui.keys import Place, keys_of
from cellar_tui.tui.screens.board_table import table
from cellar_tui.tui.widgets.chart import DOT, TARGET, Series, draw
from cellar_tui.tui.widgets.short import footer
from cellar_tui.tui.widgets.themes import DARK, LIGHT
from tests.tui.seen import cellar, choose, opened, text

READABLE = 4.5
"""Contrast of text on its ground, WCAG 2.1 level AA (from memory)."""
TODAY = date(2026, 11, 26)


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


@pytest.mark.parametrize("theme", [DARK, LIGHT], ids=["dark", "light"])
def test_every_text_can_be_read_on_its_ground(theme: Theme) -> None:
    names = ("text-muted", "text-warning", "text-success", "text-error", "text-primary")
    for ground in (theme.background or "", theme.surface or ""):
        assert contrast(ground, theme.foreground or "") >= READABLE
        for name in names:
            assert contrast(ground, theme.variables[name]) >= READABLE, name
    assert contrast(theme.variables["block-cursor-background"], theme.variables["block-cursor-foreground"]) >= 7


values = st.floats(0, 300, allow_nan=False)
points = st.lists(st.tuples(st.integers(0, 400), values), min_size=1, max_size=60)


@given(points, st.none() | values, st.integers(20, 120), st.integers(4, 30))
def test_a_chart_keeps_to_its_room(
    found: list[tuple[int, float]], target: float | None, width: int, height: int
) -> None:
    read = sorted((TODAY - timedelta(days=day), value) for day, value in found)
    series = Series("free SO2 mg/L", 0, read, TODAY, target)
    drawn = ["".join(text for text, _ in line) for line in draw(series, width, height)]
    assert len(drawn) <= max(height, 6)
    assert all(cells(one) <= max(width, 16) for one in drawn)
    assert any(DOT in one for one in drawn)


HISTORIES: dict[str, list[tuple[int, float]]] = {
    "one": [(10, 30)],
    "two": [(40, 34), (10, 28)],
    "two hundred": [(600 - 3 * step, 35 - step % 11) for step in range(200)],
    "a gap of a year": [(420, 30), (400, 27), (20, 33), (5, 31)],
}
"""Days ago and free SO2 [mg/L]."""


@pytest.mark.parametrize("name", HISTORIES)
@pytest.mark.parametrize(("width", "height"), [(30, 8), (56, 12), (70, 16)])
def test_a_chart_shows_first_and_last_day_highest_and_lowest(name: str, width: int, height: int) -> None:
    read = [(TODAY - timedelta(days=ago), value) for ago, value in HISTORIES[name]]
    drawn = ["".join(text for text, _ in line) for line in draw(Series("free SO2 mg/L", 0, read, TODAY), width, height)]
    dots = sum(line.count(DOT) for line in drawn)
    # Readings of one column and height share a dot; first, last, highest and lowest of many each have theirs.
    few = {"one": (1, 1), "two": (2, 2), "two hundred": (4, width), "a gap of a year": (2, 4)}
    least, most = few[name]
    assert least <= dots <= most, f"{dots} dots"
    assert "free SO2 mg/L" in drawn[0]
    first = read[0][0]
    assert f"{first.day} {first:%b}" in drawn[-1], "the first day stands under it"
    assert "today" in drawn[-1]
    highest, lowest = max(value for _, value in read), min(value for _, value in read)
    axis = [float(line.split("┤")[0]) for line in drawn if "┤" in line and line.split("┤")[0].strip()]
    assert max(axis) >= highest
    assert min(axis) <= lowest
    assert any("┤" in line for line in drawn), "the axis has its numbers"


def test_a_higher_reading_is_drawn_higher_and_the_target_between() -> None:
    series = Series("free SO2 mg/L", 0, [(date(2026, 9, 1), 40.0), (TODAY, 10.0)], TODAY, 25.0)
    drawn = ["".join(text for text, _ in line) for line in draw(series, 60, 16)]
    dots = [row for row, one in enumerate(drawn) if DOT in one]
    (target,) = [row for row, one in enumerate(drawn) if TARGET in one]
    assert dots[0] < target < dots[-1]
    assert "25 ┤" in drawn[target]
    assert "1 Sep 26" in drawn[-1]


def test_a_reading_that_was_never_taken_says_so() -> None:
    ((part,),) = draw(Series("malic acid g/L", 2, [], TODAY), 40, 10)
    assert part[0] == "malic acid g/L: not read yet"


@pytest.mark.parametrize("place", ["cellar", "wine", "form", "round", "bench", "step", "release"])
@pytest.mark.parametrize("width", [40, 60, 80, 140])
def test_a_key_that_the_last_line_leaves_out_is_told_by_a_mark(place: Place, width: int) -> None:
    shown = footer(place, width)
    assert cells(shown) <= width
    missing = [one.label for one in keys_of(place) if one.footer and one.label not in shown]
    assert shown.endswith(CUT) == bool(missing)
    assert "Esc" in shown or "? keys" in shown


async def test_beside_the_list_the_selected_wine_says_why_each_verdict_stands(service: OpenCellar) -> None:
    async with opened(service, (140, 45)) as pilot:
        choose(pilot, "Barrel 2")
        await pilot.pause(0.5)
        view = service.view.wine("Barrel 2")
        assert view.plan is not None
        seen = " ".join(line[90:].strip() for line in text(pilot).splitlines())
        for one in view.plan.verdicts.values():
            assert one.because.reason.split()[0] in seen
        assert "target" in seen.partition("SO2 ")[2]
        assert "free SO2 21 mg/L on 20 Oct" in " ".join(seen.split())
        choose(pilot, "Demijohn 9")
        await pilot.pause(0.3)
        assert "y begins a wine in it" in " ".join(" ".join(text(pilot).split()).split())


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
