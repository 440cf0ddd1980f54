"""Total SO2 is read where the ledger's sum comes near its limit, so that a measured total replaces the sum.

Over 75 % of the limit, or over 100 mg/L when the final SO2 is asked for, with 30 mg/L or more of it added since the
last total reading.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger.history import readings
from cellar_tui.planning import so2
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, final_so2, needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "total_so2"


def _unmeasured(s: Subject) -> list[Fact]:
    """Return the sulfite additions since the last total reading, nothing where they come to too little."""
    seen = readings(s.c, "total_so2")
    added = [event for _, event in s.added("so2", after=seen[-1].index if seen else -1)]
    if sum(event.so2 for event in added) < s.house.number("total_added"):
        return []
    return [Fact("sulfite added", round(one.so2, 1), "mg/L", (one.entry,), one.on) for one in added]


def _near_limit(s: Subject) -> bool:
    wine = s.end is not None and bool(_unmeasured(s))
    return wine and s.total_so2 > s.house.number("total_share") / 100 * so2.total_limit(s)


def _high(s: Subject) -> bool:
    wine = s.end is not None and bool(_unmeasured(s))
    return wine and s.total_so2 > s.house.number("total_before_bottling")


def due(s: Subject) -> Iterator[Due]:
    """Yield the total SO2 reading."""
    if s.c.store:
        return
    facts = (
        Fact("total SO2 by the ledger", round(s.total_so2), "mg/L"),
        Fact("limit of total SO2", round(so2.total_limit(s)), "mg/L"),
        s.fact("jurisdiction"),
        s.fact("total_added"),
        *(s.changed("yeast_so2") if readings(s.c, "total_so2") else (s.fact("yeast_so2"),)),
    )
    near = needs.came_true(s, _near_limit)
    if near is not None:
        yield window(
            ID,
            near.on,
            None,
            near.entry,
            "the sum comes near its limit, and a sum only grows",
            (*facts, s.fact("total_share"), *_unmeasured(s)),
            formula=f"sum > {s.figure('total_share')} % of the limit",
        )
    high = needs.came_true(s, _high)
    final = None if high is None else final_so2.opened(s)
    if high is not None and final is not None:
        day = max(high.on, final[0])
        yield window(
            ID,
            day,
            None,
            needs.last_of(high, final[1]).entry,
            "the sum is high, and bottling is near",
            (*facts, needs.wish(s), s.fact("total_before_bottling"), *_unmeasured(s), *final_so2.opens(s)),
            formula=f"sum > {s.figure('total_before_bottling')} mg/L before bottling",
        )


RULE = Rule(
    ID,
    "test total SO2",
    "The running total never falls, but some SO2 leaves the wine: a measured total replaces the sum.",
    due,
    (ResponseForm("reading", ("total_so2", "method")),),
    kit="SO2 test",
    cautions=(cautions.DECLARE,),
)
