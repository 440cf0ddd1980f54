"""The sugar of a wine as it is shown: what was read or proven as it is, an estimate with its band."""

from __future__ import annotations

from cellar_tui.ledger.history import last_reading
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.table import settled


def band(s: Subject) -> tuple[float, float] | None:
    """Return the least and the most sugar it can hold [g/L] where it is an estimate; None where sure or unknown.

    None at all is sure only where it was read or the yeast is shown to have done; steady gravities alone leave a band
    of nothing.
    """
    held = s.sugar_held
    if s.sugar is None:
        return None
    sure = held.exact and (held.middle > 0 or last_reading(s.c, "residual_sugar") is not None or settled(s, "yeast"))
    return None if sure else (held.low, held.high)
