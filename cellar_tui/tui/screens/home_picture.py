"""The cellar as text for a screen of any size: what stands where, and what each line of it says.

A pure function of the board and the size: nothing here knows the framework that draws it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from typing import TYPE_CHECKING

from cellar_tui.language import days, describe_entry
from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import column, joined
from cellar_tui.planning.day_text import day_and_month, near_day
from cellar_tui.service.views import Board, BoardLine, Written
from cellar_tui.tui.screens import about, fortnight
from cellar_tui.tui.screens.board_table import Table, table
from cellar_tui.tui.screens.home_rows import Group, HomeRow, counts
from cellar_tui.tui.widgets.toned import Part

if TYPE_CHECKING:
    from cellar_tui.planning.shopping import Supply

EDGES = 3
"""Lines of the head, the names of the columns and the keys."""
WIDE, WIDEST = 120, 190
"""Width of the screen [cells] from which the days ahead stand beside the list, and from which it is four weeks."""
GAP = 2
"""Cells between the list and the days ahead, and between the parts under them."""
SELECTED = 7
"""Lines of the selected vessel, an empty one over them."""
SMALLEST = 10
"""Lines that the parts below keep on a wide screen, however long the list."""
LOW = 16
"""Height of a screen [cells] under which the selected vessel has few lines."""
HAND, VESSEL = 8, 14
"""Most cells of a name in the last entries."""
PANEL = 58
"""Width [cells] of what follows the cursor where it is not the whole screen: each cell of it costs at every move."""


@dataclass(frozen=True, slots=True)
class Layout:
    """What stands where on a screen.

    Attributes:
        width: of the screen [cells].
        list_width: of the list [cells].
        days: days of the strip beside it, 0 for no strip.
        below: lines under the list.
        selected: of those, the lines of the selected vessel.
        parts: widths [cells] of the parts side by side under the list.
    """

    width: int
    list_width: int
    days: int
    below: int
    selected: int
    parts: tuple[int, ...]

    @property
    def strip_width(self) -> int:
        """Cells of the strip."""
        return self.days * fortnight.CELLS


def layout(width: int, height: int, rows: int) -> Layout:
    """Return what stands where on a screen of a size that shows so many rows of a list."""
    room = height - EDGES
    parts: tuple[int, ...]
    if width < WIDE:
        selected = SELECTED if height >= LOW else max(2, room // 3)
        # A tall and narrow screen has the days ahead under the selected vessel.
        below = max(selected, room - rows) if height >= 2 * LOW else selected
        return Layout(width, _unscrolled(width, rows, room - below), 0, below, selected, (width,))
    span = fortnight.WEEK * (4 if width >= WIDEST else 2)
    least = min(SMALLEST, max(2, room // 2))
    below = max(least, room - rows)
    beside = _unscrolled(width - span * fortnight.CELLS - GAP, rows, room - below)
    if width >= WIDEST:
        middle = (width - PANEL - 2 * GAP) * 5 // 9
        parts = (PANEL, middle, width - PANEL - middle - 2 * GAP)
    else:
        left = max(PANEL, width * 9 // 20)
        parts = (left, width - left - GAP)
    return Layout(width, beside, span, below, min(SELECTED, below), parts)


def _unscrolled(width: int, rows: int, room: int) -> int:
    """Return the width of a list without its scroll bar."""
    return width - 1 if rows > room else width


def head(board: Board, heading: str, by: str, width: int) -> str:
    """Return the first line: whose cellar it is, the day, and how much is due; what does not fit is left out."""
    left = joined((" Cellar", heading, by))
    full, brief = days.echo(board.today), f"{board.today:%a} {board.today.day} {board.today:%b}"
    told = counts(board)
    for right in (joined((full, *told)), joined((brief, *told)), joined((brief, *told[:2]))):
        if cells(left) + cells(right) + 2 < width:
            break
    return f"{column(left, max(0, width - cells(right) - 2))} {right}"


def columns_of(board: Board, units: str, place: Layout) -> Table:
    """Return the columns of the list."""
    return table(board.lines, board.today, units, place.list_width)


def column_heads(found: Table, board: Board, place: Layout) -> str:
    """Return the names of the columns, and the days beside them."""
    if not place.days:
        return found.heads()
    beside = fortnight.strip_head(board.today, place.days)
    return f"{column(found.heads(), place.width - place.strip_width - GAP)}{' ' * GAP}{beside}"


def row(found: Table, one: HomeRow, board: Board) -> list[Part]:
    """Return one row of the list."""
    return [(f" {one.name}", "quiet")] if isinstance(one, Group) else found.parts(one, board.today)


def strip(one: HomeRow, board: Board, place: Layout, shades: fortnight.Shades) -> list[Part]:
    """Return what stands beside a row."""
    return [] if isinstance(one, Group) else fortnight.strip(one, board.today, place.days, shades)


def selected(line: BoardLine | None, board: Board, units: str, place: Layout, nothing: str) -> list[list[Part]]:
    """Return the selected vessel in words, an empty line over it."""
    if line is None:
        return [[], [(f" {nothing}", "")]] if nothing else []
    width = min(place.parts[0], PANEL if place.days else place.width) - 2
    told = about.told(line, board.problems, board.today, units, width)
    return [[], *([(" ", ""), *one] for one in told)]


def ahead(board: Board, units: str, place: Layout) -> list[list[Part]]:
    """Return the days ahead in words, an empty line over them."""
    height = place.below if place.days else place.below - place.selected
    width = place.parts[1] if place.days else place.parts[0]
    found = fortnight.agenda(board, width - 2, height - 1, units)
    edge = "" if place.days else " "
    return [[], *([(edge, ""), *one] for one in found)] if found else []


def recent(entries: Sequence[Written], names: Mapping[int, str], today: date, units: str) -> list[str]:
    """Return the last entries in a line each: day, hand, vessel, what was done."""
    hands = max((cells(entry.entry.by) for entry in entries), default=0)
    vessels = min(max((cells(entry.vessel) for entry in entries), default=0), VESSEL)
    found = []
    for (day, by, vessel), same in groupby(entries, lambda one: (one.entry.on, one.entry.by, one.vessel)):
        said = "; ".join(describe_entry.entry(one.entry, names, units) for one in same)
        where = f"{column(by, min(hands, HAND))}  {column(vessel or 'cellar', vessels)}"
        found.append(f"{near_day(day, today):>6}  {where}  {said}")
    return found


def to_get(supplies: Sequence[Supply], units: str, width: int) -> list[str]:
    """Return what the wines will need and is not on hand, in lines of a width."""
    missing = [
        f"{describe_entry.words(supply.material)} {describe_entry.amount(supply.to_get, supply.unit, units)}"
        for supply in supplies
        if supply.to_get > 0
    ]
    return fortnight.set_on_lines(missing, width, 2)


def beside_ahead(
    signs: Sequence[list[Part]], last: Sequence[str], get: Sequence[str], board_day: date, place: Layout
) -> list[list[Part]]:
    """Return the last entries of all hands, what is to be got, and the signs of the strip: as much as has room."""
    own_column = len(place.parts) > 2
    room = place.below - 1 if own_column else place.below - place.selected - 1
    width = place.parts[2] if own_column else place.parts[0]
    edge = "" if own_column else " "
    wanted: list[list[Part]] = []
    if get:
        # Loaded with the planner, which what is to be got has needed anyway: the first picture needs neither.
        from cellar_tui.planning.shopping import WITHIN

        until = day_and_month(board_day + timedelta(days=WITHIN))
        wanted = [[(f"To get until {until}", "accent")], *([(one, "")] for one in get)]
    left = room - sum(len(one) + 1 for one in (signs, wanted) if one)
    done: list[list[Part]] = [[("Lately", "accent")], *([(one, "")] for one in last[: max(0, left - 1)])]
    found: list[list[Part]] = []
    for part in (done if len(done) > 1 else [], wanted, signs):
        if part and len(found) + len(part) <= room:
            found += [*part, []]
    return [[], *([(edge, ""), *((column(text, width - 1).rstrip(), role) for text, role in one)] for one in found)]
