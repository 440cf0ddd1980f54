"""A wine is bottled once all five kinds of stability are settled, its final SO2 closed, the limits met, and of age."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.enology import legal
from cellar_tui.enology.sorbate import sorbic_acid
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.history import last_reading
from cellar_tui.planning import so2
from cellar_tui.planning.age import of_age, wished_bottling
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, final_so2, needs
from cellar_tui.planning.rules.base import AGAIN_DAYS, OPEN_DAYS, ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.table import settled, verdict

ID = "bottle"
ACETIC = 0.06005
"""Acetic acid in a milliequivalent [g]; computed."""


def limits_met(s: Subject) -> bool:
    """Return whether the legal sums allow it to be sold; at home they only caution."""
    where, colour = s.house.word("jurisdiction"), s.intents.colour
    if where == "home":
        return True
    sour, limit = last_reading(s.c, "va"), legal.find(where, "va", colour)
    most = limit.value * (ACETIC if limit.unit == "meq/L" else 1.0)
    return (
        s.total_so2 <= so2.total_limit(s)
        and sorbic_acid(s.sorbate) <= legal.find(where, "sorbic_acid", colour).value
        and (sour is None or sour.value <= most)
    )


def _air(s: Subject) -> bool:
    return settled(s, "air")


def due(s: Subject) -> Iterator[Due]:
    """Yield the bottling."""
    begun, air = (None, None) if s.c.store else (final_so2.opened(s), needs.came_true(s, _air))
    shut = final_so2.closed(s) if begun and air else None
    if begun is None or air is None or shut is None or not limits_met(s):
        return
    met = needs.last_of(begun[1], air, needs.seen(shut))
    day, anchor = max(met.on, wished_bottling(s), of_age(s)), met.entry
    # What was left in the vessel by a bottling of the rest is bottled in its turn.
    for index, event in enumerate(s.c.log):
        if event.passive and isinstance(event.body, k.Bottle) and index > met.index:
            day, anchor = max(day, event.on + timedelta(days=AGAIN_DAYS)), event.entry
    until = verdict(s, "air").until
    expires = shut.on + s.days("final_reading_age")
    facts = (
        met.fact("last condition met"),
        needs.wish(s),
        Fact("of age", of_age(s).isoformat()),
        needs.free_fact(shut),
        s.fact("final_reading_age"),
        *final_so2.rules(s),
        *needs.behind(s, "air"),
        s.fact("jurisdiction"),
    )
    yield window(
        ID,
        day,
        day + timedelta(days=OPEN_DAYS),
        anchor,
        "stable in all five ways, its final SO2 closed",
        facts,
        expires=expires if until is None else min(expires, until),
    )


RULE = Rule(
    ID,
    "bottle",
    "Bottle only when all five stabilities are proven, waived, or left to a sterile filter.",
    due,
    (ResponseForm("bottle", ("count", "size", "filter", "left")),),
    kit="bottling",
    hard=True,
    cautions=(
        cautions.LIFTING,
        cautions.CAUSTIC,
        cautions.STERILE,
        cautions.DECLARE,
    ),
)
