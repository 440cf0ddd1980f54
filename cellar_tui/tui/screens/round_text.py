"""What today's round says: what to carry and weigh out, one action, and the end."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import zip_longest

from cellar_tui.language import describe_entry, explain
from cellar_tui.language.cautions import care_of, how
from cellar_tui.language.check_words import CHORES, CheckWord
from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import INDENT, column, joined, set_in, wrapped
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.rules.table import RULE_BY_ID
from cellar_tui.service.round_list import carry, weigh_out
from cellar_tui.service.views import SaveResult, Task

WANTED = {"addition": "a weight", "reading": "a number", "trial": "a trial", "gas": "Enter"}
"""What completes an action, by the kind of its entry; any other wants words."""
BESIDE, RIGHT = 72, 30
"""Width [cells] from which two lists stand side by side, and what is kept for the right one."""


def wants(task: Task) -> str:
    """Return what completes an action: Enter alone, a word, a weight or a number."""
    rule = RULE_BY_ID[task.action.rule]
    way = rule.answers[task.action.ways[0]] if task.action.ways else rule.answers[0]
    if way.kind != "check":
        return WANTED.get(way.kind, "a few words")
    return "Enter" if dict(way.fixed).get("test") in CHORES else "a word"


def walk(tasks: Sequence[Task], width: int) -> list[str]:
    """Return the stops of the walk in their order: place, vessel, what is done there, and what completes it."""
    places = max((cells(task.place) for task in tasks), default=0)
    vessels = max((cells(task.vessel) for task in tasks), default=0)
    room, told, place = width - places - vessels - 20, [], None
    for task in tasks:
        late = "!" if task.status == "late" else " "
        where = task.place if task.place != place else ""
        place = task.place
        stop = f"{late} {column(where, places)}  {column(task.vessel, vessels)}  "
        told.append(f"{stop}{column(task.action.task, max(12, room))}  {wants(task)}")
    return told


def _lists(weighed: Sequence[str], carried: Sequence[str], width: int) -> list[str]:
    """Return what to weigh out and what to carry, side by side where there is room."""
    left, right = (["WEIGH OUT", *weighed], ["CARRY", *carried])
    if width < BESIDE:
        return [*left, "", *right]
    half = max(width // 2, min(width - RIGHT, max(map(cells, left)) + 2))
    left = [line for text in left for line in wrapped(text, half - 2)]
    right = [line for text in right for line in wrapped(text, width - half)]
    return [f"{column(a, half)}{b}".rstrip() for a, b in zip_longest(left, right, fillvalue="")]


def start(tasks: Sequence[Task], units: str, width: int) -> list[str]:
    """Return the page before the walk: what to weigh out, what to carry, where it leads."""
    weighed = weigh_out(tasks, units) or ["nothing"]
    return [*_lists(weighed, carry(tasks), width), "", "WALK", *walk(tasks, width)]


def choices(words: Sequence[CheckWord], chosen: CheckWord | None, width: int) -> list[str]:
    """Return the words that answer a check in lines of a width, each with its number, the chosen one in brackets."""
    lines = [""]
    for number, one in enumerate(words, 1):
        text = f"{number} [{one.text}]" if one is chosen else f"{number}  {one.text} "
        if lines[-1] and cells(lines[-1]) + 2 + cells(text) > width - INDENT:
            lines.append("")
        lines[-1] += f"  {text}" if lines[-1] else text
    return [f"{'Found' if at == 0 else '':<{INDENT}}{line}" for at, line in enumerate(lines)]


def action(task: Task, units: str, width: int, answers: Sequence[str] = ()) -> list[str]:
    """Return one action in lines of a width: what, the words that answer it, how much, why, how, and its cautions."""
    found = task.action
    parts = [("Why", explain.because(found.because, units=units))]
    if found.dose is not None:
        parts.insert(0, ("Add", joined((describe_entry.dose(found.dose, units), found.dose.note))))
    parts += [*(("!", caution) for caution in care_of(found, glass=task.glass)), ("How", how(found))]
    told = [line for head, text in parts for line in set_in(head, text, width)]
    return [found.task[:1].upper() + found.task[1:], *answers, *told]


def recorded(answer: SaveResult, names: Mapping[int, str], units: str) -> str:
    """Return what was recorded last, with the dates that it moved."""
    first = answer.outcomes[0]
    moved = "; ".join(
        f"{describe_entry.action(change.action)} now {short_day(change.now.action.show)}"
        for change in first.changes
        if change.now
    )
    word = "Already recorded" if first.already else "Recorded"
    said = f"{word} on {first.vessel}: {describe_entry.entry(first.entry, names, units)}"
    return f"{said}. {moved}." if moved else f"{said}."


def end(done: Sequence[str], left: Sequence[Task], ahead: Sequence[Task]) -> list[str]:
    """Return the page after the walk: what was done, what is left, when to come back."""
    again = [f"Come back on {short_day(ahead[0].action.show)}: {ahead[0].action.task}, {ahead[0].vessel}."]
    return [
        "The round is done.",
        "",
        f"{len(done)} recorded",
        *(f"  {one}" for one in done),
        "",
        f"{len(left)} left for later",
        *(f"  {one.vessel} · {one.action.task}" for one in left),
        "",
        *(again if ahead else ["Nothing more is due for any wine."]),
    ]
