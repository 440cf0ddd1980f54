"""What a chart is drawn with: blocks of 2 x 2 points in a cell, braille of 2 x 4, or letters of plain ASCII."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

_BLOCKS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""Quarter blocks by the sum of their parts: 1 upper left, 2 upper right, 4 lower left, 8 lower right (Unicode 1.0)."""
_BRAILLE = 0x2800
_BRAILLE_POINTS = (0x01, 0x08, 0x02, 0x10, 0x04, 0x20, 0x40, 0x80)
"""Bits of a braille cell, row by row from the upper left (Unicode, block "Braille Patterns")."""


def _braille(points: int) -> str:
    return chr(_BRAILLE + sum(bit for place, bit in enumerate(_BRAILLE_POINTS) if points >> place & 1))


@dataclass(frozen=True, slots=True)
class Marks:
    """One way to draw.

    Attributes:
        name: as a person chooses it.
        across, down: points of the line in a cell.
        glyph: the character of a cell with these points, bit by bit, row by row from the upper left.
        reading: a reading.
        target: the level not to fall under.
        band: what is forecast.
        up, along, corner: the axes.
        tick_up, tick_along: their ticks.
        others: readings of what is laid over it, one after the other.
        chosen: the day that is looked at.
    """

    name: str
    across: int
    down: int
    glyph: Callable[[int], str]
    reading: str = "●"
    target: str = "╌"
    band: str = "░"
    up: str = "│"
    along: str = "─"
    corner: str = "└"
    tick_up: str = "┤"
    tick_along: str = "┴"
    others: str = "○◇△□"
    chosen: str = "┊"


BLOCKS = Marks("blocks", 2, 2, lambda points: _BLOCKS[points])
BRAILLE = Marks("braille", 2, 4, _braille)
PLAIN = Marks("plain", 1, 1, lambda points: "." if points else " ", "o", "-", ":", "|", "-", "+", "+", "+", "x*^#", "!")
MARKS = {one.name: one for one in (BLOCKS, BRAILLE, PLAIN)}
"""Every way to draw, the usual one first: common fonts of terminals lack braille."""


def next_marks(marks: Marks) -> Marks:
    """Return the way to draw that is offered after this one."""
    names = list(MARKS)
    return MARKS[names[(names.index(marks.name) + 1) % len(names)]]
