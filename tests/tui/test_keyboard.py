"""Escape is never lost, whatever came with it; what a terminal says for itself is left alone."""

from __future__ import annotations

import pytest
from textual._xterm_parser import XTermParser

from cellar_tui.tui.keyboard import Parted, forgiving


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
    assert [event.key for event in XTermParser().feed(Parted()(typed)) if hasattr(event, "key")] == pressed


@pytest.mark.parametrize(("later", "pressed"), [(0.01, ["escape", "enter"]), (60.0, ["enter"])])
def test_enter_in_the_piece_after_escape_is_not_alt(later: float, pressed: list[str]) -> None:
    now = iter((0.0, later, later))
    parted = Parted(lambda: next(now))
    first, second = parted("\x1b"), parted("\r")
    parser = XTermParser()
    # After a minute the library has told the Escape by itself, and begins anew.
    pieces = [first + second] if later < 1 else [second]
    assert [event.key for piece in pieces for event in parser.feed(piece) if hasattr(event, "key")] == pressed


def test_bytes_that_are_no_text_become_marks() -> None:
    assert forgiving("utf-8")().decode(b"a\xff\x1b\r") == "a\ufffd\x1b[27u\r"
