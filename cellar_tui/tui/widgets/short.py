"""Names short enough for a column, and the footer of a place."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from cellar_tui.language.clean_text import CUT, cells
from cellar_tui.language.describe_entry import words
from cellar_tui.language.layout import column
from cellar_tui.service.views import Change, Task
from cellar_tui.tui.keys import Key, Place, keys_of

ACTIONS = {
    "cap": "punch down",
    "pectic_enzyme": "enzyme",
    "must_sugar": "must sugar",
    "empty_wood": "sulfur",
    "wood_soak": "soak",
    "ferment_decision": "stuck",
    "gravity_check": "gravity",
    "malolactic_start": "start MLF",
    "malolactic_check": "malic",
    "malolactic_conditions": "MLF slow",
    "malolactic_overdue": "MLF overdue",
    "malolactic_unwanted": "MLF unwanted",
    "so2_recheck": "test SO2",
    "total_so2": "total SO2",
    "smell_check": "smell/taste",
    "oak_taste": "oak",
    "fining_trial": "bench trial",
    "kept_bottle_check": "retains",
    "bottle_fault": "bottle fault",
    "ph_check": "test pH",
    "sugar_test": "sugar test",
    "top_up": "top up",
    "level_look": "ullage",
    "cold_hold_start": "cold hold",
    "cold_hold_check": "cold temp",
    "cold_hold_end": "end hold",
    "haze_test": "haze test",
    "clarity_check": "clarity",
    "refermentation_watch": "referm",
    "final_so2": "final SO2",
}
"""Names of actions for a narrow column."""


def action(rule: str) -> str:
    """Return an action's name for a narrow column."""
    return ACTIONS.get(rule, words(rule))


CLAUSES = (", ", "; ", " (", ": ")
"""What parts the clauses of a task."""


def fitting(task: str, width: int) -> str:
    """Return a task without its last clauses where it is too long for a width in cells; at worst it is cut."""
    while cells(task) > width and (at := max(task.rfind(mark) for mark in CLAUSES)) > 0:
        task = task[:at]
    return column(task, width).rstrip()


MOST_TOLD = 4
"""Moved dates that are named one by one."""


def moved(changes: Sequence[Change]) -> str:
    """Return the dates that moved, as they were and as they are, with a space before them; of many the first."""
    found, many = [], len({change.vessel for change in changes}) > 1
    for change in changes:
        was, now = ("–" if task is None else _day(task) for task in (change.was, change.now))
        if was != now:
            found.append(f"{change.vessel + ' ' if many else ''}{action(change.action)} {was} → {now}")
    if len(found) > MOST_TOLD:
        found[MOST_TOLD:] = [f"{len(found) - MOST_TOLD} more"]
    return f" {' · '.join(found)}" if found else ""


def _day(task: Task) -> str:
    return f"{task.action.show.day} {task.action.show:%b}"


ALWAYS = ("back", "help", "close", "leave", "put_back", "put_away", "step_back", "page_back")
"""Keys that a footer shows however narrow it is: the way back, and the way to all the others."""
GAP = "  "


def footer(place: Place, width: int, *, read_only: bool = False) -> str:
    """Return the keys of a place on one line; a mark says that some are left to the page of keys."""
    return _fitted([one for one in keys_of(place) if one.footer and not (read_only and one.writes)], width)


def of_round(width: int, without: Collection[str]) -> str:
    """Return the keys of one action of the round on one line: how its form is recorded, then the round's own.

    `without` names the keys that this action has no use for.
    """
    record = [one for one in keys_of("form") if one.id == "record"]
    own = [one for one in keys_of("round") if one.footer and one.id not in without]
    return _fitted([*record, *own], width)


def _fitted(shown: Sequence[Key], width: int) -> str:
    words_of = {one.id: f"{one.shown.split(',')[0]} {one.label}" for one in shown}
    if cells(GAP.join(words_of.values())) <= width:
        return GAP.join(words_of.values())
    kept = [name for name in words_of if name in ALWAYS]
    for name in words_of:
        if name not in kept and cells(GAP.join([*(words_of[one] for one in (*kept, name)), CUT])) <= width:
            kept.append(name)
    return GAP.join([*(text for name, text in words_of.items() if name in kept), CUT])
