"""Vessels are kept full: oak every 4 weeks, and any of them at once when the gap is too wide; a floating lid never.

A wine held cold is not filled to the brim, for it swells as it warms: gas on it, or a smaller vessel.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.ferment import steps
from cellar_tui.planning import arrested, coldhold, headspace, measure, sorbate
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs
from cellar_tui.planning.rules.base import AGAIN_DAYS, ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.air import toppings
from cellar_tui.planning.verdicts.table import settled

ID = "top_up"


def _still(s: Subject) -> bool:
    """Return whether air can reach it: finished, or pressed and so near its end that it foams no more."""
    if s.end is not None:
        return True
    calm = bool(s.gravities) and steps(s.gravities[-1].value) <= steps(s.house.number("gravity_end_sg"))
    return calm and bool(s.events(k.Press))


def _gap(s: Subject) -> float:
    gap = headspace.gap(s)
    if needs.to_be_sweetened(s) and settled(s, "crystals") and settled(s, "haze"):
        # The sugar to come needs the room: what was drawn off for it is not filled up again.
        will = sorbate.as_it_will_be(s)
        gap -= will.volume - will.stays
    return gap


def _open(s: Subject) -> bool:
    return _still(s) and headspace.too_wide(s, _gap(s))


def _oak(s: Subject) -> Iterator[Due]:
    begun = needs.came_true(s, _still)
    if begun is None:
        return
    # A racking into the barrel it lay in leaves it no fuller.
    work = s.events(k.Gas, k.Blend) + toppings(s) + _moves(s) + s.skips(ID)
    last = needs.last_of(begun, *(needs.moment(one) for one in work))
    yield window(
        ID,
        last.on + s.days("top_oak_weeks"),
        None,
        last.entry,
        "oak drinks and breathes",
        (last.fact("last full"), s.fact("top_oak_weeks")),
        formula=f"last full + {s.figure('top_oak_weeks')} weeks",
    )


def _moves(s: Subject) -> list[tuple[int, Event]]:
    return [
        (index, event)
        for index, event in s.events(k.Racking, k.Press, k.Split)
        if isinstance(event.body, k.Racking | k.Press | k.Split) and event.body.to == s.c.vessel
    ]


def _thinned(s: Subject) -> bool:
    """Return whether other wine in the gap would leave too little of the sorbate that holds its yeast."""
    if arrested.effective(s) is None:
        return False
    left = s.sorbate * s.volume / (s.volume + _gap(s))
    return left < sorbate.asked(s).dose * s.house.number("sorbate_effect") / 100


def _takes_wine(s: Subject) -> bool:
    """Return whether the gap may be filled with other wine: not wider than the wine itself, nor in a cold wine."""
    return coldhold.holding(s) is None and _gap(s) <= s.volume and not _thinned(s)


def _task(s: Subject) -> str:
    """Say how the gap is closed."""
    gap, move = measure.litres(_gap(s)), "move it to a smaller vessel"
    if _takes_wine(s):
        return f"top up {gap}, or {move}"
    if coldhold.holding(s) is not None:
        return f"cover {gap} of headspace with gas, or {move}; do not fill a cold wine to the brim"
    return move if _gap(s) > s.volume else f"{move}, or cover {gap} with gas: other wine would thin its sorbate"


def _gap_due(s: Subject) -> Iterator[Due]:
    begun = needs.came_true(s, _open)
    if begun is None:
        return
    # What stood in another vessel had another gap.
    begun = needs.last_of(begun, *(needs.moment(move) for move in _moves(s)))
    gassed = s.events(k.Gas, after=begun.index)
    filled = s.events(k.Racking, after=begun.index) + toppings(s, begun.index)
    topped = sorted(filled, key=lambda one: one[0])
    facts = [
        Fact("gap to the stopper", round(_gap(s), 2), "L", (begun.entry,), begun.on),
        *map(s.fact, headspace.limits(s)),
        *s.changed("small_lot", "sample_volume"),
        *needs.behind(s, "crystals", "haze"),
        *(needs.changed(sorbate.effect_rules(s)) if s.sorbate > 0 else ()),
    ]
    day, last = begun.on, begun
    for events, wait, rule in ((topped, timedelta(days=AGAIN_DAYS), None), (gassed, s.days("gas_days"), "gas_days")):
        if events and events[-1][1].on + wait >= day:
            last = needs.moment(events[-1])
            day = last.on + wait
            facts += [s.fact(rule)] if rule else []
    yield window(
        ID,
        day,
        None,
        last.entry,
        "air above the wine feeds film and vinegar",
        tuple(facts),
        formula="capacity - volume",
        task=_task(s),
    )


def due(s: Subject) -> Iterator[Due]:
    """Yield the next topping."""
    if s.c.store or s.vessel.floating or s.vessel.capacity is None:
        return
    if s.vessel.material == "oak" and coldhold.holding(s) is None:
        yield from _oak(s)
    yield from _gap_due(s)


RULE = Rule(
    ID,
    "top up",
    "Keep a finished wine full, 2 to 3 cm below the stopper, or under inert gas that you renew.",
    due,
    (
        ResponseForm("topping", ("with", "wine", "volume", "sugar", "alcohol"), open_to=_takes_wine),
        ResponseForm("racking", ("to", "volume"), cautions=(cautions.LIFTING,)),
        ResponseForm("gas", cautions=(cautions.INERT,)),
    ),
    kit="hoses",
    cautions=(cautions.BRIM,),
)
