"""What the terminal shows, cell by cell, so that only what differs is sent: a slow line carries few bytes a key.

The interface draws whole lines and whole regions, often ones that did not change. Here every drawing is laid over what
stands on the terminal already; what goes out are the cells that differ, the shortest moves and changes of colour
between them, and for a list that moved by a line the terminal's own scrolling (control sequences: ECMA-48; the scroll
region: DEC STD 070). Whatever is no text, place or colour goes through as it is.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby, pairwise

from cellar_tui.language.clean_text import cells

_TOKEN = re.compile(
    r"\x1b\[(?P<place>[0-9;]*)H|\x1b\[(?P<pen>[0-9;]*)m|(?P<line>[\r\n]+)|(?P<text>[^\x1b\r\n]+)"
    r"|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)|\x1b[P_^X][^\x1b]*\x1b\\|\x1b\[[0-?]*[ -/]*[@-~]|\x1b.|\x1b"
)
_RESETS = ("\x1b[?1049h", "\x1b[?1049l", "\x1b[2J", "\x1bc")
"""What leaves a screen of which nothing is known."""
_UPDATE_MARKS = ("\x1b[?2026h", "\x1b[?2026l")
NEAR = 3
"""Cells that are sent again rather than stepped over: a step takes four bytes."""
LEAST_SCROLLED = 4
"""Lines from which it is asked whether they are others that moved."""
WORTH = 80
"""Cells that scrolling must spare: it takes about thirty bytes."""
STEPS = (1, -1, 2, -2)
"""Lines by which a list moves at a key: two where the cursor passes the head of a group by."""
BEGINNING = 16
"""Cells by which lines are told to be the same before all of them are compared."""
_UNKNOWN = "\x00"


@dataclass(frozen=True, slots=True)
class Pen:
    """Colours and style of a cell as parameters of SGR: of the text, of its ground, "" for the terminal's own."""

    text: str = ""
    ground: str = ""
    flags: frozenset[int] = frozenset()


PLAIN = Pen()
_OFF = {1: "22", 2: "22", 3: "23", 4: "24", 5: "25", 7: "27", 9: "29"}
_OF_TEXT_ONLY = frozenset({1, 2, 3, 5})
"""Flags that do not show on a space."""
_REVERSE = 7


@lru_cache(maxsize=1024)
def _changed_pen(pen: Pen, said: str) -> Pen:
    """Return a pen after the parameters of a change of style."""
    numbers = [int(one or 0) for one in said.split(";")]
    text, ground, flags = pen.text, pen.ground, set(pen.flags)
    while numbers:
        number = numbers.pop(0)
        if number in (38, 48):
            size = 2 if numbers[:1] == [5] else 4
            colour, numbers = ";".join(map(str, (number, *numbers[:size]))), numbers[size:]
            text, ground = (colour, ground) if number == 38 else (text, colour)
        elif number == 0:
            text, ground, flags = "", "", set()
        elif number in _OFF:
            flags.add(number)
        elif 30 <= number <= 37 or 90 <= number <= 97:
            text = str(number)
        elif 40 <= number <= 47 or 100 <= number <= 107:
            ground = str(number)
        elif number in (39, 49):
            text, ground = ("", ground) if number == 39 else (text, "")
        else:
            flags -= {flag for flag, off in _OFF.items() if off == str(number)}
    return Pen(text, ground, frozenset(flags))


@lru_cache(maxsize=1024)
def _on_blank(pen: Pen) -> Pen:
    """Return what shows of a pen on a space."""
    return pen if _REVERSE in pen.flags else Pen("", pen.ground, pen.flags - _OF_TEXT_ONLY)


