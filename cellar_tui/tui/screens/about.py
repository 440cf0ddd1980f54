"""The selected vessel in plain words, so that nobody has to learn the letters first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from cellar_tui.language import describe_entry, describe_vessel, explain, quantities
from cellar_tui.language.clean_text import CUT, cells
from cellar_tui.language.layout import column, due_words, joined, set_in, wrapped
from cellar_tui.ledger.cellar import Problem
from cellar_tui.planning.day_text import near_day
from cellar_tui.planning.plan import STABILITIES
from cellar_tui.service.views import BoardLine, Task, WineView
from cellar_tui.tui.screens.wine_figures import verdict_item

STATES = {"+": "proven", "~": "in progress", "-": "not yet", "!": "lapsed", "w": "waived"}
"""What each letter of a verdict says."""
REASON_LINES = 2
LAST_READINGS = 4
"""Readings that are told beside the list, the newest first."""


BEGIN = "It is empty: in the cellar y begins a wine in it, e renames, moves or retires it."
"""What can be done with an empty vessel."""


def _task(task: Task, units: str) -> str:
    dose = task.action.dose
    return task.action.task if dose is None else f"{task.action.task}: {describe_entry.dose(dose, units)} ({dose.note})"


def _held(line: BoardLine, units: str) -> str:
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


def headline(line: BoardLine, units: str) -> str:
    """Return vessel, wine, volume, place and how it stands."""
    material = "" if line.material == "bottles" else line.material
    return joined(
        (
            line.name,
            line.wine or "empty",
            _held(line, units),
            ", ".join(one for one in (material, line.place) if one),
            line.summary,
        )
    )


def _blamed(line: BoardLine, problems: Sequence[Problem], width: int) -> list[str]:
    return [
        text
        for one in problems
        if one.vessel == line.number
        for text in set_in("!", f"entry {one.entry}: {one.problem}", width)
    ]


def _advice(line: BoardLine, today: date, units: str, width: int, most: int) -> list[str]:
    """Return what to do next and why, the reason in at most so many lines: `w` has all of it."""
    task = line.next
    if task is None:
        return ["Nothing is due."] if line.wine is not None else wrapped(BEGIN, width)
    when = due_words(task.action.show, task.action.latest, today)
    head = "Now" if task.status != "ahead" else "Next"
    said = _task(task, units) if head == "Now" else f"{when}: {_task(task, units)}"
    why = explain.because(task.action.because, units=units)
    return [*set_in(head, said, width), *set_in("Why", why, width)[:most]]


def below(line: BoardLine, problems: Sequence[Problem], today: date, units: str, width: int) -> list[str]:
    """Return the selected vessel for the room below the list."""
    told = [*wrapped(headline(line, units), width), *_blamed(line, problems, width)]
    told += _advice(line, today, units, width, REASON_LINES)
    later = [f"{one.action.task} {due_words(one.action.show, one.action.latest, today)}" for one in line.actions[1:4]]
    return told + ([column(set_in("Then", joined(later), 10_000)[0], width)] if later else [])


def _verdicts(line: BoardLine, view: WineView | None, width: int) -> list[str]:
    """Return the five verdicts, a line each: with the reason once it is worked out, else in a word."""
    if view is None or view.day is None:
        return [
            f"{kind[0].upper()}  {kind:<10}{sign}  {STATES.get(sign, '')}"
            for kind, sign in zip(STABILITIES, line.letters, strict=False)
        ]
    found = (verdict_item(one, view.today) for one in view.day.verdicts.values())
    return [line for one in found for line in _hung(one.head, one.text, width)]


def _hung(head: str, text: str, width: int) -> list[str]:
    """Return a text behind its head in as few lines as it may have; a mark says that there is more."""
    first, *rest = wrapped(text, max(10, width - cells(head) - 1))
    lines = [f"{head} {first}", *(f"{'':<{cells(head)}} {one}" for one in rest)]
    kept = lines[:REASON_LINES]
    return [*kept[:-1], column(f"{kept[-1]} {CUT}", width)] if len(lines) > REASON_LINES else kept


def _figures(view: WineView | None, width: int) -> list[str]:
    """Return the forecast of free SO2 in a line, and what was read last."""
    if view is None or view.plan is None:
        return []
    plan, found = view.plan, []
    if plan.forecast is not None:
        ahead = plan.forecast.risk_day > view.today
        until = f"on target until {near_day(plan.forecast.risk_day, view.today)}" if ahead else "may be under it now"
        free = "" if view.day is None or view.day.so2 is None else f"free {describe_entry.free(view.day.so2)}, "
        found += set_in("SO2", f"{free}target {plan.forecast.target:.0f} mg/L: {until}", width)
    newest = sorted(plan.readings.items(), key=lambda one: one[1].on, reverse=True)[:LAST_READINGS]
    read = [
        f"{describe_entry.reading(name, one.value, one.unit, view.units)} on {near_day(one.on, view.today)}"
        for name, one in newest
    ]
    return found + (set_in("Read", joined(read), width) if read else [])


def beside(
    line: BoardLine, problems: Sequence[Problem], today: date, units: str, width: int, view: WineView | None = None
) -> list[str]:
    """Return the selected vessel for the room beside the list: verdicts with their reasons, figures, all that is due.

    `view` is the wine worked out in full; until it is there the board's own letters stand for the reasons.
    """
    told = [line.name, *wrapped(joined((line.wine or "empty", describe_entry.words(line.style or ""))), width)]
    told += [joined((_held(line, units), "" if line.material == "bottles" else line.material, line.place)), ""]
    if line.wine is not None:
        told += [*wrapped(line.summary, width), "", *_verdicts(line, view, width), ""]
    if view is not None:
        told += describe_vessel.lines(view.info, view.care, today)
    told += _blamed(line, problems, width)
    told += _advice(line, today, units, width, 2 * REASON_LINES)
    figures = _figures(view, width)
    told += ["", *figures] if figures else []
    if len(line.actions) > 1:
        told += ["", "Then"]
        for one in line.actions[1:]:
            due = due_words(one.action.show, one.action.latest, today)
            told += [
                f"  {due:<11}{text}" if not index else f"{'':<13}{text}"
                for index, text in enumerate(wrapped(one.action.task, width - 13))
            ]
    return told
