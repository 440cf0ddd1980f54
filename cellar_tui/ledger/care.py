"""What befell a vessel while it was empty: when it was emptied and of what, how often filled, how it was kept since."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from cellar_tui.ledger import kinds as k

ASKED = ("empty_wood", "wood_soak")
"""Actions that are asked of an empty vessel, which may be put off or skipped there."""


@dataclass(frozen=True, slots=True)
class Treated:
    """One thing done to an empty vessel: its entry, day, and what it says."""

    entry: int
    on: date
    body: k.Body


@dataclass(frozen=True, slots=True)
class Care:
    """A vessel apart from the wine in it.

    Attributes:
        emptied: day on which its last wine left, None where none has.
        by: the entry that emptied it.
        wine: what it held last, "" where it never held any.
        fills: how often it was filled in this cellar.
        log: what was done to it while it was empty, in order.
    """

    emptied: date | None = None
    by: int = 0
    wine: str = ""
    fills: int = 0
    log: tuple[Treated, ...] = ()

    def with_work(self, done: Treated) -> Care:
        """Return it with one more thing done."""
        return replace(self, log=(*self.log, done))

    def last(self, *ways: str) -> Treated | None:
        """Return the last time that it was cleaned in one of these ways."""
        made = [event for event in self.log if isinstance(event.body, k.Cleaning) and event.body.how in ways]
        return made[-1] if made else None
