"""The cold ends the day its credit is full; served cold, once the test has passed too; arrested, once sorbate is in."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger import kinds as k
from cellar_tui.planning import arrested, coldhold, handling
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import cautions, needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.crystals import tests

ID = "cold_hold_end"


def _tested(s: Subject) -> needs.Moment | None:
    passed = [test for test in tests(s) if test.value == 1]
    return needs.seen(passed[-1]) if passed and tests(s)[-1].value == 1 else None


def _yeast_held(s: Subject) -> needs.Moment | None:
    """Return what holds live yeast once the cold is gone: effective sorbate, or a sterile filtration."""
    filtered = [
        needs.moment((index, event))
        for index, event in s.events(k.Filter, after=s.end_index)
        if isinstance(event.body, k.Filter) and event.body.sterile
    ]
    if filtered:
        return filtered[-1]
    fit = arrested.effective(s)
    return None if fit is None else needs.moment((fit.index, s.c.log[fit.index]))


def due(s: Subject) -> Iterator[Due]:
    """Yield the end of the cold hold."""
    hold = None if s.c.store else coldhold.holding(s)
    if hold is None or hold.end is None:
        return
    day, facts = hold.end, [*hold.facts, *hold.rules]
    waits = []
    if s.intents.served_cold and handling.tartrate(s):
        waits.append((_tested(s), "cold test passed"))
    if s.alive_by_cold:
        waits.append((_yeast_held(s), "yeast held without the cold"))
    for met, name in waits:
        if met is None:
            return
        day = max(day, met.on)
        facts.append(met.fact(name))
    yield window(
        ID,
        day,
        None,
        s.c.log[hold.start].entry,
        "the hold is served; rack the same day, while it is cold",
        tuple(facts),
        formula="day on which the sum of time / days(T) reaches 1",
        task="end the cold hold, then rack cold the same day",
    )


RULE = Rule(
    ID,
    "end the cold hold",
    "Crystals redissolve as the wine warms: rack it cold, off the crystals, the day the hold ends.",
    due,
    (ResponseForm("chill", ("temperature",), (("end", "yes"),)),),
    kit="thermometer",
    cautions=(cautions.BRIM, cautions.COOLING, cautions.AIRLOCK, cautions.LIFTING),
)
