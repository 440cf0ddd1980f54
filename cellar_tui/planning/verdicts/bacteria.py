"""Bacteria: no malolactic or other bacterial growth in the bottle."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from cellar_tui.enology import so2 as chemistry
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger import malolactic as ml
from cellar_tui.ledger.history import Evidence, checks, free_readings, readings
from cellar_tui.planning import so2, sulfur
from cellar_tui.planning.plan import Fact
from cellar_tui.planning.spirit import by_spirit
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.base import Kind, Shown, Undone, blends


def _undoings(s: Subject) -> Iterator[Undone]:
    yield from blends(s)
    if s.intents.encouraged or s.ml.state == "done":
        return
    for _, _, index in ml.falls(s.c, s.house, s.end_index) if s.end is not None else ():
        yield Undone(index, s.c.log[index], "malic acid falling, or a lactic spot")
    for evidence, check in checks(s.c, "gas", after=s.end_index):
        if check.result == "fail":
            yield Undone(evidence.index, s.c.log[evidence.index], "gas seen")


def on_target_since(s: Subject, after: int) -> list[Evidence]:
    """Return the last readings in a row on target, the last of them at the molecular target; else nothing."""
    wanted = so2.target(s).free
    run: list[Evidence] = []
    for reading in reversed(free_readings(s.c, s.house, max(after, s.end_index))):
        if reading.value < wanted:
            break
        run.insert(0, reading)
    if not run or chemistry.molecular(run[-1].value, so2.charted_ph(s)) < so2.molecular_wanted(s) - 1e-9:
        return []
    return run


def _free_facts(run: list[Evidence]) -> tuple[Fact, ...]:
    return tuple(Fact("free SO2 on target", one.value, "mg/L", one.entries, one.on) for one in run)


def first_sulfite(s: Subject) -> date:
    """Return the day of the first sulfite that is known; of what came in with the wine, the day it came."""
    came_with_it = s.c.given.first_sulfite is True or not sulfur.sulfites(s)
    return s.c.started if came_with_it else sulfur.sulfites(s)[0][1].on


def _malic_kept(s: Subject, after: int) -> tuple[tuple[Fact, ...], str] | None:
    """Return what shows that malic acid is left alone, or gone, or was never tested at a safe pH."""
    seen = readings(s.c, "malic", after)
    if seen and seen[-1].value < s.house.number("malic_done"):
        one = seen[-1]
        fact = Fact("malic acid", one.value, "g/L", one.entries, one.on)
        return (fact, s.fact("malic_done")), "malic acid is gone"
    first, far, same = first_sulfite(s), s.days("malic_apart"), s.house.number("malic_same")
    for later in reversed(seen):
        for earlier in seen:
            apart = later.on - earlier.on >= far
            after_sulfite = later.on - first >= far
            if apart and after_sulfite and abs(later.value - earlier.value) <= same + 1e-9:
                facts = tuple(Fact("malic acid", o.value, "g/L", o.entries, o.on) for o in (earlier, later))
                return facts, "malic acid unchanged"
    spots = [(e, c) for e, c in checks(s.c, "chromatogram", after=after)]
    kept = [e for e, c in spots if c.result != "pass" and c.fault != "lactic_spot"]
    if len(kept) > 1 and kept[-1].on - max(kept[0].on, first) >= far:
        facts = tuple(Fact("chromatogram, malic spot kept", "yes", "", e.entries, e.on) for e in (kept[0], kept[-1]))
        return facts, "malic acid unchanged"
    for _, event in s.events(k.Filter, after=max(after, s.end_index)):
        if isinstance(event.body, k.Filter) and event.body.sterile:
            return (Fact("filtered sterile", "yes", "", (event.entry,), event.on),), "filtered sterile"
    tested = bool(readings(s.c, "malic")) or bool(checks(s.c, "chromatogram"))
    failed = any(c.result == "fail" for _, c in checks(s.c, "gas", "smell", after=s.end_index))
    if not tested and not failed and s.ph is not None and s.ph.value <= s.house.number("bacteria_ph"):
        return (Fact("pH", s.ph.value, "pH", s.ph.entries, s.ph.on),), "by SO2 alone, malic not tested"
    return None


def _shown(s: Subject, after: int) -> Shown | None:
    if s.end is None:
        return None
    run = on_target_since(s, after)
    if not run:
        return None
    strong = by_spirit(s)
    if strong is not None and s.intents.malolactic == "either":
        if run[-1].index <= strong.index:
            return None
        fact = Fact("strength", round(strong.value, 1), "% vol", strong.entries, strong.on)
        reason = f"{s.figure('spirit_strength')} % by spirit and free SO2 on target"
        return Shown((fact, *_free_facts(run[-1:])), reason, run[-1].index)
    if s.intents.encouraged:
        if s.ml.state != "done" or run[-1].index <= s.ml.index:
            return None
        fact = Fact("malolactic done", (s.ml.on or s.c.started).isoformat(), "", s.ml.entries, s.ml.on)
        return Shown((fact, *_free_facts(run[-1:])), "malolactic done and free SO2 on target", run[-1].index)
    kept = _malic_kept(s, after)
    long_enough = len(run) > 1 and run[-1].on - run[0].on >= s.days("bacteria_days")
    if kept is None or not long_enough:
        return None
    facts, reason = kept
    return Shown((*facts, *_free_facts(run), s.fact("bacteria_days")), reason, run[-1].index)


def _begun(s: Subject, after: int) -> Fact | None:
    for index, event in reversed(sulfur.sulfites(s)):
        if index >= after:
            return Fact("sulfite added", round(event.so2, 1), "mg/L", (event.entry,), event.on)
    return None


def _wants(s: Subject) -> str:
    if s.intents.encouraged:
        return "malolactic done, then a free SO2 reading on target"
    return f"free SO2 on target at every reading over {s.figure('bacteria_days')} days, and malic acid proven unchanged"


def _rests_on(s: Subject) -> Iterator[Fact]:
    yield from so2.target_rules(s)
    if s.intents.encouraged:
        yield from map(s.fact, ("malic_done", "chromatogram_days"))
    elif by_spirit(s) is not None and s.intents.malolactic == "either":
        yield s.fact("spirit_strength")
    else:
        names = ("bacteria_days", "malic_done", "malic_fall", "malic_same", "malic_apart", "bacteria_ph")
        yield from map(s.fact, names)


BACTERIA = Kind(
    "bacteria",
    _undoings,
    _shown,
    _begun,
    _wants,
    ("lactic_spot",),
    frozenset({"free_so2", "malic", "alcohol", "ph", "chromatogram"}),
    _rests_on,
)
