"""What a guard sees and what it says."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from cellar_tui.ledger.cellar import Cellar, Problem
from cellar_tui.ledger.entry import Entry
from cellar_tui.planning.plan import Fact
from cellar_tui.planning.subject import Subject, house_fact


@dataclass(frozen=True, slots=True)
class Finding:
    """What a guard says: its name, the reason with what to do, and whether it stops.

    `waivable` is None for a caution, True for a stop that a written reason passes, False for one that nothing passes.
    `facts` are the house rules it rests on, each with the entry that changed it.
    """

    guard: str
    why: str
    waivable: bool | None = None
    facts: tuple[Fact, ...] = ()

    @property
    def stops(self) -> bool:
        """It keeps the entry out of the ledger unless it is waived."""
        return self.waivable is not None


class Act:
    """An entry about to be made, with the cellar before and after it at its own place in time."""

    def __init__(self, entry: Entry, before: Cellar, after: Cellar, problems: list[Problem]) -> None:
        self.entry = entry
        self.before = before
        self.after = after
        self.problems = problems

    def subject(self, cellar: Cellar, vessel: int | None) -> Subject | None:
        """Return the wine in a vessel of that cellar, None where it holds none."""
        held = cellar.holds.get(vessel or 0)
        return None if held is None else Subject(held, cellar.vessels[held.vessel], cellar.house)

    def fact(self, setting: str) -> Fact:
        """Return a house rule as an input of what is said of the entry."""
        return house_fact(self.before.house, setting)

    @cached_property
    def wine(self) -> Subject | None:
        """The wine before the entry."""
        return self.subject(self.before, self.entry.vessel)

    @cached_property
    def result(self) -> Subject | None:
        """The wine after the entry, in the vessel where it then lies."""
        target = getattr(self.entry.body, "to", None) or self.entry.vessel
        return self.subject(self.after, target)

    @cached_property
    def poured(self) -> Subject | None:
        """The wine of the other vessel that a topping or a blend takes from."""
        return self.subject(self.before, getattr(self.entry.body, "source", None))
