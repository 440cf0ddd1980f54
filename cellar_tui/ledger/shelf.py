"""What is left on the shelf: what was last counted there, less what went into the wines since."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.house import Stock
from cellar_tui.ledger.kinds import Addition


def left(entries: Sequence[Entry], stock: Mapping[str, Stock]) -> dict[str, float | None]:
    """Return what is left of each material on hand, in its unit; None where no amount was counted.

    An addition counts when its day is later than that of the count, or the same and it was written down after it.

    Args:
        entries: the standing entries of the whole cellar.
        stock: the materials on hand, as last counted.
    """
    counted = {entry.root: entry for entry in entries}
    found: dict[str, float | None] = {}
    for name, one in stock.items():
        if one.amount is None:
            found[name] = None
            continue
        since = (counted[one.entry].on, one.entry)
        used = sum(
            entry.body.amount or 0.0
            for entry in entries
            if isinstance(entry.body, Addition) and entry.body.material == name and (entry.on, entry.root) > since
        )
        found[name] = max(0.0, one.amount - used)
    return found
