"""The stories of the demo cellar as text: one line for each entry, as it would be typed on the command line.

A line reads `DAY WHO | TARGET | KIND field=value ...`, with `#tag` behind it where a later line speaks of that entry,
`at=DAY` where it was written down late, `waive="REASON"` where a guard was passed. A line that begins with `;` is for
whoever reads the story.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from importlib.resources import files

APART = " | "
ORDER = (
    "cellar",
    "field_red_24",
    "meadow_white_24",
    "lantern_24",
    "field_red_25",
    "meadow_white_25",
    "dark_ruby_25",
    "harbour_26",
    "cherry_26",
    "lantern_26",
    "dawn_rose_26",
    "meadow_white_26",
    "field_red_26",
    "late_gold_26",
    "late_field_26",
    "apple_26",
)
"""The stories, oldest first; on one day they are told in this order."""


@dataclass(frozen=True, slots=True)
class StoryLine:
    """One entry of a story: the day it was written down, by whom, on what, its kind and its fields as typed."""

    day: date
    by: str
    target: str
    kind: str
    fields: dict[str, str]
    at: str = ""
    waive: str | None = None
    tag: str = ""


def line(text: str) -> StoryLine:
    """Read one line of a story.

    Raises:
        ValueError: it is not written as a line of a story.
    """
    when, target, said = text.split(APART, 2)
    day, by = when.split()
    kind, *words = shlex.split(said)
    tags = [word for word in words if word.startswith("#")]
    fields = dict(word.split("=", 1) for word in words if word not in tags)
    return StoryLine(
        date.fromisoformat(day),
        by,
        target.strip(),
        kind,
        fields,
        fields.pop("at", ""),
        fields.pop("waive", None),
        tags[0] if tags else "",
    )


def lines(text: str) -> Iterator[StoryLine]:
    """Read a story, remarks and empty lines left out."""
    for written in text.splitlines():
        if written.strip() and not written.startswith(";"):
            yield line(written)


def stories() -> list[StoryLine]:
    """Return every line of every story, in the order in which they were written down."""
    folder = files(__package__) / "stories"
    told = [one for name in ORDER for one in lines((folder / f"{name}.txt").read_text(encoding="utf-8"))]
    return sorted(told, key=lambda one: one.day)
