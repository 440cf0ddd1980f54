"""What the wall display says, to be read from across the room: counts, what is late, today, the next days.

A rule of thumb of signs: letters are read to 200 times their height (from memory). On a screen of 24 inches with 24
lines a line is about 12 mm high: figures of five lines are read from 12 m, names of three from 7 m, a line from 2.5 m.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from itertools import groupby

from cellar_tui.language import days
from cellar_tui.language.clean_text import CUT, cells
from cellar_tui.language.layout import column, due_words, joined
from cellar_tui.service.views import Board, Task
from cellar_tui.tui.screens.fortnight import by_action, set_on_lines
from cellar_tui.tui.widgets import large, short
from cellar_tui.tui.widgets.toned import Part, fitted

Line = list[Part]
MOST_LATE = 4
"""Vessels whose late work is shown large; the others are counted."""
NEXT_DAYS = 5
"""Days to come that are told."""
WHEN = 9
"""Cells of the name of a day."""
LOW, HIGH, ROOMY = 16, 30, 110
"""Height under which counts are a line of text and from which the head stands apart; width from which today and the
next days stand side by side."""
CLOSE = 5
"""Lines up to which today and the next days stand close together."""
LEAST = 24
"""Cells that what is to be done needs beside a large name."""
WORDS = ("late", "today", "this week")
ROLES = ("late", "accent", "")
GAP = 3
"""Cells between a large figure and its word, and between two parts."""


def wall(board: Board, heading: str, size: tuple[int, int], units: str, *, plain: bool = False) -> list[Line]:
    """Return the lines of the wall display.

    Args:
        board: the cellar on a day.
        heading: name of the cellar.
        size: width and height [cells].
        units: the house's system of units.
        plain: draw large letters with ASCII.
    """
    width, height = size[0] - 2, size[1]
    top = [_head(board, heading, width), *([[]] if height >= HIGH else [])]
    counted = _counts(board, width, height, plain)
    room = height - len(top) - len(counted) - 1
    below = _below(board, width, units)
    urgent = _late(board, width, room - min(len(below(room)), max(4, room // 4)), plain)
    found = [*top, *counted, [], *urgent, *below(room - len(urgent))]
    return [list(fitted([(" ", ""), *line], size[0])) for line in found[:height]]


def _head(board: Board, heading: str, width: int) -> Line:
    day = days.echo(board.today)
    left = column(joined(("Cellar", heading)), max(0, width - cells(day) - 1))
    return [(f"{left} {day}", "accent")]


def _counts(board: Board, width: int, height: int, plain: bool) -> list[Line]:
    """Return how much is late, for today and due within a week: in figures as large as there is room for."""
    numbers = (board.late, board.due_today, board.week)
    for scale in range(max(1, height // (4 * large.ROWS)), 0, -1):
        sizes = [
            large.width(str(number), scale) + 1 + cells(word) + 2 for number, word in zip(numbers, WORDS, strict=True)
        ]
        if sum(sizes) <= width and height >= LOW:
            break
    else:
        told = zip(numbers, WORDS, ROLES, strict=True)
        return [[(f"{number} {word}   ", role if number else "quiet") for number, word, role in told]]
    spare = (width - sum(sizes)) // len(sizes)
    found: list[Line] = []
    drawn = [large.lines(str(number), scale, plain=plain) for number in numbers]
    for row in range(large.height(scale)):
        line: Line = []
        for number, word, role, size, lines in zip(numbers, WORDS, ROLES, sizes, drawn, strict=True):
            beside = f" {word}" if row == large.height(scale) - 1 else ""
            text = column(lines[row], large.width(str(number), scale)) + beside
            line.append((column(text, size + spare), role if number else "quiet"))
        found.append(line)
    return found


def _last(task: Task) -> date:
    """Return the day after which it is late."""
    return max(task.action.show, task.action.latest)


def _late(board: Board, width: int, room: int, plain: bool) -> list[Line]:
    """Return what is late, the longest first, in letters as large as fit the lines that there are."""
    late = [[action for action in line.actions if action.status == "late"] for line in board.lines]
    vessels = sorted((one for one in late if one), key=lambda one: (min(map(_last, one)), one[0].vessel.casefold()))
    if not vessels:
        return [[("Nothing is late", "proven")], []]
    shown = vessels[:MOST_LATE]
    large_most = len(shown) if all(_fits(one[0].vessel, 0, width) for one in shown) else 0
    sizes: list[list[int | None]] = [[1 if large_most else None] * len(shown)]
    sizes += [[0] * count + [None] * (len(shown) - count) for count in range(large_most, -1, -1)]
    for scales in sizes:
        found: list[Line] = []
        for tasks, scale in zip(shown, scales, strict=True):
            found += _vessel(tasks, board.today, width, scale, plain)
        if len(vessels) > len(shown):
            found.append([(f"and {len(vessels) - len(shown)} more late", "late")])
        if len(found) <= room:
            return found if not found[-1] else [*found, []]
    return [[(f"{len(vessels)} vessels are late", "late")], []]


def _vessel(tasks: Sequence[Task], today: date, width: int, scale: int | None, plain: bool) -> list[Line]:
    """Return the late work of one vessel: its name large, beside it since when, what and where."""
    first = min(tasks, key=_last)
    due = due_words(first.action.show, first.action.latest, today)
    others = dict.fromkeys(short.action(task.action.rule) for task in tasks if task is not first)
    after = [f" · {joined((*others, first.place))}", f" · {first.place}"]
    name = first.vessel
    scale = next((one for one in (1, 0) if scale is not None and one <= scale and _fits(name, one, width)), None)
    if scale is None or (plain and not scale):
        begin = f"{name.upper()}  {due}  "
        return [[(begin + _what(first, after, width - cells(begin)), "late")]]
    drawn, wide = large.lines(name, scale, plain=plain), large.width(name, scale)
    beside = {len(drawn) - 2: due, len(drawn) - 1: _what(first, after, width - wide - GAP)}
    return [
        *(
            [(column(row, wide), "late"), (f"{'':<{GAP}}{beside.get(at, '')}".rstrip(), "late")]
            for at, row in enumerate(drawn)
        ),
        [],
    ]


def _fits(name: str, scale: int, width: int) -> bool:
    """Return whether a name can be drawn large, with room for what is to be done beside it."""
    return large.drawable(name) and large.width(name, scale) + GAP + LEAST <= width


def _what(task: Task, afters: Sequence[str], width: int) -> str:
    """Return what is to be done, and of what may stand after it the first that leaves it whole."""
    for after in afters:
        said = short.fitting(task.action.task, max(1, width - cells(after)))
        if not said.endswith(CUT):
            return f"{said}{after}"
    return short.fitting(task.action.task, width)


def _today(board: Board, width: int) -> list[Line]:
    """Return what is for today, a vessel a line."""
    tasks = [one for line in board.lines for one in line.actions if one.status == "today"]
    if not tasks:
        return [[(f"{'TODAY':<{WHEN}}", "accent"), ("nothing is due", "quiet")]]
    names = min(max(cells(task.vessel) for task in tasks), width // 3)
    found: list[Line] = []
    for vessel, same in groupby(sorted(tasks, key=lambda task: task.vessel.casefold()), lambda one: one.vessel):
        what = joined([one.action.task for one in same])
        text = f"{column(vessel, names)}  {what}"
        found.append([(f"{'' if found else 'TODAY':<{WHEN}}", "accent"), (column(text, width - WHEN).rstrip(), "")])
    return found


def _next(board: Board, width: int, units: str) -> list[Line]:
    """Return the next days on which something is due, a line each."""
    tasks = [one for line in board.lines for one in line.actions if one.status == "ahead"]
    found: list[Line] = []
    for day, same in groupby(sorted(tasks, key=lambda task: task.action.show), lambda one: one.action.show):
        if len(found) == NEXT_DAYS:
            break
        said = set_on_lines(by_action(list(same), units), width - WHEN, 1)
        name = due_words(day, day, board.today).upper()
        found.append([(f"{name:<{WHEN}}", "quiet"), (said[0], "")])
    return found


def _below(board: Board, width: int, units: str) -> Callable[[int], list[Line]]:
    """Return what gives today and the next days in so many lines: side by side, or one under the other."""

    def told(room: int) -> list[Line]:
        if width >= ROOMY:
            half = (width - GAP) // 2
            left, right = _cut(_today(board, half), room), _next(board, half, units)[: max(0, room)]
            left += [[]] * (len(right) - len(left))
            right += [[]] * (len(left) - len(right))
            return [_beside(one, other, half) for one, other in zip(left, right, strict=True)]
        coming = _next(board, width, units)
        apart: list[Line] = [[]] if room > CLOSE else []
        today = _cut(_today(board, width), max(1, room - min(len(coming), 2) - len(apart)))
        return [*today, *apart, *coming][: max(0, room)]

    return told


def _beside(one: Line, other: Line, width: int) -> Line:
    taken = sum(cells(text) for text, _ in one)
    return [*one, (" " * (width + GAP - taken), ""), *other]


def _cut(lines: list[Line], height: int) -> list[Line]:
    """Return as many lines as there is room for; the last one says how many are left out."""
    if len(lines) <= height:
        return lines
    kept = lines[: max(0, height - 1)]
    name = "" if kept else "TODAY"
    return [
        *kept,
        [(f"{name:<{WHEN}}", "accent"), (f"{len(lines) - len(kept)} {'more' if kept else 'vessels'}", "quiet")],
    ]
