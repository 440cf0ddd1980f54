"""Cautions on finished wine: licensed or equipped work, and a fault that would be carried into another wine."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.history import checks
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.subject import Subject

DICARBONATE = ("dimethyl dicarbonate", "dimethyldicarbonate", "dmdc")
"""Names under which dimethyl dicarbonate is entered: the compound's own and its usual abbreviation."""

CARRIED = {
    "mouse": "mouse has no cure: blended or topped in, it spoils the whole",
    "vinegar": "vinegar and film spread: keep that wine apart until it smells clean",
    "film": "vinegar and film spread: keep that wine apart until it smells clean",
}
"""Faults that go over into the wine they are poured into; common practice."""


def guard(act: Act) -> Iterator[Finding]:
    """Caution licensed or equipped work, and pouring a wine that smelt of a fault into another."""
    body = act.entry.body
    if isinstance(body, k.Addition):
        name = (body.material or "").replace("_", " ").casefold()
        if name in DICARBONATE:
            told = "dimethyl dicarbonate is poisonous until it has broken down: it takes a licence and its own doser."
            yield Finding("dicarbonate", told)
    elif _sterile(body):
        told = "sterile filtration is equipped work: clean wine, all parts sterile, the filter tested before and after."
        yield Finding("sterile_filtration", told)
    elif isinstance(body, k.Topping | k.Blend):
        faults = (_smelt(wine) for wine in (act.poured, act.wine) if wine is not None)
        for fault in [fault for fault in faults if fault in CARRIED][:1]:
            yield Finding("fault_carried", f"{CARRIED[fault]}.")


def _sterile(body: k.Body) -> bool:
    if isinstance(body, k.Intent):
        return body.sterile_filtration is True
    if isinstance(body, k.Bottle):
        return body.filter == "sterile"
    return isinstance(body, k.Filter) and body.sterile is True


def _smelt(s: Subject) -> str:
    """Return the fault of the last smelling or tasting, "" where it was clean or never made."""
    seen = checks(s.c, "smell", "taste")
    return (seen[-1][1].fault or "") if seen and seen[-1][1].result != "pass" else ""
