"""A malolactic fermentation that is wanted and does not come to its end asks for a decision.

60 days after dryness; when malic acid fell by less than 0.2 g/L over 21 days; when it was never measured 45 days after
dryness; at once when sulfite went into it. A decision starts these days anew.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger.history import checks, decisions, readings
from cellar_tui.ledger.kinds import DECISIONS
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "malolactic_overdue"
CHOICES = DECISIONS[ID]


def _missing(s: Subject) -> bool:
    return s.end is not None and s.intents.encouraged and s.ml.state != "done"


STALL = ("malolactic_stall_days", "malolactic_stall_fall")
"""House rules of a stall."""


def _stalled(s: Subject, since: needs.Moment) -> Iterator[Due]:
    """Yield the decision where malic acid has not moved enough over the days of a stall."""
    begun = s.ml.started or since.on
    seen = [
        reading
        for reading in readings(s.c, "malic")
        if reading.on >= (since.on if since.index > s.end_index else begun)
    ]
    earlier = [one for one in seen if seen[-1].on - one.on >= s.days("malolactic_stall_days")]
    if not earlier:
        return
    first, last = earlier[-1], seen[-1]
    if round(first.value - last.value, 3) < s.house.number("malolactic_stall_fall"):
        facts = tuple(Fact("malic acid", one.value, "g/L", one.entries, one.on) for one in (first, last))
        yield window(ID, last.on, None, last.entry, "malic acid hardly moves", (*facts, *map(s.fact, STALL)))


def _late(s: Subject, since: needs.Moment) -> Iterator[Due]:
    """Yield the decision where it takes too long, or where nobody has measured."""
    fact = since.fact("dry, or last decided")
    name = "malolactic_overdue_days"
    yield window(
        ID,
        since.on + s.days(name),
        None,
        since.entry,
        "it should be through by then",
        (fact, s.fact(name), *s.changed(*STALL)),
        formula=f"dryness + {s.house.days(name)} d",
    )
    if not readings(s.c, "malic", since.index) and not checks(s.c, "chromatogram", after=since.index):
        name = "malolactic_unmeasured_days"
        yield window(
            ID,
            since.on + s.days(name),
            None,
            since.entry,
            "malic acid was never measured since",
            (fact, s.fact(name)),
            formula=f"dryness + {s.house.days(name)} d",
        )


def due(s: Subject) -> Iterator[Due]:
    """Yield the decision about a malolactic fermentation that is overdue."""
    begun = None if s.c.store else needs.came_true(s, _missing)
    if begun is None:
        return
    decided = [needs.moment(decision) for decision in decisions(s.c, ID, *CHOICES, after=begun.index)]
    since = needs.last_of(begun, *decided)
    if s.ml.state == "unknown" and s.ml.index > since.index:
        harm = needs.moment((s.ml.index, s.c.log[s.ml.index]))
        yield window(
            ID,
            harm.on,
            None,
            harm.entry,
            "sulfite went into it: whether it is alive is not known",
            (harm.fact("sulfite added"),),
        )
        return
    yield from _stalled(s, since)
    yield from _late(s, since)


RULE = Rule(
    ID,
    "MLF late: decide",
    "If MLF stalls: warm and feed it, re-inoculate, send a sample to a lab, or give up and sulfite at once.",
    due,
    tuple(ResponseForm("decide", ("reason",), (("about", ID), ("choice", choice))) for choice in CHOICES),
    kit="malic test",
)
