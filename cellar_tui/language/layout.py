"""Text laid out in lines and columns of terminal cells; nothing is painted here."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from typing import Literal

from cellar_tui.language.clean_text import CUT, cells, safe

Align = Literal["left", "right"]
INDENT = 6
_SPACES = re.compile("( +)")


def spaced(text: str) -> str:
    """Return text cleaned for the screen, its spaces and lines as they are."""
    return "\n".join(
        "".join(part if part.isspace() else safe(part) for part in _SPACES.split(line) if part)
        for line in text.split("\n")
    )


def column(text: str, width: int, align: Align = "left") -> str:
    """Return text cut or padded to a width in cells."""
    clean = spaced(text.replace("\n", " "))
    cut = clean if cells(clean) <= width else _cut(clean, width)
    pad = " " * max(0, width - cells(cut))
    return pad + cut if align == "right" else cut + pad


def _cut(text: str, width: int) -> str:
    """Return the beginning of a text that is too long, with the mark of a cut."""
    # No letter takes more than two cells, and few take none: what lies far behind the end is dropped at once.
    text = text[: 4 * width + 8]
    while text and cells(text) >= width:
        text = text[:-1]
    return text + CUT


def figure(value: float | None, digits: int, width: int) -> str:
    """Return a number right-aligned in its column, a dash where it is not known."""
    return column("-" if value is None else f"{value:.{digits}f}", width, "right")


def due_words(show: date, latest: date, today: date) -> str:
    """Return when something is due, in words: 2 d late, today, Sat 28, 3 Jan."""
    if today > max(show, latest):
        return f"{(today - max(show, latest)).days} d late"
    if show <= today:
        return "today"
    if (show - today).days <= 7:
        return f"{show:%a} {show.day}"
    return f"{show.day} {show:%b}" if (show - today).days < 300 else f"{show:%b %Y}"


def wrapped(text: str, width: int) -> list[str]:
    """Return text broken into lines of a width in cells."""
    lines, line = [], ""
    for word in safe(text).split():
        if line and cells(line) + 1 + cells(word) > width:
            lines.append(line)
            line = word
        else:
            line = f"{line} {word}" if line else word
    return [*lines, line] if line or not lines else lines


def set_in(head: str, text: str, width: int) -> list[str]:
    """Return a text broken into lines, its name before the first, the others set in below it."""
    first, *rest = wrapped(text, max(10, width - INDENT))
    return [f"{head:<{INDENT}}{first}", *(" " * INDENT + one for one in rest)]


def joined(parts: Sequence[str], mark: str = " · ") -> str:
    """Return the parts that say something, with a mark between them."""
    return mark.join(part for part in parts if part)
