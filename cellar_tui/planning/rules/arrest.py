"""An arrested sweet wine is chilled to 2 C or under the hour its gravity stands 0.003 above the stopping gravity.

Then, still the same day, SO2 to 1.5 mg/L molecular at a share of 0.35. Until the finish mark is set it is asked for.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.planning import arrested, coldhold, so2, sulfur
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import ResponseForm, Rule, always, window
from cellar_tui.planning.subject import Subject

ID = "arrest"


def _unmarked(s: Subject) -> bool:
    return running.running(s) and s.intents.finish == "arrested" and s.intents.finish_sg is None


def _near(s: Subject) -> bool:
    if not running.running(s) or s.intents.finish != "arrested" or s.intents.finish_sg is None:
        return False
    mark = s.intents.finish_sg + s.house.number("arrest_at")
    return bool(s.gravities) and running.at_or_under(s.gravities[-1].value, mark)


def chilled(s: Subject) -> Subject:
    """Return the wine as the chill will leave it, on the day of its last gravity: its sulfite is dosed for that."""
    last, now = s.c.log[s.gravities[-1].index], s.c.now
    body = k.Chill(start=True, temperature=s.house.number("arrest_chill"))
    return Subject(s.c.with_event(Event(last.entry, last.on, last.minute, "", body, now, now)), s.vessel, s.house)


def _woke(s: Subject) -> Iterator[Due]:
    """Yield the chill of a wine whose yeast nothing holds: at once, until it is read cold again."""
    since, found = needs.came_true(s, arrested.awake), arrested.cold(s)
    if since is None or found is None:
        return
    chill, dose = s.fact("arrest_chill"), None if sulfur.sulfited(s) is True else so2.dose(s)
    task = f"chill to {chill.value:g} C or under at once"
    yield window(
        ID,
        since.on,
        None,
        since.entry,
        f"{found.why}: it wakes, and only cold keeps its sugar now",
        (arrested.woke_fact(s, found), chill, s.fact("arrest_cold"), *(dose.because.facts if dose else ())),
        source=so2.SOURCE if dose else "common practice",
        dose=dose,
        task=f"{task}, then add the sulfite" if dose else f"{task}: no sorbate and no racking until it is cold",
        urgent=True,
    )


def due(s: Subject) -> Iterator[Due]:
    """Yield the arrest, or what must be said before it, or the chill of an arrested wine that wakes."""
    if s.c.store:
        return
    yield from _woke(s)
    unmarked = needs.came_true(s, _unmarked)
    if unmarked is not None:
        yield window(
            ID,
            unmarked.on,
            None,
            unmarked.entry,
            "nobody has said at which gravity to stop this ferment",
            (unmarked.fact("ferment without a stopping gravity since"), running.mark_fact(s)),
            task="say at which gravity it is to stop: record the intent stopping gravity",
        )
    near = needs.came_true(s, _near)
    if near is None:
        return
    chill, dose = s.fact("arrest_chill"), so2.dose(chilled(s))
    facts: tuple[Fact, ...] = (running.gravity_fact(s), running.mark_fact(s), s.fact("arrest_at"), chill)
    facts = (*facts, *(dose.because.facts if dose else ()))
    yield window(
        ID,
        near.on,
        None,
        near.entry,
        "the ferment is at its stopping gravity: only cold keeps the sugar now",
        facts,
        formula="gravity at or under stopping gravity + margin",
        source=so2.SOURCE,
        dose=dose,
        task=f"chill to {chill.value:g} C or under this hour, then add the sulfite",
    )


def _chilling(s: Subject) -> bool:
    return coldhold.holding(s) is not None


def _no_mark(s: Subject) -> bool:
    return s.intents.finish == "arrested" and s.intents.finish_sg is None and s.end is None


RULE = Rule(
    ID,
    "arrest the ferment",
    (
        "Cold and sulfite only put yeast to sleep. Chill within the hour of reaching the stopping gravity "
        "and keep it cold: it is never safe warm."
    ),
    due,
    (
        ResponseForm("intent", ("finish_sg",), (), _no_mark),
        ResponseForm("chill", ("temperature", "place"), (("start", "yes"),)),
        ResponseForm("reading", ("temperature",), (), _chilling),
    ),
    kit="thermometer",
    guards=always,
    cautions=(cautions.COOLING, cautions.AIRLOCK, cautions.LIFTING, *cautions.SULFITE),
)
