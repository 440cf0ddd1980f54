"""Level, airlock liquid and surface are looked at every 30 days, every 14 without SO2; oak is topped instead."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.ledger.history import checks
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import needs
from cellar_tui.planning.rules.base import AGAIN_DAYS, Answer, Rule, window
from cellar_tui.planning.subject import Subject

ID = "level_look"


def _finished(s: Subject) -> bool:
    return s.end is not None


def gassy(s: Subject) -> bool:
    """Return whether it can still make gas, so that its airlock must be looked at."""
    return s.alive_by_cold or s.sweetened or s.ml.live


def due(s: Subject) -> Iterator[Due]:
    """Yield the next look."""
    begun = None if s.c.store or s.vessel.material == "oak" else needs.came_true(s, _finished)
    if begun is None:
        return
    looks = [(needs.seen(one), check.result == "pass") for one, check in checks(s.c, "level", after=begun.index)]
    looks += [(needs.moment(one), True) for one in s.skips(ID)]
    last, well = max([(begun, True), *looks], key=lambda one: one[0].index)
    if not well:
        yield window(
            ID,
            last.on + timedelta(days=AGAIN_DAYS),
            None,
            last.entry,
            "the last look found something wrong",
            (last.fact("last look"),),
        )
        return
    name = "level_days" if needs.sulfited(s) else "level_days_bare"
    yield window(
        ID,
        last.on + s.days(name),
        None,
        last.entry,
        "airlocks dry out and levels sink unseen",
        (last.fact("last look, or the finish"), s.fact(name)),
        formula="last look + interval",
    )


RULE = Rule(
    ID,
    "look at the level",
    "A look covers three things: the level in the neck, the liquid in the airlock, the surface of the wine.",
    due,
    (Answer("check", ("result", "fault"), (("test", "level"),)),),
    kit="eyes",
    guards=gassy,
)
