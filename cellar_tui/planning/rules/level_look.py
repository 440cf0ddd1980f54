"""Level, airlock liquid and surface are looked at every 30 days, every 14 without SO2.

Oak is topped instead, and under a floating lid there is no level to look at. A filling, topping or racking to the neck
is a look as well; what came into its vessel today was not to be looked at before.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.history import checks
from cellar_tui.planning import headspace
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import needs
from cellar_tui.planning.rules.base import AGAIN_DAYS, ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "level_look"


def _finished(s: Subject) -> bool:
    return s.end is not None


def _filled(s: Subject) -> list[tuple[int, Event]]:
    """Return what brought it into its vessel, and whatever else left it full to the neck."""
    moves = s.events(k.Racking, k.Press, k.Split, k.Blend)
    return [*headspace.filled(s), *(move for move in moves if headspace.came_in(s, move[1]))]


def gassy(s: Subject) -> bool:
    """Return whether it can still make gas, so that its airlock must be looked at."""
    return s.alive_by_cold or s.sweetened or s.ml.live


def due(s: Subject) -> Iterator[Due]:
    """Yield the next look."""
    spared = s.c.store or s.vessel.floating or s.vessel.material == "oak"
    begun = None if spared else needs.came_true(s, _finished)
    if begun is None:
        return
    looks = [(needs.seen(one), check.result == "pass") for one, check in checks(s.c, "level", after=begun.index)]
    looks += [(needs.moment(skip), True) for skip in (*s.skips(ID), *_filled(s))]
    last, well = max([(begun, True), *looks], key=lambda look: look[0].index)
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
    "check level and airlock",
    "Check three things: the level in the neck, the liquid in the airlock, the surface of the wine.",
    due,
    (ResponseForm("check", ("result", "fault"), (("test", "level"),)),),
    kit="a lamp",
    guards=gassy,
)
