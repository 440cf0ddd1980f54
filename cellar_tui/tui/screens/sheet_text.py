"""What a reading sheet says of its rows: one word and a reason, the dates that move, and what became of it."""

from __future__ import annotations

from cellar_tui.entry_form.fields import unit_beside
from cellar_tui.entry_form.sheet import METHOD, METHODS, Found, Row
from cellar_tui.language import describe_entry
from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import joined
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.plan import Measured
from cellar_tui.service.views import CellarError, Outcome, SaveResult
from cellar_tui.tui.widgets import short

WORD_ONLY = 14
"""Cells under which only the word of a verdict is said."""


def kept(found: Found | None) -> bool:
    """Return whether a row would be kept."""
    return isinstance(found, Outcome) and not found.stops


def _word(found: Found) -> tuple[str, str]:
    """Return the verdict on a row in one word, with its reason."""
    if isinstance(found, CellarError):
        return "wrong", found.details[0][1] if found.details else str(found)
    if found.stops:
        return "STOP", found.stops[0].why
    if found.cautions:
        return "caution", found.cautions[0].why
    return "ok", short.moved(found.changes).strip()


def verdict(found: Found | None, room: int) -> tuple[str, str]:
    """Return what stands beside a row, with its tone: the word always, the reason where there is room."""
    if found is None:
        return "", ""
    word, why = _word(found)
    said = joined((word, why)) if room >= WORD_ONLY else word
    return said, {"ok": "quiet", "caution": ""}.get(word, "stop")


def cell(row: Row, name: str, last: Measured | None, units: str) -> str:
    """Return a cell in words: vessel, wine, reading, when it was last read and whether it is due."""
    if name == METHOD:
        told = f"method of the free SO2: {', '.join(METHODS)}; its beginning is enough, an empty one is that above"
        return joined((row.name, row.wine, told))
    unit = unit_beside("reading", name, "", units)
    beside = f", {unit}" if unit not in ("", "SG", "pH") else ""
    label = f"{describe_entry.READING_NAMES.get(name, describe_entry.words(name))}{beside}"
    read = "not tested yet"
    if last is not None:
        method = f" by {last.method}" if last.method else ""
        read = f"last {describe_entry.reading(name, last.value, last.unit, units)}{method} on {short_day(last.on)}"
    return joined((row.name, row.wine, label, read, "due today" if name in row.asked else ""))


def effect(found: Found) -> list[str]:
    """Return everything that a row would do, in words."""
    if isinstance(found, CellarError):
        return [f"wrong: {said}" for _, said in found.details] or [f"wrong: {found}"]
    told = [f"STOP: {stop.why}" for stop in found.stops]
    told += [f"caution: {caution.why}" for caution in found.cautions]
    moved = short.moved(found.changes).strip()
    return [*told, *([f"Moves {moved}"] if moved else [])]


def fields_at_fault(error: CellarError) -> list[str]:
    """Return the readings that cannot be right."""
    return [name for name, _ in error.details] or [error.field or ""]


def recorded(answer: SaveResult) -> str:
    """Return what became of a sheet, in a sentence with the dates that moved."""
    first, last = answer.outcomes[0], answer.outcomes[-1]
    count = len(answer.outcomes)
    word = "Already recorded" if first.already else "Recorded"
    numbers = f"entry {first.entry.seq}" if count == 1 else f"entries {first.entry.seq} to {last.entry.seq}"
    moved = [
        f"{outcome.vessel}:{short.moved(outcome.changes)}"
        for outcome in answer.outcomes
        if short.moved(outcome.changes)
    ]
    back = "; u takes all of them back" if count > 1 else ""
    rows = "reading" if count == 1 else "readings"
    told = f"{word} {count} {rows} as {numbers}{back}."
    for index, one in enumerate(moved):
        if cells(told) + cells(one) > 200:
            return f"{told} And {len(moved) - index} more."
        told = f"{told} {one}."
    return told
