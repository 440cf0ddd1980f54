"""Cautions on must and ferment: foam, strong musts, what must not meet in the must, what comes too late."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.entry import NOON
from cellar_tui.ledger.ferment import potential_alcohol
from cellar_tui.ledger.history import additions
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.rules import needs, running
from cellar_tui.planning.subject import Subject

WAITS = {"pectic_enzyme": "enzyme_after_so2", "yeast": "yeast_after_so2"}
"""House rule of the hours that a material waits after SO2."""


def guard(act: Act) -> Iterator[Finding]:
    """Caution what a careful cellar hand would mention of a must or a ferment."""
    s, after, body = act.wine, act.result, act.entry.body
    if after is not None and after.end is None and not after.c.store:
        yield from _foam(act, s, after)
        yield from _strong(s, after)
    if isinstance(body, WineStart) and after is not None:
        yield from _made_from(after, body)
    if s is None:
        return
    if isinstance(body, k.Addition):
        yield from _together(s, body)
        if s.end is None:
            yield from _too_soon(act, s, body)
            yield from _nutrient(s, body)
    elif isinstance(body, k.Decide) and body.choice in ("warm", "warm_and_feed"):
        yield Finding("heating", "heating a wine to save it costs its fruit: warm it gently, by the room or a jacket.")


def _made_from(s: Subject, body: WineStart) -> Iterator[Finding]:
    """Caution what is not said of the fruit, and what honey asks that grapes do not."""
    if body.source in ("juice", "concentrate") and s.intents.colour == "fruit" and not body.fruit:
        told = "which fruit it is decides whether it can drop crystals: name it (apple, plum, or grape)."
        yield Finding("fruit_unknown", told)
    if body.source == "honey":
        told = (
            "honey has next to no food for yeast: measure its nitrogen or feed it from the start; it ferments slowly, "
            "for months, and its sugar is known only by a sugar test, not from its gravity."
        )
        yield Finding("honey", told)


def _full(s: Subject) -> bool:
    room = s.vessel.capacity
    return bool(room) and 100 * s.volume / (room or 1.0) > s.house.number("full_ferment")


def _foam(act: Act, before: Subject | None, after: Subject) -> Iterator[Finding]:
    yeast = getattr(act.entry.body, "material", None) == "yeast"
    same = before is not None and before.c.vessel == after.c.vessel and _full(before) and not yeast
    if _full(after) and not same and not running.in_last_third(after):
        most = after.house.number("full_ferment")
        told = f"a ferment foams: fill a vessel to {most:g} % at most until it calms."
        yield Finding("full_ferment", told, None, (after.fact("full_ferment"), after.fact("last_third")))


def _strong(before: Subject | None, after: Subject) -> Iterator[Finding]:
    most, strength = after.house.number("strong_must"), potential_alcohol(after.c)
    was = None if before is None else potential_alcohol(before.c)
    if strength is not None and strength > most and (was is None or was <= most):
        told = f"{strength:.1f} % potential alcohol: few yeasts finish this; choose one that does."
        yield Finding("strong_must", told, None, (after.fact("strong_must"),))


def _together(s: Subject, body: k.Addition) -> Iterator[Finding]:
    if body.material == "pectic_enzyme" and needs.on_bentonite(s):
        yield Finding("enzyme_bentonite", "bentonite takes pectic enzyme out: rack off the bentonite first.")
    enzyme = [index for index, _, _ in additions(s.c, lambda name: name == "pectic_enzyme")]
    if body.material == "bentonite" and enzyme and not s.events(k.Racking, k.Press, after=enzyme[-1]):
        told = "bentonite takes the pectic enzyme out that is at work: rack first, or wait until it has done."
        yield Finding("enzyme_bentonite", told)


def _minutes(act: Act, event: Event) -> float:
    """Return the minutes from an event to the entry about to be made, noon where no hour was given."""
    minute = NOON if act.entry.minute is None else act.entry.minute
    return (act.entry.on - event.on) / timedelta(minutes=1) + minute - event.at[1]


def _too_soon(act: Act, s: Subject, body: k.Addition) -> Iterator[Finding]:
    sulfites, name = s.added("so2"), WAITS.get(body.material or "")
    if not sulfites or name is None:
        return
    hours = s.house.number(name)
    if _minutes(act, sulfites[-1][1]) < hours * 60:
        what = (body.material or "").replace("_", " ")
        told = f"{what} goes in {hours:g} h after SO2, which harms it before."
        yield Finding("soon_after_sulfite", told, None, (s.fact(name),))


def _nutrient(s: Subject, body: k.Addition) -> Iterator[Finding]:
    gone, last = running.gone(s), s.house.number("nutrient_last")
    if body.material in ("dap", "complex_nutrient") and gone is not None and 100 * gone >= last:
        told = f"past {last:g} % of the sugar yeast takes up no nutrient: what is left feeds spoilage."
        yield Finding("late_nutrient", told, None, (s.fact("nutrient_last"),))
