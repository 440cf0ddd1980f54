"""What the wall display says: late and for today by place, and the days ahead; few words, to be read from afar."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from itertools import groupby

from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import column, due_words, joined
from cellar_tui.service.views import Board, Task
from cellar_tui.tui.widgets import short

Line = tuple[str, str]
"""A line of text with the name of its role."""
DUE = 10
"""Cells of a day, as in "209 d late"."""
AHEAD = 14
"""Days ahead that are told."""


def _place(task: Task) -> str:
    return task.place or "no place named"


def _last(task: Task) -> date:
    """Return the day after which it is late."""
    return max(task.action.show, task.action.latest)


def pressing(board: Board, width: int) -> list[Line]:
    """Return what is late and for today, by place: first the place where something has waited longest."""
    tasks = [one for line in board.lines for one in line.actions if one.status != "ahead"]
    if not tasks:
        return [("Nothing is due today.", "accent")]
    vessels = min(max(cells(one.vessel) for one in tasks), width // 3)
    found: list[Line] = []
    waits: dict[str, date] = {}
    for one in tasks:
        waits[_place(one)] = min(waits.get(_place(one), date.max), _last(one))
    ordered = sorted(tasks, key=lambda one: (waits[_place(one)], _place(one), _last(one), one.vessel.casefold()))
    for place, here in groupby(ordered, _place):
        found.append((column(place.upper(), width).rstrip(), "accent"))
        for one in here:
            due = due_words(one.action.show, one.action.latest, board.today)
            what = column(one.action.task, max(0, width - vessels - DUE - 4))
            text = f"  {column(one.vessel, vessels)} {what} {due:>{DUE}}"
            found.append((text, "late" if one.status == "late" else "plain"))
        found.append(("", "plain"))
    return found[:-1]


def ahead(board: Board, width: int) -> list[Line]:
    """Return the days ahead, each with what will be due in which vessels."""
    tasks = [one for line in board.lines for one in line.actions if one.status == "ahead"]
    near = [one for one in tasks if (one.action.show - board.today).days <= AHEAD]
    found: list[Line] = [("NEXT DAYS", "accent")]
    for day, here in groupby(sorted(near, key=_coming), lambda one: one.action.show):
        when = due_words(day, day, board.today)
        for index, (rule, same) in enumerate(groupby(here, lambda one: one.action.rule)):
            said = f"{short.action(rule)}: {joined([one.vessel for one in same], ', ')}"
            found.append((column(f"  {'' if index else when:<{DUE}} {said}", width).rstrip(), "plain"))
    return found if near else [*found, (f"  nothing in {AHEAD} days", "quiet")]


def _coming(task: Task) -> tuple[object, ...]:
    return task.action.show, task.action.rule, task.vessel.casefold()


def stocked(board: Board) -> str:
    """Return how many wines and vessels there are, and how many wines are stable in all five ways."""
    wines = [one for one in board.lines if one.wine is not None and one.material != "bottles"]
    empty = sum(one.wine is None for one in board.lines)
    stable = sum(set(one.letters) <= {"+", "w"} for one in wines)
    return joined((f"{len(wines)} vessels with wine", f"{empty} empty", f"{stable} stable in all five ways"))


def cut(lines: Iterable[Line], height: int) -> list[Line]:
    """Return as many lines as there is room for; the last one says how many are left out."""
    found = list(lines)
    if len(found) <= height:
        return found
    kept = found[: max(0, height - 1)]
    left = sum(bool(text.startswith("  ")) for text, _ in found[len(kept) :])
    return [*kept, (f"… {left} more", "quiet")]
