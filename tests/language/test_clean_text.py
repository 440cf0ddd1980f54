"""Text from people and files: what is kept, what is dropped, and how it is cut to fit."""

from __future__ import annotations

import time
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cellar_tui.language.clean_text import CUT, NAME_LIMIT, NOTE_LIMIT, TextError, cells, clean, safe, shown

FORBIDDEN = {
    *map(chr, range(0x20)),
    *map(chr, range(0x7F, 0xA0)),
    *map(chr, range(0x202A, 0x202F)),
    *map(chr, range(0x2066, 0x206A)),
    "\u2028",
    "\u2029",
    "\u200b",
    "\ufeff",
}

HOSTILE = [
    "\x1b]0;owned\x07Regent",
    "\x1b]52;c;aGk=\x1b\\",
    "\x1b[2J\x1b[31mred",
    "\x9b31mred",
    "\x1bPq\x1b\\",
    "nul\x00del\x7f",
    "abc\u202egnp.exe",
    "\u2066a\u2069",
    "zero\u200bwidth\ufeff",
    "lone \udcff surrogate",
    "one\r\ntwo\rthree\x85four\u2028five\u2029six\x0bseven",
    "[/x] [@click=app.quit]x[/] [red]",
    "a" + "\u0301" * 50,
    "🍷" * 60,
    "\t \n",
]


def is_plain(text: str, allowed: str = "") -> bool:
    return not any(
        (sign in FORBIDDEN or unicodedata.category(sign) in ("Cc", "Cs")) and sign not in allowed for sign in text
    )


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("Regent 25", "Regent 25"),
        ("  Back   wall \t left ", "Back wall left"),
        ("Gewu\u0308rztraminer", "Gewürztraminer"),
        ("low [SO2] 25", "low [SO2] 25"),
        ("[/x]", "[/x]"),
        ("Regent\x1b]0;x\x07 25", "Regent]0;x 25"),
        ("a\x9b31mb", "a31mb"),
        ("abc\u202edef", "abcdef"),
        ("one\ntwo\r\nthree\u2028four", "one two three four"),
        ("family \U0001f468\u200d\U0001f469 ❤\ufe0f", "family \U0001f468\u200d\U0001f469 ❤\ufe0f"),
        ("می\u200cخواهم", "می\u200cخواهم"),
        ("lone\udcff", "lone"),
        ("1\u00a0000", "1 000"),
        ("\x00\x1b\x7f", ""),
    ],
)
def test_a_name_keeps_its_letters_and_loses_what_could_drive_a_terminal(typed: str, kept: str) -> None:
    assert clean(typed, limit=NAME_LIMIT) == kept


def test_a_note_keeps_its_lines() -> None:
    assert clean("  first \r\nsecond\r\rthird\t end\n\n", limit=NOTE_LIMIT, lines=True) == "first\nsecond\n\nthird end"


def test_a_text_over_its_limit_is_refused_and_never_cut_on_the_way_in() -> None:
    assert clean("x" * 80, limit=NAME_LIMIT) == "x" * 80
    with pytest.raises(TextError, match="^Shorten the text to at most 80 characters; it has 81.$"):
        clean("x" * 81, limit=NAME_LIMIT)
    assert clean(" " * 500 + "x", limit=NAME_LIMIT) == "x"


def test_a_pasted_megabyte_is_refused_at_once() -> None:
    began = time.perf_counter()
    with pytest.raises(TextError):
        clean("wine \x1b" * 170_000, limit=NOTE_LIMIT)
    assert time.perf_counter() - began < 2  # measured: a tenth of this


@pytest.mark.parametrize("text", HOSTILE)
def test_nothing_from_a_hostile_text_reaches_the_terminal(text: str) -> None:
    assert is_plain(safe(text))
    assert is_plain(safe(text, lines=True), allowed="\n")
    assert is_plain(clean(text, limit=NOTE_LIMIT))
    assert is_plain(shown(text, 20))
    assert cells(shown(text, 20)) <= 20


@given(st.text(max_size=200), st.booleans())
def test_cleaning_twice_is_cleaning_once(text: str, lines: bool) -> None:
    once = safe(text, lines=lines)
    assert is_plain(once, allowed="\n" if lines else "")
    assert safe(once, lines=lines) == once
    assert clean(text, limit=1000, lines=lines) == once
    assert unicodedata.is_normalized("NFC", once)


@pytest.mark.parametrize(
    ("text", "width", "cut"),
    [
        ("Regent 25", 9, "Regent 25"),
        ("Regent 25", 8, "Regent" + CUT),
        ("Gewürztraminer 26", 10, "Gewürztra" + CUT),
        ("葡萄酒", 6, "葡萄酒"),
        ("葡萄酒", 5, "葡萄" + CUT),
        ("葡萄酒", 4, "葡" + CUT),
        ("e\u0301" * 3, 3, "é" * 3),
        ("x\u0331" * 4, 3, "x\u0331x\u0331" + CUT),
        ("Regent", 1, CUT),
        ("Regent", 0, ""),
        ("", 0, ""),
    ],
)
def test_a_cut_is_marked_and_never_wider_than_its_place(text: str, width: int, cut: str) -> None:
    assert shown(text, width) == cut


@pytest.mark.parametrize(
    ("text", "width"),
    [("Öl", 2), ("酒", 2), ("🍷", 2), ("❤\ufe0f", 2), ("🍷\ufe0f", 2), ("e\u0301", 1), ("می\u200cخ", 3), ("", 0)],
)
def test_cells_are_counted_as_a_terminal_draws_them(text: str, width: int) -> None:
    assert cells(text) == width


@given(st.text(max_size=80), st.integers(min_value=0, max_value=40))
def test_any_text_fits_the_width_it_is_shown_in(text: str, width: int) -> None:
    line = shown(text, width)
    assert cells(line) <= width
    assert line.endswith(CUT) or line == safe(text) or width == 0
