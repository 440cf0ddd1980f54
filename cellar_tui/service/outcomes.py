"""What an entry does, put beside what was: the wine before and after, and the dates that move."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar import Cellar, VesselInfo
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.house import House
from cellar_tui.planning import empty, so2
from cellar_tui.planning.consider import CellarState, Considered, Weighed
from cellar_tui.planning.empty import EmptyPlan
from cellar_tui.planning.plan import Action, Plan, status
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.wine_figures import WineFigures, look
from cellar_tui.service.views import Change, Outcome, Task


def task(action: Action, info: VesselInfo, wine: str, today: date) -> Task:
    """Return a due action with the names a person knows and how it stands on a day."""
    return Task(info.name, info.place, wine, action, status(action.show, action.latest, today), info.material)


def _moved(was: Action | None, now: Action | None) -> bool:
    if was is None or now is None:
        return was is not now
    dates = (was.due, was.latest, was.show) != (now.due, now.latest, now.show)
    doses = [None if one.dose is None else round(one.dose.amount, 2) for one in (was, now)]
    return dates or doses[0] != doses[1]


def changes(
    old: Mapping[int, Plan | EmptyPlan], new: Mapping[int, Plan | EmptyPlan], before: Cellar, after: Cellar, today: date
) -> list[tuple[int, Change]]:
    """Return vessel number and change for each action whose dates or dose moved."""
    found = []
    for number in sorted(set(old) | set(new)):
        was = {action.rule: action for action in old[number].actions} if number in old else {}
        now = {action.rule: action for action in new[number].actions} if number in new else {}
        for rule in sorted(set(was) | set(now)):
            if not _moved(was.get(rule), now.get(rule)):
                continue
            info = after.vessels.get(number) or before.vessels[number]
            pair = [
                task(plan[rule], info, plans[number].wine, today) if rule in plan else None
                for plan, plans in ((was, old), (now, new))
            ]
            found.append((number, Change(info.name, rule, pair[0], pair[1])))
    return found


def _look(contents: Contents | None, cellar: Cellar, house: House, on: date | None = None) -> WineFigures | None:
    if contents is None:
        return None
    info = cellar.vessels.get(contents.vessel)
    return None if info is None else look(contents, info, house, on)


def _looks(
    weighed: Weighed | None, entry: Entry, found: Considered, base: CellarState
) -> tuple[WineFigures | None, WineFigures | None]:
    """Return the wine before and after, at the entry's own place; for a withdrawal, as it stands with and without."""
    house = found.cellar.house
    if weighed is not None:
        return (
            _look(weighed.before, found.cellar, house, entry.on),
            _look(weighed.after, found.cellar, house, entry.on),
        )
    number = entry.vessel or 0
    return (
        _look(base.cellar.holds.get(number), base.cellar, base.cellar.house),
        _look(found.cellar.holds.get(number), found.cellar, house),
    )


def outcomes(found: Considered, made: Sequence[Entry], base: CellarState, today: date) -> tuple[Outcome, ...]:
    """Return what each of the new entries does."""
    by_seq = {one.entry.seq: one for one in found.weighed}
    old, new = base.plans | empty.plans(base.cellar), found.new | empty.plans(found.cellar)
    moved = changes(old, new, base.cellar, found.cellar, today)
    shown = []
    for entry in made:
        weighed = by_seq.get(entry.seq)
        before, after = _looks(weighed, entry, found, base)
        # Of a batch each entry shows its own vessel's dates; an entry made alone shows every date that it moves.
        # House rules set together move the same dates: the first of them shows them.
        whole = len(made) == 1 or (entry.vessel is None and entry is made[0])
        own = tuple(one for number, one in moved if whole or number == entry.vessel)
        info = found.cellar.vessels.get(entry.vessel or 0) or base.cellar.vessels.get(entry.vessel or 0)
        findings = () if weighed is None else weighed.findings
        name = "" if info is None else info.name
        shown.append(Outcome(name, entry, before, after, own, findings, share=_share(weighed, entry, found)))
    return tuple(shown)


def _share(weighed: Weighed | None, entry: Entry, found: Considered) -> tuple[float, float] | None:
    """Return the range of what stays free of a sulfite in the wine as it was before it."""
    sulfite = isinstance(entry.body, k.Addition) and entry.body.so2_mg > 0
    if not sulfite or weighed is None or weighed.before is None:
        return None
    info = found.cellar.vessels.get(weighed.before.vessel)
    return None if info is None else so2.share_range(Subject(weighed.before, info, found.cellar.house))
