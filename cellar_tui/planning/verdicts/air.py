"""Air: no oxidation and no vinegar, for as long as free SO2 and a full vessel were last seen to hold."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.history import additions, checks
from cellar_tui.planning import handling, headspace, so2, sulfur
from cellar_tui.planning.age import wished_bottling
from cellar_tui.planning.forecast import outlook
from cellar_tui.planning.plan import Fact
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.base import Kind, Shown, Undone

SPOILT = ("vinegar", "film", "browning")
"""Faults smelt or tasted that air has made; common practice."""


def work(s: Subject) -> list[tuple[int, str]]:
    """Return place and name of the work on the wine that a later free SO2 reading must cover."""
    # On the wished bottling day and the day before it racking and filtration are part of the filling: a caution only.
    filling = (wished_bottling(s) - timedelta(days=1), wished_bottling(s))
    found = [(i, "racking") for i, e in handling.rackings(s) if e.on not in filling]
    found += [(i, "filtration") for i, e in s.events(k.Filter, after=s.end_index) if e.on not in filling]
    found += [(i, "blend") for i, _ in handling.blends(s, after=s.end_index)]
    found += [(i, "sweetening") for i, _ in s.sweetenings]
    found += [(i, "sulfite addition") for i, _ in sulfur.sulfites(s)]
    return sorted(found)


def _undoings(s: Subject) -> Iterator[Undone]:
    log = s.c.log
    for index, name in work(s):
        if name != "sulfite addition":
            yield Undone(index, log[index], f"{name} since")
    for evidence, check in checks(s.c, "surface", "level", "smell", "taste"):
        spoilt = check.test in ("surface", "level") or check.fault in SPOILT
        if check.result == "fail" and spoilt:
            yield Undone(evidence.index, log[evidence.index], f"{check.test} failed: {check.fault or 'gap or film'}")
    wanted = so2.target(s).free
    for reading in sulfur.reads(s):
        if reading.index > s.end_index and reading.value < wanted:
            yield Undone(reading.index, log[reading.index], "free SO2 under target")


def toppings(s: Subject, after: int = -1) -> list[tuple[int, Event]]:
    """Return what filled the vessel up later than `after`: wine, or spirit into a wine that is fortified already."""
    spirit = additions(s.c, lambda name: name == "spirit", max(after, s.end_index))
    return sorted([*s.events(k.Topping, after=after), *((i, e) for i, e, _ in spirit)], key=lambda event: event[0])


def look(s: Subject, after: int) -> tuple[int, Fact] | None:
    """Return the last look at level, airlock and surface, topping, filling to the neck or gas cover later than `after`.

    A lid that lies on the wine leaves nothing to look at: there the last reading of the wine stands for it.
    """
    found = [(one.index, one.on, one.entries) for one, c in checks(s.c, "level", after=after) if c.result == "pass"]
    found += [(i, e.on, (e.entry,)) for i, e in (*s.events(k.Gas, after=after), *toppings(s, after))]
    found += [(i, e.on, (e.entry,)) for i, e in headspace.filled(s) if i > after]
    if s.vessel.floating and s.free is not None:
        found.append((s.free.index, s.free.on, s.free.entries))
    if not found:
        return None
    index, on, entries = max(found)
    return index, Fact("vessel checked: full and closed", on.isoformat(), "", entries, on)


def _shown(s: Subject, after: int) -> Shown | None:
    if s.end is None or s.free is None:
        return None
    wanted = so2.target(s)
    last_work = max((index for index, _ in work(s)), default=-1)
    if s.free.index <= max(after, last_work) or s.free.value < wanted.free:
        return None
    seen = _look_that_counts(s)
    if seen is None or seen[1].on is None or s.free.on > seen[1].on + s.days("look_days"):
        return None
    facts = (
        Fact("free SO2", s.free.value, "mg/L", s.free.entries, s.free.on),
        Fact("target", round(wanted.free, 1), "mg/L"),
        seen[1],
    )
    return Shown(facts, "free SO2 on target, vessel full", s.free.index)


def _look_that_counts(s: Subject) -> tuple[int, Fact] | None:
    # A check level and airlock stands through work on the wine; only what was seen wrong undoes it.
    return look(s, max((u.index for u in _undoings(s) if "failed" in u.reason), default=-1))


def _until(s: Subject) -> tuple[date | None, tuple[Fact, ...]]:
    recheck, seen = outlook.recheck(s), _look_that_counts(s)
    if recheck is None or seen is None or seen[1].on is None:
        return None, ()
    rules = tuple(fact for fact in recheck.because.facts if fact.house_rule)
    return min(recheck.on, seen[1].on + s.days("look_days")), rules


def _begun(s: Subject, after: int) -> Fact | None:
    for index, event in reversed(sulfur.sulfites(s)):
        if index >= after:
            return Fact("sulfite added", round(event.so2, 1), "mg/L", (event.entry,), event.on)
    return None


def _wants(s: Subject) -> str:
    if s.free is not None and s.free.value < so2.target(s).free and s.total_so2 >= so2.total_limit(s):
        return "free SO2 is under target and total SO2 leaves no room under its limit: blend it down with another wine"
    return "a free SO2 reading on target after the last work, and a check level and airlock"


def _rests_on(s: Subject) -> Iterator[Fact]:
    yield from so2.target_rules(s)
    recheck = outlook.recheck(s)
    yield from (fact for fact in (recheck.because.facts if recheck else ()) if fact.house_rule)
    yield s.fact("look_days")


AIR = Kind(
    "air",
    _undoings,
    _shown,
    _begun,
    _wants,
    SPOILT,
    frozenset({"free_so2", "level", "topping", "gas", "addition"}),
    _rests_on,
    _until,
)
