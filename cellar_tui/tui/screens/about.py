"""The selected vessel in plain words, so that nobody has to learn the letters first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from cellar_tui.language import describe_entry, explain, quantities
from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import INDENT, column, due_words, joined, set_in, wrapped
from cellar_tui.ledger.cellar import Problem
from cellar_tui.planning.plan import STABILITIES, Because
from cellar_tui.service.views import BoardLine, Task
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.toned import Part, text_of

PROVEN = "+"
STATES = {"!": "lapsed", "-": "not yet", "~": "in progress", "w": "waived", PROVEN: "proven"}
"""What each letter of a stability says, the most pressing first."""
TONES = {"!": "stop", "-": "quiet"}
COUNTS = ("none", "one", "two", "three", "four", "five")
STAGES = {"must": "must", "ready": "ready to bottle", "holding_cold": "in its cold hold", "sweetened": "sweetened"}
"""Names of stages where the word of the ledger alone says too little."""
BEGIN = "It is empty: in the cellar y begins a wine in it, e renames, moves or retires it."
"""What can be done with an empty vessel."""


def _task(task: Task, units: str) -> str:
    dose = task.action.dose
    return task.action.task if dose is None else f"{task.action.task}: {describe_entry.dose(dose, units)} ({dose.note})"


def held(volume: float, capacity: float | None, units: str) -> str:
    """Return how much a vessel holds, of how much it could; litres as in the list, so that they agree."""
    figures = 0 if volume >= 100 else 1
    if capacity is None:
        return quantities.show(volume, "L", system=units, figures=figures)
    inside = quantities.number(volume, "L", system=units, figures=figures)
    return f"{inside} of {quantities.show(capacity, 'L', system=units)}"


def headline(line: BoardLine, units: str) -> str:
    """Return vessel, wine, volume and place."""
    material = "" if line.material == "bottles" else line.material
    where = ", ".join(one for one in (material, line.place) if one)
    volume = "" if line.volume is None else held(line.volume, line.capacity, units)
    return joined((line.name, line.wine or "empty", volume, where))


def stability(line: BoardLine, width: int) -> list[Part]:
    """Return the stage, and of the five kinds of stability what is not proven; the others are counted.

    Where there is no room for all of it the stage goes first, then the count.
    """
    stage = line.stage or ""
    named: list[Part] = []
    for sign, state in STATES.items():
        kinds = [kind for kind, letter in zip(STABILITIES, line.letters, strict=False) if letter == sign]
        if kinds and sign != PROVEN and len(kinds) < len(STABILITIES):
            named.append((f"{state}: {', '.join(kinds)}", TONES.get(sign, "")))
    proven = line.letters.count(PROVEN)
    rest = "all five" if proven == len(STABILITIES) else f"the other {COUNTS[proven]}"
    count: Part = (
        (f"{rest} proven", "proven") if proven else ("none of the five kinds of stability proven yet", "quiet")
    )
    begin: Part = (STAGES.get(stage, describe_entry.words(stage)), "")
    versions: list[list[Part]] = [[begin, *named, count], [*named, count], named or [count]]
    spaced = [_with_marks(version) for version in versions]
    return next((one for one in spaced if cells(text_of(one)) <= width), spaced[-1])


def _with_marks(parts: Sequence[Part]) -> list[Part]:
    return [one for part in parts for one in ((" · ", ""), part)][1:]


def _blamed(line: BoardLine, problems: Sequence[Problem], width: int) -> list[list[Part]]:
    return [
        [(text, "stop")]
        for one in problems
        if one.vessel == line.number
        for text in set_in("!", f"entry {one.entry}: {one.problem}", width)
    ]


def shorter(because: Because, units: str) -> Iterator[str]:
    """Yield the reason of a date or a dose, each version shorter than the one before and each a whole sentence."""
    yield explain.because(because, units=units)
    reason = because.reason[:1].upper() + because.reason[1:]
    yield f"{reason}."
    bare = _without_brackets(reason)
    yield f"{bare}."
    clauses = bare.split("; ")
    for count in range(len(clauses) - 1, 0, -1):
        yield f"{'; '.join(clauses[:count])}."
    yield f"{clauses[0].partition(', ')[0]}."


def _without_brackets(text: str) -> str:
    begin, end = text.find(" ("), text.find(")")
    return text if begin < 0 or end < begin else text[:begin] + _without_brackets(text[end + 1 :])


def _why(because: Because, units: str, width: int, most: int) -> list[str]:
    """Return the reason in so many lines, the longest version that fits: `w` has all of it."""
    found: list[str] = []
    for text in shorter(because, units):
        found = set_in("Why", text, width)
        if len(found) <= most:
            break
    return found[:most]


def _advice(line: BoardLine, today: date, units: str, width: int, most: int) -> list[list[Part]]:
    """Return what to do next and why, the reason in at most so many lines."""
    task = line.next
    if task is None:
        return [[("Nothing is due.", "quiet")]]
    due = due_words(task.action.show, task.action.latest, today)
    head = "Now" if task.status != "ahead" else "Next"
    said = short.fitting(_task(task, units), width - INDENT - cells(due) - 2)
    tone = {"late": "late", "today": "accent"}.get(task.status, "")
    now: list[Part] = [(f"{head:<{INDENT}}", "quiet"), (said, ""), ("  ", ""), (due, tone)]
    return [now, *(_named(text) for text in _why(task.action.because, units, width, most))]


def _named(text: str) -> list[Part]:
    """Return a line whose name stands before it in the quiet role."""
    return [(text[:INDENT], "quiet"), (text[INDENT:], "")]


def _then(line: BoardLine, today: date, width: int) -> list[list[Part]]:
    """Return the actions after the next, as many as find room on a line."""
    text = ""
    for action in line.actions[1:]:
        more = joined((text, f"{action.action.task} {due_words(action.action.show, action.action.latest, today)}"))
        if cells(more) > width - INDENT:
            text = text or column(more, width - INDENT)
            break
        text = more
    return [_named(f"{'Then':<{INDENT}}{text}")] if text else []


def told(
    line: BoardLine, problems: Sequence[Problem], today: date, units: str, width: int, reason: int = 2
) -> list[list[Part]]:
    """Return a vessel in lines: which it is, how it stands, what to do and why, what follows.

    Args:
        line: the vessel on the board.
        problems: what cannot be right in the ledger.
        today: the day of the board.
        units: the house's system of units.
        width: of a line [cells].
        reason: most lines of the reason.
    """
    head: list[Part] = [(column(headline(line, units), width).rstrip(), "accent")]
    if line.wine is None and line.next is None:
        return [head, *([(one, "")] for one in wrapped(BEGIN, width))]
    found = [head, *([stability(line, width)] if line.wine is not None else []), *_blamed(line, problems, width)]
    return found + _advice(line, today, units, width, reason) + _then(line, today, width)
