"""Free SO2 of a day: the one figure that every list, page, form and file shows for it.

A reading is of its day. What is shown of a later day is what the filter makes of the readings and of what was done
since, faded to that day: from a few figures, which the board keeps, so that no place can show another.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from cellar_tui.enology import so2


@dataclass(frozen=True, slots=True)
class Fading:
    """Free SO2 of a wine left alone.

    Attributes:
        free: free SO2 [mg/L] on the day `since`, that of the last event that touched it.
        loss: its loss in a day, as a rate [1/d].
        since: that day.
        read_on: day of the last reading; of the older one where two wines were joined.
        ph: the last pH, None where it was never read.
        read: that reading [mg/L] where nothing touched the wine after it, else None; it is the figure of its own day.
    """

    free: float
    loss: float
    since: date
    read_on: date
    ph: float | None
    read: float | None = None


@dataclass(frozen=True, slots=True)
class Estimate:
    """Free and molecular SO2 of a day [mg/L], and how old the reading is that they rest on [d]."""

    free_so2: float
    molecular_so2: float | None
    age_days: int


def estimate(known: Fading | None, day: date) -> Estimate | None:
    """Return free and molecular SO2 of a day [mg/L]; None where free SO2 was never read in the wine.

    A day before the last event is taken as that of the event: the ledger of an earlier day is another one.
    """
    if known is None:
        return None
    days = max(0, (day - known.since).days)
    free = known.free * math.exp(-known.loss * days)
    if known.read is not None and day <= known.read_on:
        free = known.read
    # A slip over what any wine holds is shown like any other figure, so that it is seen.
    molecular = None if known.ph is None else free * so2.molecular_fraction(known.ph)
    return Estimate(free, molecular, max(0, (day - known.read_on).days))
