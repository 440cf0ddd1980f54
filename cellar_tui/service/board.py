"""The home screen on a day, from the lines of the board."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from cellar_tui.ledger.cellar import Problem
from cellar_tui.planning.estimate import estimate
from cellar_tui.planning.plan import Action, status
from cellar_tui.planning.summary import in_words
from cellar_tui.service import rows
from cellar_tui.service.views import Board, BoardLine, Task
from storage.rows import ActionRow, FillingRow, ProblemRow

WEEK = 7
"""Days that count as this week."""


def board_of(
    lines: Sequence[FillingRow], actions: Sequence[ActionRow], problems: Sequence[ProblemRow], day: date
) -> Board:
    """Return the home screen on a day from the lines of a board."""
    asked: dict[int, list[Task]] = {}
    by_number = {row.vessel: row for row in lines}
    for one in map(rows.action_of, actions):
        row = by_number.get(one.vessel)
        if row is not None and (one.expires is None or day <= one.expires):
            asked.setdefault(one.vessel, []).append(_task(one, row, day))
    shown = tuple(_line(row, tuple(asked.get(row.vessel, ())), day) for row in lines)
    everything = [one for line in shown for one in line.actions]
    week = day + timedelta(days=WEEK)
    return Board(
        day,
        tuple(sorted(shown, key=_urgency)),
        sum(one.status == "late" for one in everything),
        sum(one.status == "today" for one in everything),
        sum(one.status == "ahead" and one.action.show <= week for one in everything),
        tuple(Problem(*row) for row in problems),
    )


def _task(action: Action, row: FillingRow, day: date) -> Task:
    return Task(row.name, row.place, row.wine or "", action, status(action.show, action.latest, day), row.material)


def _line(row: FillingRow, actions: tuple[Task, ...], day: date) -> BoardLine:
    letters, summary = row.letters or "", row.summary
    if row.air_until is not None and letters[2:3] == "+" and day > date.fromisoformat(row.air_until):
        letters = f"{letters[:2]}!{letters[3:]}"
        summary = in_words(row.stage or "", rows.states(letters))
    ordered = tuple(sorted(actions, key=_pressing))
    fading = rows.fading_of(row)
    return BoardLine(
        row.vessel,
        row.name,
        row.place,
        row.material,
        row.capacity,
        row.wine,
        row.style,
        row.colour,
        row.stage,
        row.volume,
        row.ph,
        estimate(fading, day),
        fading,
        letters,
        summary,
        ordered,
    )


def _pressing(task: Task) -> tuple[int, date, date, str]:
    """Return the order in which the dashboard shows actions: pressure, late, for today, ahead; each by its days."""
    rank = ("late", "today", "ahead").index(task.status)
    last = max(task.action.show, task.action.latest)
    if task.action.urgent and rank < 2:
        return -1, task.action.show, last, task.action.rule
    return rank, last if rank == 0 else task.action.show, last, task.action.rule


def _urgency(line: BoardLine) -> tuple[int, tuple[int, date, date, str], str]:
    nothing = (3, date.max, date.max, "")
    rank = 0 if line.next is not None else 2 if line.wine is None else 1
    return rank, nothing if line.next is None else _pressing(line.next), line.name.casefold()
