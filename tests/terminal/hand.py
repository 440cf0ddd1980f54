"""A hand at a real terminal: it types the same keys at any pace, in pieces or one at a time."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass

from tests.terminal.desk import Desk

KEYS = {
    "Backspace": "\x7f",
    "Delete": "\x1b[3~",
    "Left": "\x1b[D",
    "Right": "\x1b[C",
    "Up": "\x1b[A",
    "Down": "\x1b[B",
    "Home": "\x1b[H",
    "End": "\x1b[F",
    "Ctrl+U": "\x15",
    "Ctrl+Y": "\x19",
    "Ctrl+O": "\x0f",
    "Tab": "\t",
    "Shift+Tab": "\x1b[Z",
    "Enter": "\r",
    "Escape": "\x1b",
    "F5": "\x1b[15~",
    "F6": "\x1b[17~",
    "F7": "\x1b[18~",
    "F8": "\x1b[19~",
    "F9": "\x1b[20~",
}
"""What a terminal sends for the keys that write nothing (xterm's control sequences)."""
GAPS = (0.0, 0.005, 0.030, 0.100)
"""Seconds between two pieces of what arrives."""
QUIET = 0.12
"""Seconds in which nothing is printed, once a key has been dealt with."""
SLIP = 0.7
"""Seconds that must lie between two Enters that are both meant."""


def sent(key: str) -> bytes:
    """Return the bytes of a key by its name; anything longer is pasted in brackets, as a terminal does it."""
    if key in KEYS:
        return KEYS[key].encode()
    return key.encode() if len(key) == 1 else b"\x1b[200~" + key.encode() + b"\x1b[201~"


@dataclass(frozen=True)
class Cut:
    """Where what is typed is cut into pieces, in bytes, and how long each piece is waited for."""

    places: tuple[int, ...]
    gaps: tuple[float, ...]


def in_pieces(desk: Desk, keys: Sequence[str], cut: Cut) -> None:
    """Send keys as they arrive over a line: in pieces that know nothing of keys."""
    whole = b"".join(map(sent, keys))
    ends = sorted({one for one in cut.places if 0 < one < len(whole)} | {len(whole)})
    begin = 0
    for number, end in enumerate(ends):
        desk.type(whole[begin:end])
        begin = end
        wait = time.monotonic() + cut.gaps[number % len(cut.gaps)]
        while (left := wait - time.monotonic()) > 0:
            desk.read(left)


def one_at_a_time(desk: Desk, keys: Sequence[str]) -> None:
    """Press each key when the screen is quiet after the one before."""
    for before, key in zip(["", *keys], keys, strict=False):
        if before == key == "Enter":
            desk.settle(SLIP)
        desk.type(sent(key))
        desk.settle(QUIET)
        if key == "Escape":
            # Alone, it is told from the beginning of another key by what does not come.
            desk.settle(0.3)
