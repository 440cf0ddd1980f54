"""Vessels are kept full: oak every 4 weeks, the others when the gap is too wide. A floating lid needs none."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.ferment import steps
from cellar_tui.planning import coldhold, measure, sorbate
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs
from cellar_tui.planning.rules.base import AGAIN_DAYS, Answer, Rule, window
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
    gap = (s.vessel.capacity or 0.0) - s.volume
    if needs.to_be_sweetened(s) and settled(s, "crystals") and settled(s, "haze"):
        # The sugar to come needs the room: what was drawn off for it is not filled up again.
        will = sorbate.as_it_will_be(s)
        gap -= will.volume - will.stays
    return gap


def _too_wide(s: Subject) -> bool:
    if not _still(s) or coldhold.holding(s) is not None:
        return False
    if s.vessel.material == "steel":
        return 100 * _gap(s) > s.house.number("ullage_steel") * s.volume
    share = 100 * _gap(s) > s.house.number("ullage_share") * s.volume
    return share and _gap(s) > s.house.number("ullage_volume")


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


def _task(s: Subject) -> str:
    """Say how the gap is closed; one wider than the wine itself is not topped."""
    move = "move it to a smaller vessel"
    return move if _gap(s) > s.volume else f"top up {measure.litres(_gap(s))}, or {move}"


def _gap_due(s: Subject) -> Iterator[Due]:
    begun = needs.came_true(s, _too_wide)
    if begun is None:
        return
    # What stood in another vessel had another gap.
    begun = needs.last_of(begun, *(needs.moment(one) for one in _moves(s)))
    gassed = s.events(k.Gas, after=begun.index)
    filled = s.events(k.Racking, after=begun.index) + toppings(s, begun.index)
    topped = sorted(filled, key=lambda one: one[0])
    names = ("ullage_steel",) if s.vessel.material == "steel" else ("ullage_share", "ullage_volume")
    facts = [
        Fact("gap to the stopper", round(_gap(s), 2), "L", (begun.entry,), begun.on),
        *map(s.fact, names),
        *s.changed("small_lot", "sample_volume"),
        *needs.behind(s, "crystals", "haze"),
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
    yield from _oak(s) if s.vessel.material == "oak" else _gap_due(s)


RULE = Rule(
    ID,
    "top up",
    "A finished wine lies full to the neck, 2 to 3 cm under the stopper, or under gas that is renewed.",
    due,
    (
        Answer("topping", ("with", "wine", "volume", "sugar", "alcohol")),
        Answer("racking", ("to", "volume"), cautions=(cautions.LIFTING,)),
        Answer("gas", cautions=(cautions.INERT,)),
    ),
    kit="hoses",
    cautions=(cautions.BRIM,),
)