@lru_cache(maxsize=4096)
def _step(old: Pen, new: Pen) -> str:
    """Return the shortest sequence from one pen to another."""
    if old == new:
        return ""
    gone = old.flags - new.flags
    offs = {_OFF[one] for one in gone}
    kept = {flag for flag in old.flags & new.flags if _OFF[flag] not in offs}
    changes = sorted(offs) + [str(flag) for flag in sorted(new.flags - kept)]
    changes += [new.text or "39"] if new.text != old.text else []
    changes += [new.ground or "49"] if new.ground != old.ground else []
    whole = ["0", *(str(flag) for flag in sorted(new.flags)), *(one for one in (new.text, new.ground) if one)]
    return f"\x1b[{min(';'.join(changes), ';'.join(whole), key=len)}m"


class Row:
    """One line of the terminal: a character and a pen a cell; behind a wide character stands an empty one."""

    __slots__ = ("chars", "pens")

    def __init__(self, chars: list[str] | None = None, pens: list[Pen] | None = None) -> None:
        self.chars = chars or []
        self.pens = pens or []

    def copy(self) -> Row:
        """Return a line that can be drawn on."""
        return Row(self.chars[:], self.pens[:])

    def put(self, x: int, text: str, pen: Pen) -> int:
        """Draw text from a cell on; return the cell after it."""
        chars = list(text) if cells(text) == len(text) else _spread(text)
        missing = x + len(chars) - len(self.chars)
        if missing > 0:
            self.chars += [_UNKNOWN] * missing
            self.pens += [PLAIN] * missing
        end, blank = x + len(chars), _on_blank(pen)
        # Half of a wide character that is drawn over is left blank by terminals.
        if chars and x and self.chars[x] == "":
            self._blank(x - 1)
        if chars and end < len(self.chars) and self.chars[end] == "":
            self._blank(end)
        self.chars[x:end] = chars
        self.pens[x:end] = [blank if char == " " else pen for char in chars]
        return end

    def _blank(self, x: int) -> None:
        self.chars[x], self.pens[x] = " ", _on_blank(self.pens[x])

    def differing(self, shown: Row) -> list[int]:
        """Return the cells that differ from what is shown."""
        if self.chars == shown.chars and self.pens == shown.pens:
            return []
        known = len(shown.chars)
        both = zip(self.chars, self.pens, shown.chars, shown.pens, strict=False)
        found = [
            at for at, (char, pen, old, its) in enumerate(both) if (char != old or pen != its) and char != _UNKNOWN
        ]
        return found + [at for at in range(known, len(self.chars)) if self.chars[at] != _UNKNOWN]


def _spread(text: str) -> list[str]:
    """Return the cells of a text in which not every character takes one."""
    found: list[str] = []
    for char in text:
        width = cells(char)
        if width == 0 and found:
            at = next((at for at in range(len(found) - 1, -1, -1) if found[at]), 0)
            found[at] += char
        else:
            found += [char, *[""] * (width - 1)]
    return found


