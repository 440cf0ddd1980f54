"""The stage of a filling, its last readings and its sums."""

from __future__ import annotations

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.ferment import fermenting
from cellar_tui.ledger.fields import specs
from cellar_tui.planning import coldhold, sulfur
from cellar_tui.planning.plan import Measured, Stage, Totals
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.sugar import band

UNITS = {name: spec.unit for name, spec in specs(k.Reading)}


def stage(s: Subject, ready: bool) -> Stage:
    """Return the last of the stages that holds; `ready` says that bottling is due."""
    if s.c.store:
        return "bottled"
    if ready:
        return "ready"
    if coldhold.holding(s) is not None:
        return "holding_cold"
    if s.sweetened:
        return "sweetened"
    if s.end is not None and (
        s.ml.state in ("running", "unknown") or (s.intents.encouraged and not sulfur.ml_settled(s))
    ):
        return "malolactic"
    if s.end is not None:
        return "ageing"
    return "fermenting" if fermenting(s.c) else "must"


def last_readings(s: Subject) -> dict[str, Measured]:
    """Return the last value of every reading ever taken."""
    found: dict[str, Measured] = {}
    for event in s.c.log:
        if not isinstance(event.body, k.Reading) or event.passive:
            continue
        for name, value in event.values.items():
            if name != "sample_temperature":
                found[name] = Measured(value, UNITS[name], event.on, event.entry, event.body.method)
    return found


def totals(s: Subject) -> Totals:
    """Return the sums of the ledger in the wine as it is."""
    now = s.c.now
    return Totals(now.mg_l(now.so2_added), s.total_so2, s.sorbate, s.sugar, band(s))
