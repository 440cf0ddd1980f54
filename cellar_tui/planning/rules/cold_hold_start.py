"""The cold hold begins at least 6 weeks before bottling, 12 where sugar is to follow, for wines that can drop crystals.

First ferment and malolactic fermentation are settled, the haze test passed, any fining racked off, and free SO2 on
target by a reading not older than 14 days.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.planning import coldhold, handling, so2
from cellar_tui.planning.age import wished_bottling
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import cautions, needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, before, window
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.table import settled

ID = "cold_hold_start"
AGE = "hold_reading_age"


def needs_but_reading(s: Subject) -> bool:
    """Return whether the cold hold is wanted and waits for nothing but a fresh free SO2 reading."""
    wanted = handling.tartrate(s) and not settled(s, "crystals") and coldhold.holding(s) is None
    return wanted and needs.ferment_settled(s) and needs.ml_settled(s) and needs.haze_ready(s)


def due(s: Subject) -> Iterator[Due]:
    """Yield the start of the cold hold."""
    ready = None if s.c.store else needs.came_true(s, needs_but_reading)
    run = needs.on_target(s, AGE)
    if ready is None or not run:
        return
    met = needs.last_of(ready, needs.seen(run[0]))
    weeks = "cold_weeks_sweet" if needs.to_be_sweetened(s) else "cold_weeks"
    earliest, latest = before(wished_bottling(s), met.on, s.days(weeks))
    ways = "chill it, or prove it by a cold test without a hold"
    if not s.intents.served_cold:
        ways += ", or record that crystals are accepted"
    facts = (
        met.fact("needs met"),
        needs.free_fact(run[-1]),
        *so2.target(s).facts,
        needs.wish(s),
        s.fact(weeks),
        s.fact(AGE),
        *needs.behind(s, "crystals", "haze"),
        *needs.arrest_facts(s),
    )
    yield window(
        ID,
        earliest,
        latest,
        met.entry,
        f"cream of tartar must drop here, not in the bottle: {ways}",
        facts,
        formula="target date less the weeks",
        expires=run[-1].on + s.days(AGE),
    )


def _crystals_open(s: Subject) -> bool:
    return not s.intents.served_cold


RULE = Rule(
    ID,
    "start the cold hold",
    (
        "Cold drops cream of tartar: about 5 days at -2.8 C or 30 days in a fridge. Published times "
        "disagree, so a test decides."
    ),
    due,
    (
        ResponseForm("chill", ("temperature", "place"), (("start", "yes"),)),
        ResponseForm("check", ("result",), (("test", "cold_test"),)),
        ResponseForm("reading", ("conductivity_drop",)),
        ResponseForm("intent", (), (("crystals_accepted", "yes"),), _crystals_open),
    ),
    kit="thermometer",
    cautions=(cautions.COOLING, cautions.BRIM, cautions.AIRLOCK, cautions.LIFTING),
)
