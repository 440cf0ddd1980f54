"""A cold test 3 days before the hold is to end; fruit without tartrate is tested in the fridge."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger.history import Evidence
from cellar_tui.planning import coldhold, handling
from cellar_tui.planning.age import wished_bottling
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, before, window
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.crystals import tests
from cellar_tui.planning.verdicts.table import settled

ID = "cold_test"


def _retest(s: Subject, failed: Evidence) -> Due:
    return window(
        ID,
        failed.on + s.days("cold_retest"),
        None,
        failed.entry,
        "the last test failed: hold on and test again",
        (needs.seen(failed).fact("test failed"), s.fact("cold_retest"), *needs.behind(s, "crystals")),
        formula=f"failed test + {s.figure('cold_retest')} d",
    )


def _in_the_hold(s: Subject, hold: coldhold.Hold) -> Iterator[Due]:
    done = tests(s, hold.start)
    if done:
        yield _retest(s, done[-1])
    elif hold.end is not None:
        begun = s.c.log[hold.start].entry
        day = max(hold.started, hold.end - s.days("cold_test_before"))
        facts = (*hold.facts, s.fact("cold_test_before"), *hold.rules)
        served = f"the hold is forecast to be served on {short_day(hold.end)}"
        yield window(
            ID,
            day,
            None,
            begun,
            served,
            facts,
            formula=f"forecast end - {s.figure('cold_test_before')} d",
            source="3 d at -4 C; conductivity drop",
        )


def _untested(s: Subject) -> bool:
    return s.clear is not None and not settled(s, "crystals")


def _fruit(s: Subject) -> Iterator[Due]:
    ready = needs.came_true(s, _untested)
    if ready is None:
        return
    done = tests(s, ready.index)
    if done:
        yield _retest(s, done[-1])
        return
    weeks = "fridge_test_weeks_sweet" if needs.to_be_sweetened(s) else "fridge_test_weeks"
    earliest, latest = before(wished_bottling(s), ready.on, s.days(weeks))
    stands = s.house.days("fridge_test_days")
    yield window(
        ID,
        earliest,
        latest,
        ready.entry,
        f"fruit without tartrate is proven by {stands} d at serving cold",
        (ready.fact("clear since"), needs.wish(s), s.fact(weeks), s.fact("fridge_test_days")),
        formula="target date less the weeks",
        task=f"stand a bottle {stands} d at serving cold",
    )


def due(s: Subject) -> Iterator[Due]:
    """Yield the next test for crystals."""
    if s.c.store or s.end is None or settled(s, "crystals"):
        return
    hold = coldhold.holding(s)
    if not handling.tartrate(s):
        yield from _fruit(s)
    elif hold is not None:
        yield from _in_the_hold(s, hold)


def _tartrate(s: Subject) -> bool:
    return handling.tartrate(s)


def _no_tartrate(s: Subject) -> bool:
    return not handling.tartrate(s)


RULE = Rule(
    ID,
    "test for crystals",
    (
        "A filtered sample held 3 days at -4 C with no crystals passes, or a conductivity drop under 5 %. A "
        "hold only proves stability down to its own temperature."
    ),
    due,
    (
        ResponseForm("check", ("result",), (("test", "cold_test"),), _tartrate),
        ResponseForm("reading", ("conductivity_drop",), (), _tartrate),
        ResponseForm("check", ("result",), (("test", "fridge_test"),), _no_tartrate),
    ),
    kit="cold test",
    cautions=("Fill the sample three quarters: wine near its freezing point bursts a full bottle.",),
    source="cold test and conductivity: handbook figures",
)
