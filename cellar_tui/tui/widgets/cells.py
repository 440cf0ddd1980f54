"""The only way in which stored text reaches the screen: as text, never as markup or terminal control."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from rich.color import Color as Drawn
from rich.color import ColorType
from rich.palette import Palette
from rich.segment import Segment
from rich.style import Style
from textual.color import Color
from textual.content import Content
from textual.filter import LineFilter

from cellar_tui.language.layout import spaced


def label(text: str) -> Content:
    """Return text for a widget that takes content."""
    return Content(spaced(text))


def tinted(parts: Iterable[tuple[str, str]]) -> Content:
    """Return parts of text, each with its style ("" for none), for a widget that takes content."""
    return Content.assemble(*((spaced(text), style) if style else Content(spaced(text)) for text, style in parts))


CUBE = (0, 95, 135, 175, 215, 255)
"""Levels of red, green and blue in the palette of 256 (xterm's)."""
FIXED = Palette(
    [(red, green, blue) for red in CUBE for green in CUBE for blue in CUBE]
    + [(level, level, level) for level in range(8, 248, 10)]
)
"""The colours 16 to 255 of that palette; the first sixteen are the terminal's own."""


class PaletteFilter(LineFilter):
    """Draw every colour as one of the palette of 256, which any line carries.

    A colour that is in the palette goes out as it is. The drawing library's own conversion moves greys by a step, and
    what has a little colour in it by more: white text came out pink.
    """

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Return the segments in colours of the palette."""
        return [
            segment if segment.control or segment.style is None else Segment(segment.text, _in_palette(segment.style))
            for segment in segments
        ]


@lru_cache(maxsize=4096)
def _in_palette(style: Style) -> Style:
    return style + Style(color=_nearest(style.color), bgcolor=_nearest(style.bgcolor))


@lru_cache(maxsize=4096)
def _nearest(colour: Drawn | None) -> Drawn | None:
    if colour is None or colour.type is not ColorType.TRUECOLOR:
        return colour
    return Drawn.from_ansi(16 + FIXED.match(colour.get_truecolor()))


class ControlFilter(LineFilter):
    """The second wall: nothing that is drawn may carry a control character to the terminal."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Return the segments with control characters taken out of their text."""
        return [
            segment if segment.control or _clean(segment.text) else Segment(_stripped(segment.text), segment.style)
            for segment in segments
        ]


def _clean(text: str) -> bool:
    return text.isprintable() or not any(_steers(char) for char in text)


def _steers(char: str) -> bool:
    code = ord(char)
    return code < 32 or 127 <= code < 160 or 0x202A <= code <= 0x202E or 0x2066 <= code <= 0x2069


def _stripped(text: str) -> str:
    return "".join(" " if _steers(char) else char for char in text)
