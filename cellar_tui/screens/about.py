"""The selected vessel in plain words, so that nobody has to learn the letters first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from cellar_tui import explain, quantities, say
from cellar_tui.ledger.cellar import Problem
from cellar_tui.planning.plan import KINDS
from cellar_tui.views import Line, Task
from cellar_tui.widgets.cells import due_words, joined, set_in, wrapped

STATES = {"+": "shown", "~": "in progress", "-": "not yet", "!": "lapsed", "w": "waived"}
"""What each letter of a verdict says."""
REASON_LINES = 2


BEGIN = "It is empty: in the cellar y begins a wine in it, e renames, moves or retires it."
"""What can be done with an empty vessel."""


def _task(task: Task, units: str) -> str:
    dose = task.action.dose
    return task.action.task if dose is None else f"{task.action.task}: {say.dose(dose, units)} ({dose.note})"


def _held(line: Line, units: str) -> str:
    if line.volume is None:
        return ""
    return held(line.volume, line.capacity, units)


def held(volume: float, capacity: float | None, units: str) -> str:
    """Return how much a vessel holds, of how much it could; litres as in the list, so that they agree."""
    figures = 0 if volume >= 100 else 1
    if capacity is None:
        return quantities.show(volume, "L", system=units, figures=figures)
    inside = quantities.number(volume, "L", system=units, figures=figures)
    return f"{inside} of {quantities.show(capacity, 'L', system=units)}"


def headline(line: Line, units: str) -> str:
    """Return vessel, wine, volume, place and how it stands."""
    material = "" if line.material == "bottles" else line.material
    return joined((line.name, line.wine or "empty", _held(line, units),
                   ", ".join(one for one in (material, line.place) if one), line.summary))  # fmt: skip


def _blamed(line: Line, problems: Sequence[Problem], width: int) -> list[str]:
    return [
        text
        for one in problems if one.vessel == line.number
        for text in set_in("!", f"entry {one.entry}: {one.problem}", width)
    ]  # fmt: skip


def _advice(line: Line, today: date, units: str, width: int, most: int) -> list[str]:
    """Return what to do next and why, the reason in at most so many lines: `w` has all of it."""
    if line.wine is None:
        return wrapped(BEGIN, width)
    task = line.next
    if task is None:
        return ["Nothing is due."]
    when = due_words(task.action.show, task.action.latest, today)
    head = "Now" if task.status != "ahead" else "Next"
    said = _task(task, units) if head == "Now" else f"{when}: {_task(task, units)}"
    why = explain.because(task.action.because, units=units)
    return [*set_in(head, said, width), *set_in("Why", why, width)[:most]]


def below(line: Line, problems: Sequence[Problem], today: date, units: str, width: int) -> list[str]:
    """Return the selected vessel for the room below the list."""
    told = [*wrapped(headline(line, units), width), *_blamed(line, problems, width)]
    told += _advice(line, today, units, width, REASON_LINES)
    later = [
        f"{one.action.task} {due_words(one.action.show, one.action.latest, today)}" for one in line.actions[1:4]
    ]
    return told + (set_in("Then", joined(later), width)[:1] if later else [])


def beside(line: Line, problems: Sequence[Problem], today: date, units: str, width: int) -> list[str]:
    """Return the selected vessel for the room beside the list: its verdicts in words and all that is due."""
    told = [line.name, *wrapped(joined((line.wine or "empty", say.words(line.style or ""))), width)]
    told += [joined((_held(line, units), "" if line.material == "bottles" else line.material, line.place)), ""]
    if line.wine is not None:
        told += wrapped(line.summary, width)
        told += ["", *(f"{kind[0].upper()}  {kind:<10}{sign}  {STATES.get(sign, '')}"
                       for kind, sign in zip(KINDS, line.letters, strict=False)), ""]  # fmt: skip
    told += _blamed(line, problems, width)
    told += _advice(line, today, units, width, 2 * REASON_LINES)
    if len(line.actions) > 1:
        told += ["", "Then"]
        for one in line.actions[1:]:
            due = due_words(one.action.show, one.action.latest, today)
            told += [f"  {due:<10}{text}" if not index else f"{'':<12}{text}"
                     for index, text in enumerate(wrapped(one.action.task, width - 12))]  # fmt: skip
    return told
