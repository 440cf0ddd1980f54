"""The space above a wine: how wide it is, how wide it may be, and when the vessel was seen filled to the neck."""

from __future__ import annotations

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.planning.subject import Subject

SMALL = ("ullage_share", "ullage_volume")
LIMITS: dict[str, tuple[str, ...]] = {"oak": ("ullage_oak",), "steel": ("ullage_steel",)}
"""House rules of the headspace that asks for topping, by material; in glass and plastic it must be over both."""


def gap(s: Subject) -> float:
    """Return the space from the wine to the stopper [L], 0 where the capacity is not known."""
    return 0.0 if s.vessel.capacity is None else s.vessel.capacity - s.volume


def limits(s: Subject) -> tuple[str, ...]:
    """Return the house rules of the headspace that asks for topping in such a vessel."""
    return LIMITS.get(s.vessel.material, SMALL)


def too_wide(s: Subject, space: float) -> bool:
    """Return whether so much headspace [L] is over every limit of the house for such a vessel."""
    whole = {"ullage_oak": s.vessel.capacity or 0.0, "ullage_steel": s.volume, "ullage_share": s.volume}
    most = [s.house.number(rule) * (whole[rule] / 100 if rule in whole else 1.0) for rule in limits(s)]
    return all(space > one for one in most)


def came_in(s: Subject, event: Event) -> bool:
    """Return whether an entry brought the wine into the vessel in which it lies."""
    return event.entry == s.c.filling or getattr(event.body, "to", None) == s.c.vessel


def filled(s: Subject) -> list[tuple[int, Event]]:
    """Return the fillings, toppings and rackings that left it full to the neck: each was a look at its level."""
    return [
        (index, event)
        for index, event in s.events(k.Topping, k.Racking, k.Press, k.Split, k.Blend)
        if not too_wide(s, (s.vessel.capacity or 0.0) - event.after.volume)
    ]
