"""The rows of the cellar's list: in which order the vessels stand, and the heads of their groups."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from cellar_tui.language.layout import joined
from cellar_tui.service.views import Board, BoardLine

ORDERS = ("due", "place", "wine", "name")
NOWHERE = "no place named"
ALONE = "in one vessel each"


@dataclass(frozen=True, slots=True)
class Group:
    """The head of some vessels, which the cursor passes by."""

    name: str


HomeRow = BoardLine | Group


def _resting(line: BoardLine) -> bool:
    """Return whether a line can wait under the others: bottles and empty vessels of which nothing is asked."""
    return line.next is None and (line.wine is None or line.material == "bottles")


def _head(name: str, lines: Sequence[BoardLine]) -> Group:
    late = sum(any(action.status == "late" for action in line.actions) for line in lines)
    vessels = "1 vessel" if len(lines) == 1 else f"{len(lines)} vessels"
    return Group(joined((name, vessels, f"{late} late" if late else "")))


def _in_groups(lines: Iterable[BoardLine], name: Callable[[BoardLine], str]) -> Iterator[HomeRow]:
    """Yield lines that stand in the order of their groups, each group with its head."""
    for head, these in groupby(lines, name):
        found = list(these)
        yield _head(head, found)
        yield from found


def _name(line: BoardLine) -> str:
    return line.name.casefold()


def _by_place(lines: Sequence[BoardLine]) -> Iterator[HomeRow]:
    ordered = sorted(lines, key=lambda line: (not line.place, line.place.casefold(), _name(line)))
    return _in_groups(ordered, lambda one: one.place or NOWHERE)


def _by_wine(lines: Sequence[BoardLine]) -> Iterator[HomeRow]:
    """Yield the wines that lie in several vessels, then the others under a head of their own."""
    vessels: dict[str, int] = {}
    for line in lines:
        vessels[line.wine or ""] = vessels.get(line.wine or "", 0) + 1
    several = {wine for wine, count in vessels.items() if count > 1}
    ordered = sorted(lines, key=lambda line: (line.wine not in several, (line.wine or "").casefold(), _name(line)))
    return _in_groups(ordered, lambda one: one.wine if one.wine in several else ALONE) if several else iter(ordered)


def _by_name(lines: Sequence[BoardLine]) -> Iterator[HomeRow]:
    return iter(sorted(lines, key=_name))


def _as_due(lines: Sequence[BoardLine]) -> Iterator[HomeRow]:
    return iter(lines)


_SORTED: dict[str, Callable[[Sequence[BoardLine]], Iterator[HomeRow]]] = {
    "due": _as_due,
    "place": _by_place,
    "wine": _by_wine,
    "name": _by_name,
}


def _rest_head(lines: Sequence[BoardLine]) -> Group:
    empty = sum(line.wine is None for line in lines)
    bottled = len(lines) - empty
    return Group(joined((f"bottled {bottled}" if bottled else "", f"empty {empty}" if empty else "")))


def rows(lines: Sequence[BoardLine], order: str) -> list[HomeRow]:
    """Return the rows of the list in an order (due, place, wine or name), bottles and empty vessels last.

    Args:
        lines: the vessels to be shown, what is due first.
        order: one of ORDERS.
    """
    at_work = [line for line in lines if not _resting(line)]
    rest = sorted((line for line in lines if _resting(line)), key=lambda line: (line.wine is None, _name(line)))
    return [*_SORTED[order](at_work), *([_rest_head(rest), *rest] if rest and at_work else rest)]


def is_head(row: HomeRow) -> bool:
    """Return whether a row is the head of a group."""
    return isinstance(row, Group)


def found(line: BoardLine, words: str) -> bool:
    """Return whether a vessel holds every one of the words looked for."""
    due = " ".join(f"{action.action.rule} {action.action.task} {action.status}" for action in line.actions)
    known = (line.name, line.wine, line.style, line.stage, line.place, line.material, line.summary, due)
    text = " ".join(one for one in known if one).replace("_", " ").casefold()
    return all(word in text for word in words.split())


def counts(board: Board) -> list[str]:
    """Return how much is late, for today and due within a week, and what in the ledger cannot be right."""
    told = [f"{board.late} late", f"{board.due_today} today", f"{board.week} this week"]
    return [*told, f"{len(board.problems)} in the ledger to put right"] if board.problems else told
