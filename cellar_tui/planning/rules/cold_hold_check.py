"""While the cold holds, the wine's own temperature is read every 2 days; at once where the last one earns nothing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.enology.cold import hold_days
from cellar_tui.planning import coldhold
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs
from cellar_tui.planning.rules.base import AGAIN_DAYS, ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "cold_hold_check"


def _too_warm(fact: Fact) -> bool:
    return math.isinf(hold_days(float(fact.value)))


def _progress(hold: coldhold.Hold) -> str:
    told = f"{100 * min(hold.credit, 1):.0f} % of the hold is served"
    if hold.end is not None and hold.first_end is not None and hold.end > hold.first_end:
        told += f", its end pushed out by {(hold.end - hold.first_end).days} d"
    return told


def due(s: Subject) -> Iterator[Due]:
    """Yield the next temperature reading of the hold."""
    hold = None if s.c.store else coldhold.holding(s)
    if hold is None:
        return
    last = needs.moment((hold.last_index, s.c.log[hold.last_index]))
    skips = [needs.moment(skip) for skip in s.skips(ID) if skip[0] > hold.last_index]
    if _too_warm(hold.facts[-1]) and not skips:
        # The first warm reading asks at once; one that finds it warm still, 2 days later.
        again = len(hold.facts) > 1 and _too_warm(hold.facts[-2])
        day = last.on + timedelta(days=AGAIN_DAYS if again else 0)
        reason = "warmer than 8 C earns nothing, so the hold has no end"
        yield window(ID, day, None, last.entry, reason, hold.facts[-1:])
        return
    last = needs.last_of(last, *skips)
    yield window(
        ID,
        last.on + s.days("hold_check_days"),
        None,
        last.entry,
        f"only measured cold counts; {_progress(hold)}",
        (*hold.facts, s.fact("hold_check_days"), *hold.rules),
        formula=f"last temperature + {s.figure('hold_check_days')} d",
    )


RULE = Rule(
    ID,
    "take cold-hold temperature",
    "The hold counts the wine's own temperature, not the room's. Between two readings the warmer one counts.",
    due,
    (ResponseForm("reading", ("temperature",)),),
    kit="thermometer",
    cautions=(cautions.COOLING,),
)
