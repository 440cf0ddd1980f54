"""Bottles of a store, counted from its log: filled, drunk, given, sold, broken, come back, kept back, and left."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.kinds import Bottle, Bottles, Check

OUT = ("drunk", "given", "sold", "broken")
"""Ways in which bottles leave a store."""
RATE_DAYS = 90
"""Days back over which the present rate is taken (common practice)."""


@dataclass(frozen=True, slots=True)
class Stock:
    """Bottles of one store.

    Attributes:
        filled: bottles filled, by size [mL].
        moved: bottles by what became of them.
        left: bottles still there, by size [mL].
        kept: of those left, held back for the kept-bottle checks.
        lots: lot numbers on them, in the order of filling.
        out: day and number of each time that bottles left.
    """

    filled: Mapping[float, int] = field(default_factory=dict)
    moved: Mapping[str, int] = field(default_factory=dict)
    left: Mapping[float, int] = field(default_factory=dict)
    kept: int = 0
    lots: tuple[str, ...] = ()
    out: tuple[tuple[date, int], ...] = ()

    @property
    def total(self) -> int:
        """Bottles still there, of every size."""
        return sum(self.left.values())

    def days_left(self, today: date) -> float | None:
        """Return for how many days the bottles last at the rate of the last 90 d; None where none left in them."""
        begin = today - timedelta(days=RATE_DAYS)
        gone = sum(count for on, count in self.out if begin < on <= today)
        first = min((on for on, _ in self.out if begin < on <= today), default=today)
        return self.total * max(1, (today - first).days + 1) / gone if gone else None


def stock(store: Contents) -> Stock:
    """Count the bottles of a store by its own log; a line that took more than there were took what there was."""
    filled: dict[float, int] = {}
    left: dict[float, int] = {}
    moved: dict[str, int] = {}
    lots: list[str] = []
    out: list[tuple[date, int]] = []
    kept = 0
    for event in store.log:
        body = event.body
        if isinstance(body, Bottle | WineStart) and not event.passive:
            size, count = body.size or 0.0, int(body.count or 0)
            filled[size] = filled.get(size, 0) + count
            left[size] = left.get(size, 0) + count
            if body.lot and body.lot not in lots:
                lots.append(body.lot)
        elif isinstance(body, Check) and body.opened:
            size, count = size_of(None, left), int(body.opened)
            count = min(count, left.get(size, 0))
            left[size] = left.get(size, 0) - count
            kept, moved["checked"] = max(0, kept - count), moved.get("checked", 0) + count
            out.append((event.on, count))
        elif isinstance(body, Bottles):
            size, count = size_of(body.size, left), int(body.count or 0)
            how = body.how or "drunk"
            if how == "kept":
                kept += count
            else:
                count = -count if how == "returned" else min(count, left.get(size, 0))
                left[size] = left.get(size, 0) - count
                out += [(event.on, count)] if how in OUT else []
            moved[how] = moved.get(how, 0) + abs(count)
    whole = sum(left.values())
    return Stock(filled, moved, {size: n for size, n in left.items() if n}, min(kept, whole), tuple(lots), tuple(out))


def size_of(typed: float | None, left: Mapping[float, int]) -> float:
    """Return the size of the bottles meant [mL]: as typed, else that of which most are there."""
    if typed is not None:
        return typed
    return max(left, key=lambda size: (left[size], size), default=0.0)
