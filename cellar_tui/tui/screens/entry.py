"""An entry, opened: what it says, as it was typed, by whom, and what was said against it."""

from __future__ import annotations

from collections.abc import Mapping

from cellar_tui.language import describe_entry
from cellar_tui.planning.day_text import short_day
from cellar_tui.service.views import Written
from cellar_tui.tui.screens.wine_lines import when_said

STATES = {
    "standing": "It stands.",
    "corrected": "It was corrected by a later entry.",
    "withdrawn": "It was withdrawn.",
    "withdrawal": "It withdraws an earlier entry.",
}


def entry_page(line: Written, names: Mapping[int, str], units: str) -> list[str]:
    """Return the lines of an opened entry."""
    entry = line.entry
    told = [describe_entry.entry(entry, names, units), "", f"On        {when_said(line)}"]
    told.append(f"In        {line.vessel or 'the cellar'}")
    told.append(f"By        {entry.by}, written down {short_day(entry.recorded_at.date())}")
    told += [f"State     {STATES[line.state]}"]
    if entry.supersedes is not None:
        told.append(f"Instead   of entry {entry.supersedes}")
    if line.problem:
        told += ["", f"It cannot be right: {line.problem}"]
    if entry.typed:
        told += ["", "As typed", *(f"  {describe_entry.words(name):<16} {text}" for name, text in entry.typed.items())]
    if entry.waived:
        told += ["", f"A stop was passed because: {entry.waived}"]
    if entry.cautions:
        told += ["", "What was said before it was recorded", *(f"  {caution}" for caution in entry.cautions)]
    return told