class ShownCells:
    """A terminal's screen as it was drawn so far."""

    def __init__(self) -> None:
        self._rows: dict[int, Row] = {}
        self._x = self._y = 0
        self._pen = PLAIN
        """Where and how what comes next is to be drawn."""
        self._at: tuple[int, int] | None = None
        self._inked = PLAIN
        """Where the terminal's cursor is, None where that is not known, and how it writes."""

    def forget(self) -> None:
        """Know nothing of the screen any more: it has another size, or another program has drawn on it."""
        self._rows.clear()
        self._at = None

    def feed(self, drawn: str) -> str:
        """Return what has to be sent of what was drawn."""
        out: list[str] = []
        wanted: dict[int, Row] = {}
        for token in _TOKEN.finditer(drawn):
            kind = token.lastgroup
            if kind == "text":
                self._draw(wanted, token["text"])
            elif kind == "place":
                down, _, along = token["place"].partition(";")
                self._x, self._y = int(along or 1) - 1, int(down or 1) - 1
            elif kind == "pen":
                self._pen = _changed_pen(self._pen, token["pen"])
            elif kind == "line":
                self._x, self._y = 0, self._y + token["line"].count("\n")
            else:
                self._flush(wanted, out)
                self._through(token.group(), out)
        self._flush(wanted, out)
        return "".join(out)

    def _draw(self, wanted: dict[int, Row], text: str) -> None:
        row = wanted.get(self._y)
        if row is None:
            shown = self._rows.get(self._y)
            row = wanted[self._y] = Row() if shown is None else shown.copy()
        self._x = row.put(self._x, text, self._pen)

    def _through(self, sequence: str, out: list[str]) -> None:
        """Let through what is neither text nor place nor colour."""
        if sequence in _RESETS:
            self.forget()
        if sequence not in _UPDATE_MARKS:
            self._at = None
        out.append(sequence)

    def _flush(self, wanted: dict[int, Row], out: list[str]) -> None:
        """Send what differs in the lines drawn on, and leave the cursor where it was left."""
        started = len(out)
        for block in _blocks(wanted):
            self._scrolled(wanted, block, out)
        for y in sorted(wanted):
            row = wanted[y]
            shown = self._rows.get(y) or Row()
            self._send(y, row, row.differing(shown), out)
            self._rows[y] = row
        wanted.clear()
        if len(out) > started:
            out.append(_step(self._inked, PLAIN))
            self._inked = PLAIN
            self._go(self._x, self._y, out)

    def _send(self, y: int, row: Row, differing: list[int], out: list[str]) -> None:
        """Send cells of a line, those between them too where that is shorter than a step."""
        if not differing:
            return
        ends = [at for at, (one, other) in enumerate(pairwise(differing), 1) if other - one > NEAR + 1]
        for begin, end in pairwise([0, *ends, len(differing)]):
            first, last = differing[begin], differing[end - 1]
            while first and row.chars[first] == "":
                first -= 1
            while last + 1 < len(row.chars) and row.chars[last + 1] == "":
                last += 1
            self._go(first, y, out)
            self._write(row, first, last + 1, out)
            self._at = (last + 1, y) if last + 1 < len(row.chars) else None

    def _write(self, row: Row, first: int, last: int, out: list[str]) -> None:
        for at in range(first, last):
            char, pen = row.chars[at], row.pens[at]
            if char == " " and _on_blank(self._inked) == pen:
                pen = self._inked
            if pen != self._inked:
                out.append(_step(self._inked, pen))
                self._inked = pen
            out.append(" " if char == _UNKNOWN else char)

    def _go(self, x: int, y: int, out: list[str]) -> None:
        """Move the terminal's cursor."""
        if self._at == (x, y):
            return
        ahead = x - self._at[0] if self._at is not None and self._at[1] == y else 0
        out.append(f"\x1b[{ahead}C" if ahead > 0 else f"\x1b[{y + 1};{x + 1}H")
        self._at = (x, y)

    def _scrolled(self, wanted: dict[int, Row], block: list[int], out: list[str]) -> None:
        """Scroll a block of lines on the terminal where they are those that stand a line above or below."""
        rows = {y: self._rows.get(y) for y in block}
        known = {y: row for y, row in rows.items() if row is not None}
        if len(known) < len(block) or len(block) < LEAST_SCROLLED:
            return
        cost = sum(len(wanted[y].differing(known[y])) for y in block)
        for step in STEPS:
            shifted = {y: known.get(y + step, Row()) for y in block}
            alike = sum(wanted[y].chars[:BEGINNING] == shifted[y].chars[:BEGINNING] for y in block)
            if 2 * alike < len(block):
                continue
            if cost - sum(len(wanted[y].differing(shifted[y])) for y in block) > WORTH:
                top, foot = block[0] + 1, block[-1] + 1
                edge, move = (foot, "\n" * step) if step > 0 else (top, "\x1bM" * -step)
                out.append(f"{_step(self._inked, PLAIN)}\x1b[{top};{foot}r\x1b[{edge};1H{move}\x1b[r")
                self._inked, self._at = PLAIN, None
                self._rows |= shifted
                return


def _blocks(wanted: dict[int, Row]) -> list[list[int]]:
    """Return the lines drawn on in blocks that hang together."""
    numbered = enumerate(sorted(wanted))
    return [[y for _, y in block] for _, block in groupby(numbered, lambda one: one[1] - one[0])]
