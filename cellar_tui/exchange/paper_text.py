"""A paper as plain text, for a line printer or a screen reader: every line at most 80 wide."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator

from cellar_tui.exchange.paper import Box, Curve, Head, Paper, Part, Say, Table
from cellar_tui.language import days
from cellar_tui.language.clean_text import cells, safe

WIDTH = 80
STEP = 2
TICK = "[ ] "


def written(paper: Paper) -> str:
    """Return a paper as text."""
    head = safe(f"{paper.cellar} · {paper.subject} · {days.echo(paper.day)}")
    lines = [*textwrap.wrap(head, WIDTH), "=" * min(WIDTH, cells(head))]
    for part in paper.parts:
        lines += _lines(part)
    return "\n".join(lines) + "\n"


def _lines(part: Part) -> Iterator[str]:
    if isinstance(part, Head):
        yield from ("", safe(part.text), "-" * min(WIDTH, cells(safe(part.text))))
    elif isinstance(part, Say):
        yield from _wrapped(part.text, " " * STEP * part.indent)
    elif isinstance(part, Box):
        yield from _wrapped(TICK + part.text, "", hang=len(TICK))
        yield f"{' ' * len(TICK)}{part.blank + ' ' if part.blank else ''}{'_' * 40}"
    elif isinstance(part, Table):
        yield from _table(part)
    else:
        yield from _curve(part)


def _wrapped(text: str, indent: str, hang: int = 0) -> list[str]:
    return textwrap.wrap(
        safe(text), WIDTH, initial_indent=indent, subsequent_indent=indent + " " * hang, break_on_hyphens=False
    )


def _table(part: Table) -> Iterator[str]:
    widths = [max(4, int(share * WIDTH)) for share in part.widths]
    for row in ([part.heads] if any(part.heads) else []) + list(part.rows):
        *first, last = (safe(cell) for cell in row)
        padded = zip(first, widths, strict=True)
        head = "".join(f"{cell:<{width}} " if len(cell) <= width else f"{cell}  " for cell, width in padded)
        room = max(20, WIDTH - len(head))
        begin, *rest = textwrap.wrap(last, room, break_on_hyphens=False) or [""]
        yield (head + begin).rstrip()
        yield from (f"{' ' * (WIDTH - room)}{one}" for one in rest)


def _curve(part: Curve) -> Iterator[str]:
    target = "" if part.target is None else f", target {part.target:.0f}"
    yield from ("", f"{part.name} {part.unit}{target}".strip())
    low, high = min(v for _, v in part.points), max(v for _, v in part.points)
    for day, value in part.points:
        bar = 1 + round(40 * (value - low) / (high - low)) if high > low else 1
        yield f"  {day.isoformat()} {value:>8g} {'#' * bar}"
