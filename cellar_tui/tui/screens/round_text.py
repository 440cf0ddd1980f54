"""What today's round says: what to carry and weigh out, one action, and the end."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from cellar_tui.language import describe_entry, explain
from cellar_tui.language.cautions import care_of, how
from cellar_tui.language.layout import joined, set_in
from cellar_tui.planning.day_text import short_day
from cellar_tui.service.round_list import carry, weigh_out
from cellar_tui.service.views import SaveResult, Task


def walk(tasks: Iterable[Task]) -> list[str]:
    """Return the stops of the walk in their order: each place, and there each vessel with what is done at it."""
    told, place = [], None
    for task in tasks:
        if task.place != place:
            place = task.place
            told.append(f"  {place or 'no place named'}")
        told.append(f"    {task.vessel} · {task.action.task}")
    return told


def start(tasks: Sequence[Task], units: str) -> list[str]:
    """Return the page before the walk: what to weigh out, what to carry, where it leads."""
    weighed = weigh_out(tasks, units)
    return [
        "Weigh out",
        *(f"  {one}" for one in weighed or ["nothing"]),
        "",
        "Carry",
        *(f"  {one}" for one in carry(tasks)),
        "",
        "Walk",
        *walk(tasks),
        "",
        "Enter begins.",
    ]


def action(task: Task, units: str, width: int) -> list[str]:
    """Return one action in lines of a width: what, how much, why, how, and its cautions."""
    found = task.action
    parts = [("Why", explain.because(found.because, units=units))]
    if found.dose is not None:
        parts.insert(0, ("Add", joined((describe_entry.dose(found.dose, units), found.dose.note))))
    parts += [*(("!", caution) for caution in care_of(found, glass=task.glass)), ("How", how(found))]
    told = [line for head, text in parts for line in set_in(head, text, width)]
    return [found.task[:1].upper() + found.task[1:], *told]


def recorded(answer: SaveResult, names: Mapping[int, str], units: str) -> str:
    """Return what was recorded last, with the dates that it moved."""
    first = answer.outcomes[0]
    moved = "; ".join(
        f"{describe_entry.words(one.action)} now {short_day(one.now.action.show)}" for one in first.changes if one.now
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
