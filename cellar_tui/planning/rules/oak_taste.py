"""A wine on oak is tasted 14 days after the oak went in, then every 7 days until it is racked off it."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.history import additions, checks
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "oak_taste"


def oaked(s: Subject) -> needs.Moment | None:
    """Return when the oak went in that the wine still lies on, None where there is none."""
    off = [index for index, _ in s.events(k.Racking, k.Press)]
    found = list(additions(s.c, lambda name: name == "oak", max(off, default=-1)))
    return needs.moment(found[0][:2]) if found else None


def due(s: Subject) -> Iterator[Due]:
    """Yield the next taste of the oak."""
    begun = None if s.c.store else oaked(s)
    if begun is None:
        return
    looks = [needs.seen(one) for one, _ in checks(s.c, "taste", after=begun.index)]
    looks += [needs.moment(skip) for skip in s.skips(ID) if skip[0] > begun.index]
    last = needs.last_of(begun, *looks)
    name = "oak_days" if looks else "oak_first_days"
    yield window(
        ID,
        last.on + s.days(name),
        None,
        last.entry,
        "oak goes on giving until the wine is racked off it",
        (begun.fact("oak added"), last.fact("counted from"), s.fact(name)),
        formula=f"last taste, or the oak, + {s.house.days(name)} d",
    )


RULE = Rule(
    ID,
    "taste the oak",
    "Pass while it can stay on oak. Fail when it tastes slightly over-oaked: rack it off, the oak will soften.",
    due,
    (ResponseForm("check", ("result",), (("test", "taste"),)),),
    kit="glass",
)
