"""What the rules of must and ferment ask: whether it runs, since when, how far it is, what its end is to be."""

from __future__ import annotations

from datetime import date

from cellar_tui.ledger import ferment
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.ferment import dry_mark, fermenting, must_entry, steps, sugar_gone
from cellar_tui.ledger.history import additions
from cellar_tui.planning import so2
from cellar_tui.planning.plan import Fact
from cellar_tui.planning.rules import needs
from cellar_tui.planning.rules.base import hours_after
from cellar_tui.planning.subject import Subject


def must(s: Subject) -> bool:
    """Return whether it is must still: no yeast in, its gravity not fallen, never finished."""
    return not s.c.store and s.end is None and not fermenting(s.c)


def running(s: Subject) -> bool:
    """Return whether its ferment runs."""
    return not s.c.store and s.end is None and fermenting(s.c)


def start(s: Subject) -> needs.Moment:
    """Return when the wine began."""
    return needs.Moment(s.c.started, s.c.filling, -1)


def yeasts(s: Subject) -> list[tuple[int, Event]]:
    """Return the yeast additions."""
    return [(index, event) for index, event, _ in additions(s.c, lambda name: name == "yeast")]


def fruit(s: Subject) -> bool:
    """Return whether it is made from fruit other than grapes."""
    return ferment.fruit(s.c)


def gone(s: Subject) -> float | None:
    """Return the share of its sugar that is gone by the last gravity (0 to 1), None where that is not known."""
    return sugar_gone(s.c) if s.gravities else None


def in_last_third(s: Subject) -> bool:
    """Return whether so much of its sugar is gone that its ferment has calmed; False where that is not known."""
    share = gone(s)
    return share is not None and 100 * share >= s.house.number("last_third")


def at_or_under(sg: float, mark: float) -> bool:
    """Return whether a gravity has come down to a mark, compared in whole 0.0001."""
    return steps(sg) <= steps(mark)


def mark(s: Subject) -> float | None:
    """Return the gravity at which an arrested or fortified ferment is to stop, None where it runs to dryness."""
    return s.intents.finish_sg if s.intents.finish in ("arrested", "fortified") else None


def mark_fact(s: Subject) -> Fact:
    """Return the stopping gravity as an input of an explanation, with the entry that set it."""
    return Fact("stopping gravity", s.intents.finish_sg or "not set", "SG", so2.intent_entries(s, "finish_sg"))


def near_mark(s: Subject) -> bool:
    """Return whether a ferment to be stopped is so close above its stopping gravity that it is read twice a day."""
    wanted = mark(s)
    near = s.house.number("arrest_near")
    return running(s) and wanted is not None and bool(s.gravities) and at_or_under(s.gravities[-1].value, wanted + near)


def end_facts(s: Subject) -> tuple[Fact, ...]:
    """Return what the end of its ferment is judged by: the stopping gravity, else the gravity of dryness."""
    if mark(s) is not None:
        return (mark_fact(s),)
    dry = Fact("expected dry gravity of this wine", round(dry_mark(s.c), 4), "SG", (must_entry(s.c),))
    return (dry, s.fact("dry_sg"))


def gravity_fact(s: Subject) -> Fact:
    """Return the last gravity as an input of an explanation; there must be one."""
    last = s.gravities[-1]
    return Fact("gravity", last.value, "SG", last.entries, last.on)


def after_sulfite(s: Subject, setting: str) -> tuple[date, int, tuple[Fact, ...], str]:
    """Return the day on which must bears the next step, the entry that decides it, the inputs and the formula.

    It is the day on which the hours of a house rule since its last sulfite end; without sulfite, the day it began.
    """
    sulfites = [event for _, event in s.added("so2")]
    if not sulfites:
        begun = start(s)
        return begun.on, begun.entry, (begun.fact("must since, no sulfite in it"), s.fact(setting)), ""
    last = sulfites[-1]
    fact = Fact("last sulfite into the must", last.on.isoformat(), "", (last.entry,), last.on)
    hours = s.house.number(setting)
    day = hours_after(last.on, last.minute, hours)
    return day, last.entry, (fact, s.fact(setting)), f"last sulfite + {hours:g} h"
