"""Text in parts, each with its role: the style sheet of the roles, and where two versions of a line differ."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import column, spaced

Part = tuple[str, str]
"""Text with the name of its role, "" for the ink."""
Row = str | Sequence[Part]
"""A line: plain text, or parts of it."""

_STYLES = {
    "late": "color: $text-warning; text-style: bold;",
    "stop": "color: $text-error; text-style: bold;",
    "proven": "color: $text-success;",
    "quiet": "color: $text-muted;",
    "accent": "color: $text-primary; text-style: bold;",
    "waived": "text-style: underline;",
}
INK = ("", "plain")
"""Names of what has no role."""


def classes(widget: str) -> set[str]:
    """Return the names of a widget's component classes, one a role."""
    return {f"{widget.casefold()}--{role}" for role in _STYLES}


def sheet(widget: str) -> str:
    """Return the style sheet of a widget's roles."""
    return "\n".join(f"    {widget} > .{widget.casefold()}--{role} {{ {style} }}" for role, style in _STYLES.items())


def parts_of(row: Row) -> tuple[Part, ...]:
    """Return a line as parts of clean text; neighbours of one role are one part."""
    found: list[Part] = []
    for text, role in [(row, "")] if isinstance(row, str) else row:
        if found and found[-1][1] == role:
            found[-1] = (found[-1][0] + text, role)
        elif text:
            found.append((text, role))
    return tuple((spaced(text), role) for text, role in found)


def fitted(parts: Sequence[Part], width: int) -> tuple[Part, ...]:
    """Return a line cut to a width in cells, with the mark of a cut where it is longer."""
    if cells(text_of(parts)) <= width:
        return tuple(parts)
    found: list[Part] = []
    room = width
    for text, role in parts:
        found.append((column(text, room), role) if cells(text) >= room else (text, role))
        room -= cells(text)
        if room <= 0:
            break
    return tuple(found)


def text_of(parts: Iterable[Part]) -> str:
    """Return the text of a line."""
    return "".join(text for text, _ in parts)


def changed(old: Sequence[Part], new: Sequence[Part]) -> tuple[int, int] | None:
    """Return the first cell in which two versions of a line differ and the cell after the last, None for none."""
    if tuple(old) == tuple(new):
        return None
    begin = 0
    for (text, role), (other, its) in zip(old, new, strict=False):
        if (text, role) == (other, its):
            begin += cells(text)
            continue
        if role == its:
            begin += cells(_common(text, other))
        break
    return begin, max(cells(text_of(old)), cells(text_of(new)), begin)


def _common(text: str, other: str) -> str:
    """Return what both begin with."""
    at = 0
    while at < min(len(text), len(other)) and text[at] == other[at]:
        at += 1
    return text[:at]
