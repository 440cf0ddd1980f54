"""The lines of a wine's page: what is due, the way to bottling, and the ledger."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from cellar_tui.language import describe_entry
from cellar_tui.language.layout import column, due_words
from cellar_tui.planning.day_text import near_day, short_day
from cellar_tui.service.views import Task, WineView, Written
from cellar_tui.tui.screens.wine_figures import Item
from cellar_tui.tui.widgets import short

SECTION = 8
"""Cells of the name of a section, written before its first line."""
WHEN = 11
"""Cells of the day."""


def _head(section: str, when: str) -> str:
    return f"{section:<{SECTION}}{column(when, WHEN)}"


def due_items(tasks: Sequence[Task], view: WineView) -> Iterator[Item]:
    """Yield what is due, soonest first, with its dose."""
    for index, task in enumerate(tasks):
        dose = task.action.dose
        said = task.action.task if dose is None else f"{task.action.task}: {describe_entry.dose(dose, view.units)}"
        when = due_words(task.action.show, task.action.latest, view.today)
        head = _head("" if index else "Due", when)
        yield Item(head, said, "late" if task.status == "late" else "", task.action.because, None, task)


def path_items(view: WineView) -> Iterator[Item]:
    """Yield the earliest day of bottling with what holds it up, then the dated steps until then."""
    if view.day is None or not view.day.path:
        return
    told = describe_entry.bottling(view.day.path, view.day.held_up_by)
    last = view.day.path[-1]
    yield Item(_head("Path", near_day(last.earliest, view.today)), told, "", last.because)
    for step in view.day.path:
        head = _head("", near_day(step.earliest, view.today))
        needs = f" after {', '.join(short.action(need) for need in step.needs)}" if step.needs else ""
        yield Item(head, f"{short.action(step.action)}: {step.why}{needs}", "quiet", step.because)


def entry_items(ledger: Sequence[Written], names: Mapping[int, str], view: WineView) -> Iterator[Item]:
    """Yield the entries, newest first; what no longer stands says so."""
    for index, line in enumerate(ledger):
        entry = line.entry
        marks = "" if line.state == "standing" else f" [{line.state}]"
        marks += f" [cannot be right: {line.problem}]" if line.problem else ""
        where = f" in {line.vessel}" if line.vessel and line.vessel != view.info.name else ""
        head = f"{_head('' if index else 'Ledger', near_day(entry.on, view.today))}{entry.seq:>4} "
        tone = "stop" if line.problem else "quiet" if line.state != "standing" else ""
        text = f"{describe_entry.entry(entry, names, view.units)}{where}{marks} · {entry.by}"
        yield Item(head, text, tone, None, line)


def when_said(line: Written) -> str:
    """Return the day and hour of an entry."""
    entry = line.entry
    hour = "" if entry.minute is None else f" {entry.minute // 60:02d}:{entry.minute % 60:02d}"
    return short_day(entry.on) + hour
