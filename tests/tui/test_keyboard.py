"""Escape is never lost, whatever came with it; what a terminal says for itself is left alone."""

from __future__ import annotations

import pytest
from textual.events import Key

from cellar_tui.tui.keyboard import PartingParser, forgiving


@pytest.mark.parametrize(
    ("typed", "pressed"),
    [
        ("\x1b\r", ["escape", "enter"]),
        ("\x1bd", ["escape", "d"]),
        ("\x1b?", ["escape", "question_mark"]),
        ("\x1b[B", ["down"]),
        ("\x1bOA", ["up"]),
        ("\x1b[27u", ["escape"]),
        ("a2\r", ["a", "2", "enter"]),
    ],
)
def test_keys_of_one_piece_are_read_one_by_one(typed: str, pressed: list[str]) -> None:
    assert keys(PartingParser(), typed) == pressed


def keys(parser: PartingParser, piece: str) -> list[str]:
    """Return the keys that a parser reads in a piece of input."""
    return [event.key for event in parser.feed(piece) if isinstance(event, Key)]


def test_a_key_in_the_piece_after_escape_is_not_alt_however_late_it_is_looked_at() -> None:
    parser = PartingParser()
    assert keys(parser, "\x1b") == []
    # A busy machine: the time of the Escape is over, and the library has not looked at the clock yet.
    parser._timeout_time = float("-inf")
    assert keys(parser, "8i") == ["escape", "8", "i"]


def test_an_escape_that_was_told_when_its_time_was_over_is_not_told_again() -> None:
    parser = PartingParser()
    assert keys(parser, "\x1b") == []
    parser._timeout_time = float("-inf")
    assert [event.key for event in parser.tick() if isinstance(event, Key)] == ["escape"]
    assert keys(parser, "8") == ["8"]


def test_an_arrow_cut_after_its_first_byte_stays_an_arrow() -> None:
    parser = PartingParser()
    assert keys(parser, "\x1b") == []
    assert keys(parser, "[B") == ["down"]


def test_bytes_that_are_no_text_become_marks() -> None:
    assert forgiving("utf-8")().decode(b"a\xff\n") == "a\ufffd\r"
