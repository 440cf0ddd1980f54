"""Only what differs is sent: whatever is drawn, the terminal shows the same as if all of it had been sent."""

from __future__ import annotations

from collections.abc import Sequence

import pyte
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cellar_tui.tui import shown_cells
from cellar_tui.tui.shown_cells import Row, ShownCells

WIDTH, HEIGHT = 24, 9
STYLES = ("", "38;5;254;48;5;233", "1;38;5;215;48;5;233", "38;5;233;48;5;223", "4;31", "7", "38;2;1;2;3", "2;3")
WORDS = ("Barrel 2", "     ", "~24", "░░1=", "tank 葡萄酒 1", "é", "a", "Late field 26  ")


def place(x: int, y: int) -> str:
    return f"\x1b[{y + 1};{x + 1}H"


def drawn(text: str, style: str) -> str:
    return f"\x1b[{style}m{text}\x1b[0m" if style else text


@st.composite
def drawings(draw: st.DrawFn) -> str:
    """A drawing as the interface makes it: lines from a place on, or a list of whole lines that moved."""
    if draw(st.booleans()):
        first = draw(st.integers(0, 3))
        rows = [f"{drawn(f'{(first + at) * 7919:<{WIDTH}}', STYLES[(first + at) % 2])}" for at in range(6)]
        return "\n".join(place(0, 1 + at) + row for at, row in enumerate(rows))
    found = []
    for _ in range(draw(st.integers(1, 4))):
        x, y = draw(st.integers(0, WIDTH - 1)), draw(st.integers(0, HEIGHT - 1))
        words = draw(st.lists(st.tuples(st.sampled_from(WORDS), st.sampled_from(STYLES)), max_size=3))
        line, room = "", WIDTH - x
        for word, style in words:
            kept = word if sum(2 if ord(one) > 0x3000 else 1 for one in word) <= room else ""
            room -= sum(2 if ord(one) > 0x3000 else 1 for one in kept)
            line += drawn(kept, style)
        found.append(place(x, y) + line + ("\r\n" if y < HEIGHT - 1 else ""))
    return "".join(found) + place(0, 0)


def seen(parts: Sequence[str]) -> list[list[tuple[str, ...]]]:
    """Return what a terminal shows: of a space only what can be seen."""
    screen = pyte.Screen(WIDTH, HEIGHT)
    stream = pyte.Stream(screen)
    # The terminal driver of the system turns the end of a line into a return and a new line.
    stream.feed("".join(parts).replace("\r\n", "\n").replace("\n", "\r\n"))
    return [[_cell(_whole(screen, x, y)) for x in range(WIDTH)] for y in range(HEIGHT)]


def _whole(screen: pyte.Screen, x: int, y: int) -> pyte.screens.Char:
    """Return a cell; half of a wide character whose other half was drawn over is blank, as terminals have it."""
    row = screen.buffer[y]
    wide = [ord(row[at].data[:1] or " ") > 0x3000 for at in range(WIDTH)]
    lone_lead = wide[x] and (x + 1 == WIDTH or row[x + 1].data != "")
    lone_rest = row[x].data == "" and not (x and wide[x - 1])
    return row[x]._replace(data=" ") if lone_lead or lone_rest else row[x]


def _cell(one: pyte.screens.Char) -> tuple[str, ...]:
    shown = (one.bg, str(one.underscore), str(one.reverse), str(one.strikethrough))
    if one.data == " " and not one.reverse:
        return (one.data, *shown)
    return (one.data, one.fg, str(one.bold), str(one.italics), *shown)


def sent(parts: Sequence[str]) -> list[str]:
    screen = ShownCells()
    return [screen.feed(one) for one in parts]


BLANK = "".join(place(0, y) + " " * WIDTH for y in range(HEIGHT))


@settings(max_examples=300, deadline=None)
@given(st.lists(drawings(), max_size=8))
def test_the_terminal_shows_what_was_drawn(parts: list[str]) -> None:
    whole = [BLANK, *parts]
    assert seen(sent(whole)) == seen(whole)


@given(st.lists(drawings(), min_size=1, max_size=4))
def test_what_stands_there_already_is_not_sent_again(parts: list[str]) -> None:
    screen = ShownCells()
    screen.feed("".join(parts))
    for y in range(HEIGHT):
        screen.feed(place(0, y) + "x" * WIDTH)
        assert screen.feed(place(0, y) + "x" * WIDTH) == ""


def _rows(first: int) -> str:
    return "".join(place(0, at) + f"{f'{(first + at) * 7919} ' * 5:.24}" for at in range(HEIGHT))


@pytest.mark.parametrize("step", [1, -1, 2, -2])
def test_a_list_that_moves_is_scrolled_by_the_terminal(step: int) -> None:
    parts = sent([_rows(10), _rows(10 + step)])
    assert len(parts[1]) < WIDTH * (abs(step) + 1) + 40
    assert seen(parts) == seen([_rows(10 + step)])


def test_a_screen_of_another_size_is_drawn_whole() -> None:
    screen = ShownCells()
    screen.feed(_rows(1))
    assert screen.feed(_rows(1)) == ""
    screen.forget()
    assert seen([screen.feed(_rows(1))]) == seen([_rows(1)])
    assert "31676" in screen.feed(f"\x1b[?1049h{_rows(1)}")


def test_what_is_neither_text_nor_place_nor_colour_goes_through_in_its_order() -> None:
    said = "\x1b[?1049h\x1b[?25l\x1b]2;cellar\x07"
    assert ShownCells().feed(f"{said}{place(2, 1)}a\x1b[?25h") == f"{said}{place(2, 1)}a{place(3, 1)}\x1b[?25h"


FAULTS: list[tuple[str, object, object]] = [
    ("differing", Row, lambda row, old: [at for at, one in enumerate(row.chars) if old.chars[at : at + 1] != [one]]),
    ("_step", shown_cells, lambda old, new: "" if old.text == new.text else f"\x1b[0;{new.text}m"),
]
"""A colour alone that changes is overlooked; a step that forgets the ground."""


@pytest.mark.parametrize(("name", "where", "fault"), FAULTS, ids=[one[0] for one in FAULTS])
def test_a_fault_in_it_is_caught(name: str, where: object, fault: object, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(where, name, fault)
    with pytest.raises(AssertionError):
        test_the_terminal_shows_what_was_drawn()
