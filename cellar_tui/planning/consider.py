"""An entry weighed before it is made: what the guards say, the wine before and after, the plans old and new.

Preview and record go through this one function, so that what is shown before Enter is what is kept after it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from cellar_tui.ledger.cellar import Cellar, house_of, vessels_of
from cellar_tui.ledger.cellar_kinds import OUTSIDE_TIME
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fold import apply, replay
from cellar_tui.ledger.house import House
from cellar_tui.ledger.standing import standing_entries
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.guards.table import judge
from cellar_tui.planning.guards.volume import filled_later
from cellar_tui.planning.plan import Plan
from cellar_tui.planning.planner import Derived, derived, plans


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
        base: what they were weighed against.
        later: some standing entry is dated after the day up to which they count.
    """

    weighed: tuple[Weighed, ...]
    old: dict[int, Plan]
    new: dict[int, Plan]
    cellar: Cellar
    made: tuple[Entry, ...]
    base: CellarState
    later: bool


@dataclass(slots=True)
class CellarState:
    """The decoded entries an act can reach, with what follows from them; made once while a form is open.

    `known` are plans made before, by vessel: a filling that is still the same keeps its own. Entries dated after
    `until` count for nothing.
    """

    entries: Sequence[Entry]
    known: Mapping[int, Derived] | None = None
    until: date | None = None
    ordered: list[Entry] = field(init=False)
    cellar: Cellar = field(init=False)
    plans: dict[int, Plan] = field(init=False)

    def __post_init__(self) -> None:
        self.ordered = counting(self.entries, self.until)
        self.cellar = replay(self.ordered)
        self.plans = plans(self.cellar, self.known)


def counting(entries: Sequence[Entry], until: date | None) -> list[Entry]:
    """Return the standing entries in their order, without those that happen only after `until`."""
    ordered = standing_entries(entries)
    if until is None:
        return ordered
    return [entry for entry in ordered if entry.on <= until or isinstance(entry.body, OUTSIDE_TIME)]


def moment(ordered: Sequence[Entry], entry: Entry, house: House) -> Cellar:
    """Return the cellar as it stood just before an entry's own place in time."""
    cellar = Cellar(house, vessels_of(ordered))
    for one in ordered:
        if one.root != entry.root and one.position < entry.position:
            apply(one, cellar)
    return cellar


def _picture(cellar: Cellar) -> Cellar:
    """Return the cellar as it stands at this moment of the fold; what it holds never changes in place."""
    return Cellar(cellar.house, dict(cellar.vessels), dict(cellar.holds), care=dict(cellar.care))


def consider(base: CellarState, new: Sequence[Entry], each: Callable[[], None] = lambda: None) -> Considered:
    """Weigh new entries (also corrections and withdrawals) against the standing ones they can reach.

    Args:
        base: what they are weighed against.
        new: the new entries.
        each: is called when one of them has been weighed; what it raises ends the weighing.
    """
    until = None if base.until is None else max([base.until, *(one.on for one in new)])
    ordered = counting([*base.entries, *new], until)
    cellar = Cellar(house_of(ordered), vessels_of(ordered))
    fresh = {entry.seq for entry in new}
    weighed = []
    for entry in ordered:
        if entry.seq not in fresh or entry.vessel is None:
            apply(entry, cellar)
            continue
        before, told = _picture(cellar), len(cellar.problems)
        apply(entry, cellar)
        after = _picture(cellar)
        findings = judge(Act(entry, before, after, cellar.problems[told:]))
        target = getattr(entry.body, "to", None) or entry.vessel
        weighed.append(Weighed(entry, before.holds.get(entry.vessel), after.holds.get(target), tuple(findings)))
        each()
    weighed = [replace(one, findings=(*filled_later(one.entry, base.cellar, cellar), *one.findings)) for one in weighed]
    fresh_plans = plans(cellar, derived(base.cellar, base.plans))
    later = until is not None and any(entry.on > until for entry in (*base.entries, *new))
    return Considered(tuple(weighed), base.plans, fresh_plans, cellar, tuple(new), base, later)
