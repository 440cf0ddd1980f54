"""A line that is being typed. It knows no terminal: a key changes it at once, so that no later key can overtake it."""

from __future__ import annotations

import re
from dataclasses import dataclass

DOUBLE = 0.6
"""Seconds within which an Enter right after an Enter is taken for a slip of the finger (common practice)."""

_WORD = re.compile(r"\S+\s*")
_GAP = re.compile(r"[\t\n\r\x0b\x0c\x85]+")


@dataclass(frozen=True, slots=True)
class Press:
    """One key as the keyboard sent it, or a text pasted in one piece.

    Attributes:
        key: its name, such as "a", "backspace", "shift+tab"; "paste" for a pasted text.
        text: what it writes, "" where it writes nothing.
        again: it is an Enter right after an Enter: it may go on to what comes next, but records nothing.
    """

    key: str
    text: str = ""
    again: bool = False


class Pace:
    """Tells a second Enter of a slip from one that is meant."""

    def __init__(self) -> None:
        self._entered = float("-inf")

    def press(self, key: str, text: str, at: float) -> Press:
        """Return a key pressed at a time [s of a steady clock], marked where it is the second Enter of two."""
        again = key == "enter" and at - self._entered < DOUBLE
        self._entered = at if key == "enter" else float("-inf")
        return Press(key, text, again)


class TypedLine:
    """Text, cursor and selection of one field.

    Attributes:
        text: what stands there.
        cursor: place of the cursor, in characters from the beginning.
        anchor: where the selection begins; equal to `cursor` where nothing is selected.
    """

    def __init__(self, text: str = "") -> None:
        self.text = text
        self.cursor = self.anchor = len(text)

    @property
    def selection(self) -> tuple[int, int]:
        """First character selected, and the one after the last."""
        return min(self.anchor, self.cursor), max(self.anchor, self.cursor)

    @property
    def is_selected(self) -> bool:
        """Whether everything is selected, so that a letter takes the place of all of it."""
        return self.selection == (0, len(self.text))

    def put(self, text: str) -> None:
        """Write another text there, with the cursor behind it."""
        self.text = text
        self._go(len(text))

    def select_all(self) -> None:
        """Select everything, so that typing takes its place."""
        self.anchor, self.cursor = 0, len(self.text)

    def put_cursor(self, cursor: int) -> None:
        """Put the cursor on a character, nothing selected."""
        self._go(cursor)

    def press(self, press: Press) -> bool:
        """Act on a key; return whether it is one that edits a line."""
        if press.text and (press.key == "paste" or press.text.isprintable()):
            self.write(pasted(press.text) if press.key == "paste" else press.text)
            return True
        name, _, last = press.key.rpartition("+")
        if name == "shift" and last in ("left", "right", "home", "end"):
            self.cursor = self._target(last)
            return True
        return self._move(press.key) or self._delete(press.key)

    def write(self, text: str) -> None:
        """Write a text at the cursor, in the place of what is selected."""
        first, last = self.selection
        self.text = self.text[:first] + text + self.text[last:]
        self._go(first + len(text))

    # -- moving and deleting

    def _go(self, cursor: int) -> None:
        self.cursor = self.anchor = min(max(cursor, 0), len(self.text))

    def _target(self, key: str) -> int:
        """Return where a key would put the cursor."""
        at, end = self.cursor, len(self.text)
        starts = [one.start() for one in _WORD.finditer(self.text)]
        return {
            "left": max(0, at - 1),
            "right": min(end, at + 1),
            "home": 0,
            "ctrl+a": 0,
            "end": end,
            "ctrl+e": end,
            "ctrl+left": max((start for start in starts if start < at), default=0),
            "ctrl+right": min((start for start in starts if start > at), default=end),
        }.get(key, -1)

    def _move(self, key: str) -> bool:
        first, last = self.selection
        if first != last and key in ("left", "right"):
            self._go(first if key == "left" else last)
            return True
        target = self._target(key)
        if target >= 0:
            self._go(target)
        return target >= 0

    def _delete(self, key: str) -> bool:
        spans = {
            "backspace": "left",
            "ctrl+h": "left",
            "delete": "right",
            "ctrl+d": "right",
            "ctrl+w": "ctrl+left",
            "ctrl+k": "end",
        }
        if key == "ctrl+u":
            # On a filled-in field the whole of it is meant, wherever the cursor stands.
            self.put("")
            return True
        if key not in spans:
            return False
        if self.anchor == self.cursor:
            self.anchor = self._target(spans[key])
        self.write("")
        return True


def pasted(text: str) -> str:
    """Return a pasted text as it may stand in one line: breaks are spaces, and no control character is left."""
    return "".join(sign for sign in _GAP.sub(" ", text) if sign.isprintable()).strip()
