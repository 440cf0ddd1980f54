"""What stands below the questions: the words to choose from, what an answer decides, and what will be due first."""

from __future__ import annotations

from datetime import date

from cellar_tui.entry_form.choices import chosen
from cellar_tui.entry_form.questions import Question
from cellar_tui.language import describe_entry
from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import column, due_words, wrapped
from cellar_tui.service.views import SaveResult

MOST = 3
"""Due actions that are shown before a wine is recorded."""
CHOICE_LINES = 4
WAYS = "Up and Down choose, or type the word:"
WHEN = 11
"""Cells of the day."""


def choices(question: Question, typed: str, width: int) -> list[str]:
    """Return the words that a question takes, the one that is meant in brackets, and what the answer decides."""
    if not question.choices:
        return wrapped(question.about, width)
    meant = chosen(typed, question.choices)
    lines, at = [""], 0
    for choice in question.choices:
        word = choice if question.name == "vessel" else describe_entry.words(choice)
        shown = f"[{word}]" if choice == meant else f" {word} "
        if lines[-1] and cells(lines[-1]) + 1 + cells(shown) > width:
            lines.append("")
        at = len(lines) - 1 if choice == meant else at
        lines[-1] = f"{lines[-1]} {shown}" if lines[-1] else shown
    first = min(max(0, at - CHOICE_LINES + 1), max(0, len(lines) - CHOICE_LINES))
    seen = lines[first : first + CHOICE_LINES]
    more = ["…"] if first + CHOICE_LINES < len(lines) else []
    ways = [WAYS] if len(question.choices) > 1 else []
    return [*ways, *(column(one, width).rstrip() for one in (*seen, *more)), "", *wrapped(question.about, width)]


def due_first(answer: SaveResult | None, today: date, units: str, width: int) -> list[str]:
    """Return what stops or cautions the entry, then what will be due first and when; nothing before enough is known."""
    if answer is None:
        return []
    first = answer.outcomes[0]
    told = [text for one in first.stops for text in wrapped(f"STOP: {one.why}", width)]
    told += [text for one in first.cautions for text in wrapped(f"! {one.why}", width)]
    tasks = sorted((change.now for change in first.changes if change.now is not None), key=lambda one: one.action.show)
    if not tasks:
        return told
    told += ["Due first"]
    for task in tasks[:MOST]:
        when = column(due_words(task.action.show, task.action.latest, today), WHEN)
        dose = "" if task.action.dose is None else f": {describe_entry.dose(task.action.dose, units)}"
        lines = wrapped(f"{task.action.task}{dose}", width - WHEN - 2)
        told += [f"  {when}{lines[0]}", *(f"  {'':<{WHEN}}{line}" for line in lines[1:])]
    return told
