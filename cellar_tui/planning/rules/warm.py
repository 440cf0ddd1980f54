"""A ferment is warmed or cooled at once: a red under 21 C in its last third, a white under 12 C.

Too warm is a red over 30 C, a white, rose or fruit wine over 22 C, anything over 33 C.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from cellar_tui.ledger.history import decisions, last_reading, readings
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import AGAIN_DAYS, ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "warm"


def _least(s: Subject) -> str:
    """Return the house rule of the least warmth that this ferment needs now, "" where none does."""
    if s.intents.red:
        return "warm_red" if running.in_last_third(s) else ""
    return "warm_white" if s.intents.colour == "white" else ""


def _most(s: Subject) -> str:
    return "hot_red" if s.intents.red else "hot_other"


def _cold(s: Subject) -> bool:
    last, name = last_reading(s.c, "temperature"), _least(s)
    return running.running(s) and bool(name) and last is not None and last.value < s.house.number(name)


def _hot(s: Subject) -> bool:
    last = last_reading(s.c, "temperature")
    most = min(s.house.number(_most(s)), s.house.number("hot_any"))
    return running.running(s) and last is not None and last.value > most


def _out(s: Subject, holds: Callable[[Subject], bool], reason: str, task: str, *facts: Fact) -> Iterator[Due]:
    """Yield a ferment out of its warmth: at once, and again 2 days after a reading that leaves it so."""
    since, last = needs.came_true(s, holds), last_reading(s.c, "temperature")
    if since is None or last is None:
        return
    again = [reading for reading in readings(s.c, "temperature", since.index) if reading.index > since.index]
    anchor = needs.last_of(since, *map(needs.seen, again))
    day = anchor.on + AGAIN_DAYS * needs.DAY if again else since.on
    fact = Fact("temperature", last.value, "C", last.entries, last.on)
    yield window(ID, day, None, anchor.entry, reason, (fact, *facts), task=task)


def _too_cold(s: Subject) -> Iterator[Due]:
    name = _least(s)
    if not name:
        return
    least = s.fact(name)
    reason, facts = "this cold, a ferment of white must stops", [least]
    if s.intents.red:
        reason = "this cold, a red may not finish the last third of its sugar"
        facts += [s.fact("last_third"), running.gravity_fact(s)]
    yield from _out(s, _cold, reason, f"warm it to {least.value:g} C or more, then measure its temperature", *facts)


def _too_hot(s: Subject) -> Iterator[Due]:
    last, most, deadly = last_reading(s.c, "temperature"), s.fact(_most(s)), s.fact("hot_any")
    if last is None:
        return
    reason = "this hot, a ferment loses its fruit"
    if last.value > s.house.number("hot_any"):
        reason = "this hot, yeast dies in its own alcohol: cool it this hour"
    yield from _out(s, _hot, reason, f"cool it under {most.value:g} C, then measure its temperature", most, deadly)


def _decided(s: Subject) -> Iterator[Due]:
    for index, event in decisions(s.c, "ferment_stuck", "warm")[-1:]:
        if not readings(s.c, "temperature", index) and not decisions(s.c, "ferment_stuck", "finish_here", after=index):
            fact = needs.moment((index, event)).fact("decided to warm it")
            name = "warm_red" if s.intents.red else "warm_white"
            yield window(
                ID,
                event.on,
                None,
                event.entry,
                "the stuck ferment is to be warmed",
                (fact, s.fact(name)),
                task="warm it, stir the yeast up, then measure its temperature",
            )


def due(s: Subject) -> Iterator[Due]:
    """Yield what the warmth of the ferment asks for."""
    if s.c.store:
        return
    yield from _too_cold(s)
    yield from _too_hot(s)
    yield from _decided(s)


RULE = Rule(
    ID,
    "warm or cool the ferment",
    "Reds want 21 to 30 C in the last third of the sugar, whites 12 to 22 C. Above 33 C yeast starts to die.",
    due,
    (ResponseForm("reading", ("temperature",)),),
    kit="thermometer",
    cautions=(cautions.WARMING,),
)
