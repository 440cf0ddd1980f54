"""Crystals: no cream of tartar in the bottle."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.beginnings import FAR
from cellar_tui.ledger.history import Evidence, additions, checks, readings
from cellar_tui.planning import coldhold, handling
from cellar_tui.planning.plan import Fact
from cellar_tui.planning.so2 import intent_entries
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.base import Kind, Shown, Undone, blends

GRAPE = ("juice", "concentrate")
"""Sweeteners that bring the potassium and tartaric acid of grapes."""


def tests(s: Subject, after: int = -1) -> list[Evidence]:
    """Return the cold tests, fridge tests and conductivity drops later than `after`: 1 passed, 0 failed."""
    kinds = ("cold_test",) if handling.tartrate(s) else ("cold_test", "fridge_test")
    found = [one for one, _ in checks(s.c, *kinds, after=after)]
    limit = s.house.number("conductivity_drop")
    for reading in readings(s.c, "conductivity_drop", after):
        passed = float(reading.value < limit)
        found.append(
            Evidence(passed, reading.on, reading.minute, reading.entries, reading.index, "conductivity", reading.by)
        )
    return sorted(found, key=lambda one: one.index)


def _undoings(s: Subject) -> Iterator[Undone]:
    yield from blends(s)
    yield from _acid(s)
    for index, event in s.added("carbonate"):
        yield Undone(index, event, "acid taken out")
    for index, event in handling.finings(s):
        yield Undone(index, event, "fined")
    for index, event, name in additions(s.c, lambda name: name in GRAPE, after=s.end_index):
        yield Undone(index, event, f"{name} added")
    for test in tests(s):
        if test.value < 1:
            yield Undone(test.index, s.c.log[test.index], "cold test failed")
    yield from _potassium(s)


def _acid(s: Subject) -> Iterator[Undone]:
    """Yield the acid with which what was added since the last test or the start of a hold came to the limit."""
    evidence = {test.index for test in tests(s)} | {i for i, e in s.events(k.Chill) if getattr(e.body, "start", False)}
    total, counted = 0.0, -1
    for index, event in s.added("acid"):
        if any(counted < place < index for place in evidence):
            total = 0.0
        counted = index
        grams = event.body.amount if isinstance(event.body, k.Addition) else None
        total += (grams or 0.0) / max(event.after.volume, 0.001)
        if round(total, 6) >= s.house.number("acid_undoes"):
            yield Undone(index, event, "acid added", "acid_undoes")
            total = 0.0


def _potassium(s: Subject) -> Iterator[Undone]:
    """Yield the sulfite or sorbate with which potassium since the last passed test came over the limit."""
    passed = [test.index for test in tests(s) if test.value == 1]
    if not passed:
        return
    total = 0.0
    for index, event in s.added("so2", "sorbate", after=passed[-1]):
        total += event.potassium
        if total > s.house.number("potassium_undoes"):
            yield Undone(index, event, "potassium added with sorbate and sulfite", "potassium_undoes")
            return


def _shown(s: Subject, after: int) -> Shown | None:
    if s.end is None:
        return None
    passed = [test for test in tests(s, after) if test.value == 1]
    if passed:
        one = passed[-1]
        name = {"conductivity": "conductivity drop under the limit"}.get(one.method or "", "cold test passed")
        limit = (s.fact("conductivity_drop"),) if one.method == "conductivity" else ()
        return Shown((Fact(name, "yes", "", one.entries, one.on), *limit), name, one.index)
    if s.intents.served_cold:
        return None
    if s.intents.crystals_accepted:
        fact = Fact("crystals accepted", "yes", "", intent_entries(s, "crystals_accepted"))
        return Shown((fact,), "crystals are harmless and accepted; say so to whoever drinks it", FAR)
    held = coldhold.hold(s)
    if handling.tartrate(s) and held is not None and held.start > after and held.credit >= 1:
        latest = s.c.log[held.seen_index]
        on = Fact("in the cold until", latest.on.isoformat(), "", (latest.entry,), latest.on)
        return Shown((*held.facts, on), "cold hold served", held.seen_index)
    return None


def _begun(s: Subject, after: int) -> Fact | None:
    held = coldhold.hold(s)
    if held is None or (held.start < after and held.ended is not None):
        return None
    event = s.c.log[held.start]
    return Fact("cold hold started", held.started.isoformat(), "", (event.entry,), held.started)


def _wants(s: Subject) -> str:
    if not handling.tartrate(s):
        return f"a fridge test of {s.figure('fridge_test_days')} days at serving cold"
    if s.intents.served_cold:
        return "a passed cold test, after a hold or without one"
    return "a cold hold served, a passed cold test, or crystals accepted"


def _rests_on(s: Subject) -> Iterator[Fact]:
    if readings(s.c, "conductivity_drop"):
        yield s.fact("conductivity_drop")
    if s.added("acid"):
        yield s.fact("acid_undoes")
    if tests(s) and s.added("so2", "sorbate"):
        yield s.fact("potassium_undoes")
    held = coldhold.hold(s)
    if held is not None:
        yield from held.rules


CRYSTALS = Kind(
    "crystals",
    _undoings,
    _shown,
    _begun,
    _wants,
    ("crystals",),
    frozenset({"cold_test", "fridge_test", "conductivity_drop", "temperature", "chill", "intent"}),
    _rests_on,
)
