"""The days ahead of the whole cellar: as a strip beside each vessel, and in words, day by day."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from cellar_tui.language import describe_entry
from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import column
from cellar_tui.planning.estimate import estimate
from cellar_tui.service.views import Board, BoardLine, Task
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.toned import Part

DAY = timedelta(days=1)
WEEK = 7
CELLS = 2
"""Cells of a day in the strip."""
WHEN = 8
"""Cells of the name of a day in the list of days."""
MOST_LINES = 3
"""Lines that one day takes at most; what is left is counted."""
CROWDED = 1000
"""Vessels from which the days are only counted: their words would fill no screen and take long."""
MOST_NAMES = 20
"""Vessels that are named for one action of a day; the others are counted."""
RECHECK, HOLD_END, HOLDING = "so2_recheck", "cold_hold_end", "holding_cold"
TARGET = "free SO2 target"
"""The fact of a recheck that names the target [mg/L]."""


@dataclass(frozen=True, slots=True)
class Shades:
    """What fills a day of the strip: free SO2 is to be tested, is likely under its target, the wine is held cold."""

    test: str = "░"
    under: str = "▒"
    cold: str = "="


BLOCKS, PLAIN = Shades(), Shades(".", ":", "=")
"""Plain is for terminals and locales that are poor in characters."""


def strip_head(today: date, days: int) -> str:
    """Return the first letters of the weekdays from today on."""
    return "".join(column(f"{today + at * DAY:%a}"[0], CELLS) for at in range(days)).rstrip()


def strip(line: BoardLine, today: date, days: int, shades: Shades = BLOCKS) -> list[Part]:
    """Return how many things are due on each of the coming days, over what fills the day.

    Args:
        line: a vessel of the board of `today`.
        today: the first day.
        days: how many days.
        shades: with what a day is filled.
    """
    counts = _counts(line, today)
    fills = _fills(line, today, days, shades)
    late = any(action.status == "late" for action in line.actions)
    parts: list[Part] = []
    for at in range(days):
        fill, due = fills[at], counts.get(at, 0)
        mark = "!" if late and at == 0 else str(min(due, 9)) if due else fill
        role = "late" if mark == "!" else "accent" if due and at == 0 else "" if due else "quiet"
        parts += [(mark, role), (fill, "quiet")]
    return parts


def _counts(line: BoardLine, today: date) -> dict[int, int]:
    """Return how many actions are due by the days until then; what waits already is for today."""
    found: dict[int, int] = {}
    for action in line.actions:
        at = max(0, (action.action.show - today).days)
        found[at] = found.get(at, 0) + 1
    return found


def _fills(line: BoardLine, today: date, days: int, shades: Shades) -> list[str]:
    """Return what each day is filled with."""
    found = [" "] * days
    if line.stage == HOLDING:
        end = next((action.action.show for action in line.actions if action.action.rule == HOLD_END), None)
        found = [shades.cold if end is None or today + at * DAY <= end else " " for at in range(days)]
    test = next((action for action in line.actions if action.action.rule == RECHECK), None)
    if test is None:
        return found
    target = next((fact.value for fact in test.action.because.facts if fact.name == TARGET), None)
    for at in range(days):
        day = today + at * DAY
        free = estimate(line.fading, day)
        if isinstance(target, float) and free is not None and free.free_so2 < target:
            found[at] = shades.under
        elif day >= test.action.show:
            found[at] = shades.test
    return found


def legend(lines: Sequence[BoardLine], today: date, days: int, shades: Shades = BLOCKS) -> list[list[Part]]:
    """Return what the signs of the strips mean, those that are there."""
    seen = {text for one in lines for text, _ in strip(one, today, days, shades)}
    free = [
        f"{sign} {told}"
        for sign, told in ((shades.test, "free SO2 to be tested"), (shades.under, "likely under its target"))
        if sign in seen
    ]
    rest = [f"{sign} {told}" for sign, told in ((shades.cold, "in a cold hold"), ("!", "late")) if sign in seen]
    return [[("   ".join(one), "quiet")] for one in (free, [*rest, "2 things due that day"]) if one]


# -- in words


def together(names: Sequence[str]) -> str:
    """Return names of vessels with what several share said once: Barrel 1, 2, Tub 1."""
    found: list[str] = []
    before = ""
    for kind, _, number in (name.rpartition(" ") for name in names):
        found.append(number if kind and kind == before and number.isdigit() else f"{kind} {number}".strip())
        before = kind
    return ", ".join(found)


def _what(task: Task, units: str) -> str:
    """Return an action in a word or two, with the amount of its dose."""
    dose = task.action.dose
    name = short.action(task.action.rule)
    return name if dose is None else f"{name} {describe_entry.amount(dose.amount, dose.unit, units)}"


def by_vessel(tasks: Sequence[Task], units: str) -> list[str]:
    """Return what to do vessel by vessel, as one walks."""
    found: dict[str, list[str]] = {}
    for task in tasks:
        found.setdefault(task.vessel, []).append(_what(task, units))
    return [f"{vessel} {', '.join(dict.fromkeys(said))}" for vessel, said in found.items()]


def by_action(tasks: Sequence[Task], units: str) -> list[str]:
    """Return what is to come action by action, each with its vessels."""
    found: dict[str, list[str]] = {}
    for task in sorted(tasks, key=lambda task: task.vessel.casefold()):
        found.setdefault(_what(task, units), []).append(task.vessel)
    return [f"{said} {_named(vessels)}" for said, vessels in found.items()]


def _named(vessels: Sequence[str]) -> str:
    """Return the names of vessels, of very many the first."""
    left = len(vessels) - MOST_NAMES
    return together(vessels) if left <= 0 else f"{together(vessels[:MOST_NAMES])}, {left} more"


def set_on_lines(items: Sequence[str], width: int, most: int) -> list[str]:
    """Return items on lines of a width, broken between two of them; those that find no room are counted."""
    lines: list[str] = []
    for at, item in enumerate(items):
        if lines and cells(lines[-1]) + 3 + cells(item) <= width:
            lines[-1] = f"{lines[-1]} · {item}"
        elif len(lines) < most:
            lines.append(column(item, width).rstrip())
        else:
            left = f" · {len(items) - at} more"
            return [*lines[:-1], f"{column(lines[-1], width - cells(left)).rstrip()}{left}"]
    return lines


def _day_name(day: date, today: date) -> str:
    return f"{day:%a} {day.day}" if (day - today).days <= WEEK else f"{day.day} {day:%b}"


def _days(board: Board, width: int, units: str, span: int) -> Iterator[list[Part]]:
    """Yield the days of a span in words: what is late, today, then every day with what is due on it."""
    tasks = sorted((one for line in board.lines for one in line.actions), key=lambda one: one.action.show)
    room = width - WHEN
    heads: list[tuple[str, str, list[str]]] = []
    for status, name in (("late", "late"), ("today", _day_name(board.today, board.today))):
        these = [task for task in tasks if task.status == status]
        if these or status == "today":
            heads.append((name, "late" if status == "late" else "accent", by_vessel(these, units)))
    ahead: dict[date, list[Task]] = {}
    for one in tasks:
        if one.status == "ahead":
            ahead.setdefault(one.action.show, []).append(one)
    for at in range(1, span):
        day = board.today + at * DAY
        heads.append((_day_name(day, board.today), "quiet", by_action(ahead.get(day, []), units)))
    for name, role, items in heads:
        for index, text in enumerate(set_on_lines(items, room, MOST_LINES) or ["-"]):
            yield [(f"{'' if index else name:<{WHEN}}", role), (text, "" if items else "quiet")]


def _counted(board: Board, span: int) -> list[list[Part]]:
    """Return the days of a span, each with how many things are due on it."""
    numbers = Counter(max(0, (one.action.show - board.today).days) for line in board.lines for one in line.actions)
    return [
        [(f"{_day_name(board.today + at * DAY, board.today):<{WHEN}}", "quiet"), (str(numbers[at] or "-"), "")]
        for at in range(span)
    ]


def agenda(board: Board, width: int, height: int, units: str) -> list[list[Part]]:
    """Return the days ahead in words as far as there is room: two weeks, else one, else their counts, else nothing."""
    spans = ((2 * WEEK, "Two weeks"), (WEEK, "This week")) if len(board.lines) <= CROWDED else ()
    for span, title in spans:
        found = [[(title, "accent")], *_days(board, width, units, span)]
        if len(found) <= height:
            return [*found, *_after(board, width, span)][:height]
    counted = [[("This week", "accent")], *_counted(board, WEEK)]
    return counted if len(counted) <= height else []


def _after(board: Board, width: int, span: int) -> list[list[Part]]:
    """Return how many things are due after a span, and the day of the first."""
    last = board.today + (span - 1) * DAY
    later = sorted(one.action.show for line in board.lines for one in line.actions if one.action.show > last)
    if not later:
        return []
    said = f"{len(later)} more, the first on {_day_name(later[0], board.today)}"
    return [[(f"{'then':<{WHEN}}", "quiet"), (column(said, width - WHEN).rstrip(), "quiet")]]
