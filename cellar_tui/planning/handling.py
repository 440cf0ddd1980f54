"""What was done to a wine with hoses and hands."""

from __future__ import annotations

from collections.abc import Iterable

from cellar_tui.ledger import ferment, history
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.planning.once import once
from cellar_tui.planning.subject import Subject


@once
def rackings(s: Subject) -> list[tuple[int, Event]]:
    """Return the rackings since the finish (a pressing is none)."""
    return s.events(k.Racking, after=s.end_index)


def finings(s: Subject, after: int = -1) -> list[tuple[int, Event]]:
    """Return the fining additions later than index `after`."""
    return s.added("fining", after=after)


def blends(s: Subject, after: int = -1) -> list[tuple[int, Event]]:
    """Return the blends that went into it later than index `after`."""
    return s.events(k.Blend, after=after)


def tartrate(s: Subject) -> bool:
    """Return whether grape or tartaric acid is in it, so that it can drop crystals."""
    brought = ("tartaric_acid", "cream_of_tartar", "concentrate")
    if any(True for _ in history.additions(s.c, lambda name: name in brought)):
        return True
    if s.c.source == "honey" or ferment.other_fruit(s.c):
        return False
    juice = s.c.source in ("fruit", "juice") and not s.c.fruit
    return not (juice and s.intents.colour == "fruit")


def latest(*groups: Iterable[tuple[int, Event]]) -> tuple[int, Event] | None:
    """Return the last of several kinds of event, None where there was none."""
    return max((one for group in groups for one in group), key=lambda one: one[0], default=None)
