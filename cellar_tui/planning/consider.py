"""An entry weighed before it is made: what the guards say, the wine before and after, the plans old and new.

Preview and record go through this one function, so that what is shown before Enter is what is kept after it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from cellar_tui.ledger.cellar import Cellar, Problem, house_of, vessels_of
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fold import apply, replay
from cellar_tui.ledger.house import House
from cellar_tui.ledger.standing import standing
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.guards.table import judge
from cellar_tui.planning.plan import Plan
from cellar_tui.planning.planner import plans


@dataclass(frozen=True, slots=True)
class Weighed:
    """One new entry at its own place in time: the wine before and after it, and what the guards say."""

    entry: Entry
    before: Contents | None
    after: Contents | None
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Considered:
    """New entries weighed against a ledger.

    Attributes:
        weighed: one for each new entry that says something of a wine.
        old, new: plans by vessel without and with the new entries.
        cellar: the cellar with them.
        made: the new entries.
    """

    weighed: tuple[Weighed, ...]
    old: dict[int, Plan]
    new: dict[int, Plan]
    cellar: Cellar
    made: tuple[Entry, ...]


@dataclass(slots=True)
class Standing:
    """The decoded entries an act can reach, with what follows from them; made once while a form is open."""

    entries: Sequence[Entry]
    ordered: list[Entry] = field(init=False)
    cellar: Cellar = field(init=False)
    plans: dict[int, Plan] = field(init=False)

    def __post_init__(self) -> None:
        self.ordered = standing(self.entries)
        self.cellar = replay(self.ordered)
        self.plans = plans(self.cellar)


def moment(ordered: Sequence[Entry], entry: Entry, house: House) -> Cellar:
    """Return the cellar as it stood just before an entry's own place in time."""
    cellar = Cellar(house, vessels_of(ordered))
    for one in ordered:
        if one.root != entry.root and one.place < entry.place:
            apply(one, cellar)
    return cellar


def _after(before: Cellar, entry: Entry) -> tuple[Cellar, list[Problem]]:
    cellar = Cellar(before.house, dict(before.vessels), dict(before.holds))
    apply(entry, cellar)
    return cellar, cellar.problems


def consider(base: Standing, new: Sequence[Entry]) -> Considered:
    """Weigh new entries (also corrections and withdrawals) against the standing ones they can reach."""
    ordered = standing([*base.entries, *new])
    house = house_of(ordered)
    cellar = replay(ordered, house)
    fresh = {entry.seq for entry in new}
    weighed = []
    for entry in ordered:
        if entry.seq not in fresh or entry.vessel is None:
            continue
        before = moment(ordered, entry, house)
        after, problems = _after(before, entry)
        findings = judge(Act(entry, before, after, problems))
        target = getattr(entry.body, "to", None) or entry.vessel
        weighed.append(
            Weighed(entry, before.holds.get(entry.vessel), after.holds.get(target), tuple(findings))
        )
    return Considered(tuple(weighed), base.plans, plans(cellar), cellar, tuple(new))
