"""A wine is smelt and tasted at the end of its ferment, at each racking, then every 60 days, every 14 without SO2.

A fault leads on: vinegar or film to SO2, a full vessel and a reading of volatile acidity; rotten egg to air, then to
copper by trial; mouse and geranium to nothing but keeping the wine apart.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.ferment import Finish
from cellar_tui.ledger.history import checks, readings
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import needs
from cellar_tui.planning.rules.base import AGAIN_DAYS, ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "smell_check"
SOUR = ("vinegar", "film")
LEADS_TO = {
    "vinegar": "bring SO2 to target, top up, keep it apart, test VA; then smell again",
    "film": "bring SO2 to target, top up, keep it apart, test VA; then smell again",
    "rotten_egg": "splash rack it before any SO2; where it stays, copper by trial; then smell again",
}
"""What a fault leads to before the next smelling; common practice."""
IN_FERMENT = {
    "vinegar": "punch down more often, cover it, get the ferment going; then smell again",
    "film": "punch down more often, cover it, get the ferment going; then smell again",
    "rotten_egg": "stir air into it, and feed it where it is short of nitrogen before half its sugar is gone; then "
    "smell again",
}
"""The same in a must or a ferment, which bears air and no sulfite; common practice."""


def _failed(s: Subject) -> k.Check | None:
    """Return the last smelling where it failed."""
    seen = checks(s.c, "smell")
    return seen[-1][1] if seen and seen[-1][1].result != "pass" else None


def _sour(s: Subject) -> bool:
    last = _failed(s)
    return last is not None and last.fault in SOUR


def _begun(s: Subject, end: Finish) -> tuple[needs.Moment, str]:
    """Return since when it is a wine to be smelt, and what that was; a blend is one from the day it was made."""
    log = s.c.log
    if log and log[0].entry == s.c.filling:
        return needs.moment((0, log[0])), "blended"
    return needs.Moment(end.on, end.entries[-1], end.index), "end of ferment"


def _after_fault(s: Subject, last: needs.Moment, fault: str | None) -> Due:
    """Return the next smelling of a wine, or a must, with a fault that something can be done about."""
    leads = IN_FERMENT if s.end is None else LEADS_TO
    shown = (fault or "a fault").replace("_", " ")
    va = [needs.seen(reading) for reading in readings(s.c, "va", last.index)] if fault in SOUR else []
    since = needs.last_of(last, *va)
    return window(
        ID,
        since.on + timedelta(days=AGAIN_DAYS),
        None,
        since.entry,
        f"it smelled of {shown}",
        (last.fact(f"{shown} smelled"), *(one.fact("VA tested") for one in va[-1:])),
        formula="last look + 2 d",
        task=leads.get(fault or "", "find out what it is, in good light and a clean glass; then smell again"),
    )


def _in_ferment(s: Subject, smelt: list[tuple[needs.Moment, k.Check]]) -> Iterator[Due]:
    """Yield the smelling of what still ferments: where it was racked, and after a fault."""
    rackings = [needs.moment(event) for event in s.events(k.Racking)]
    looks = [one for one, _ in smelt] + [needs.moment(skip) for skip in s.skips(ID)]
    if rackings and (not looks or needs.last_of(*looks).on < rackings[-1].on):
        yield _now(rackings[-1], "racked")
    elif smelt and smelt[-1][1].result != "pass" and smelt[-1][1].fault in IN_FERMENT:
        yield _after_fault(s, smelt[-1][0], smelt[-1][1].fault)


def _now(work: needs.Moment, name: str) -> Due:
    return window(ID, work.on, None, work.entry, "its nose tells first what goes wrong", (work.fact(name),))


def due(s: Subject) -> Iterator[Due]:
    """Yield the next smelling; a wine that still ferments is smelt when it is racked, and after a fault."""
    if s.c.store:
        return
    smelt = [(needs.seen(one), check) for one, check in checks(s.c, "smell")]
    if s.end is None:
        yield from _in_ferment(s, smelt)
        return
    begun, event = _begun(s, s.end)
    rackings = [needs.moment(event) for event in s.events(k.Racking)]
    work = needs.last_of(begun, *rackings)
    looks = [one for one, _ in smelt] + [needs.moment(skip) for skip in s.skips(ID)]
    if not looks or needs.last_of(*looks).on < work.on:
        yield _now(work, event if begun is work else "racked")
        return
    last = needs.last_of(*looks)
    fault = smelt[-1][1] if smelt and smelt[-1][0] == last else None
    if fault is not None and fault.result != "pass" and fault.fault != "mouse":
        yield _after_fault(s, last, fault.fault)
        return
    name = "smell_days" if needs.sulfited(s) else "smell_days_bare"
    reason = "faults begin where nobody smells"
    if fault is not None and fault.fault == "mouse":
        reason = "it smelled of mouse: no cure, do not blend it or top with it"
    yield window(
        ID,
        last.on + s.days(name),
        None,
        last.entry,
        reason,
        (last.fact("last smelled"), s.fact(name)),
        formula="last look + interval",
    )


RULE = Rule(
    ID,
    "smell and taste",
    (
        "Vinegar or film yeast: raise SO2, top up, keep it apart. Rotten egg: aerate before any SO2, then "
        "copper by trial. Mouse or geranium: no cure, never blend."
    ),
    due,
    (
        ResponseForm("check", ("result", "fault"), (("test", "smell"),)),
        ResponseForm("reading", ("va",), (), _sour),
    ),
    kit="glass",
    cautions=("Use a clean glass for each wine, the suspect ones last; spit.",),
)
