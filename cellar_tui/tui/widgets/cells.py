"""The only way in which stored text reaches the screen: as text, never as markup or terminal control."""

from __future__ import annotations

from collections.abc import Iterable

from rich.segment import Segment
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
