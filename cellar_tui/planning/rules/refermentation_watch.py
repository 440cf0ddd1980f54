"""A sweetened wine is watched from the sugar, an arrested one from the end of the cold: gravity at 7, 14 and 28 days.

The wine stands at 18 C or warmer for 21 of the days; in a colder cellar a sample under an airlock stands 14 days warm.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from cellar_tui.ledger.history import checks, readings
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs
from cellar_tui.planning.rules.base import AGAIN_DAYS, ResponseForm, Rule, always, window
from cellar_tui.planning.spirit import by_spirit
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.table import settled
from cellar_tui.planning.verdicts.yeast import WATCH, warm_days, watch_marks, watch_start, watched

ID = "refermentation_watch"


def _watched(s: Subject) -> bool:
    """Return whether yeast could still wake: no spirit and no sterile filter takes care of it."""
    strong = s.intents.finish == "fortified" or by_spirit(s) is not None
    return s.end is not None and not s.intents.sterile_filtration and not strong and not settled(s, "yeast")


def _pressure(s: Subject) -> Iterator[Due]:
    """Yield what a warm sample or bottle that made gas asks for: at once, and again while nothing has changed."""
    seen = checks(s.c, "warm_bottle", after=s.end_index)
    if not seen or seen[-1][1].result == "pass":
        return
    failed = seen[-1][0]
    later = [needs.seen(gravity) for gravity in s.gravities if gravity.index > failed.index]
    last = needs.last_of(needs.seen(failed), *later)
    yield window(
        ID,
        last.on + (timedelta(days=AGAIN_DAYS) if later else timedelta()),
        None,
        last.entry,
        "its warm sample made gas: the yeast is alive, and bottles of it would burst",
        (Fact("warm sample failed", seen[-1][1].fault or "gas", "", failed.entries, failed.on),),
        task=(
            "its yeast is alive and bottles of it would burst: bottle none, keep it under an airlock and cool; "
            "open the sample with care, then test its gravity"
        ),
        urgent=True,
    )


def _unanswered(s: Subject, start: int, day: date) -> date:
    """Return that day, or where a sample or a gravity answered it since and left its cause, the day it comes back."""
    seen = [one for one, _ in checks(s.c, "warm_bottle", after=start)] + [
        gravity for gravity in s.gravities if gravity.index > start
    ]
    answered = [one.on for one in seen if one.on >= day]
    return max(answered) + timedelta(days=AGAIN_DAYS) if answered else day


def _too_cold(s: Subject, start: int) -> Iterator[Due]:
    """Yield the warm sample from the day on which the wine itself can no longer stand warm for long enough."""
    begun, spare = s.c.log[start], s.house.days("watch_days") - s.house.days("watch_warm_days")
    seen = readings(s.c, "temperature", start - 1)
    if not seen:
        return
    last, known = seen[-1], warm_days(s, start)
    still_warm = last.value >= s.house.number("watch_warm")
    # Days after the last reading may be warm while that was; all others without warmth read on both sides are not.
    if still_warm and (last.on - begun.on).days - known <= spare:
        return
    sample = s.house.days("warm_sample_days")
    day = last.on if still_warm else begun.on + timedelta(days=spare + 1 + known)
    facts = (
        Fact("watch started", begun.on.isoformat(), "", (begun.entry,), begun.on),
        Fact("temperature", last.value, "C", last.entries, last.on),
    )
    warm, wanted = s.fact("watch_warm"), s.fact("watch_warm_days")
    yield window(
        ID,
        _unanswered(s, start, day),
        day + timedelta(days=sample),
        last.entry,
        f"too cold to prove anything: {wanted.value:g} days of {s.figure('watch_days')} at {warm.value:g} C can no "
        f"longer be reached; a sample under an airlock at 22 to 28 C for {sample} d proves it",
        (*facts, warm, wanted, s.fact("watch_days"), s.fact("warm_sample_days"), *needs.behind(s, "yeast")),
        formula=f"beginning + {spare} d + days measured warm + 1 d",
        task=f"stand a sample under an airlock at 22 to 28 C for {sample} d, and test gravity",
    )


def due(s: Subject) -> Iterator[Due]:
    """Yield the next reading of the watch, before it what a sample that made gas asks for."""
    start = watch_start(s) if not s.c.store and _watched(s) else None
    if s.end is not None and not s.c.store:
        yield from _pressure(s)
    if start is None:
        return
    yield from _too_cold(s, start)
    begun = s.c.log[start]
    met, _ = watched(s, start)
    marks = watch_marks(s)
    warm = s.fact("watch_warm")
    facts = [
        Fact("watch started", begun.on.isoformat(), "", (begun.entry,), begun.on),
        warm,
        s.fact("watch_warm_days"),
        *map(s.fact, WATCH),
        s.fact("steady_sg"),
        s.fact("warm_sample_days"),
        *needs.behind(s, "yeast"),
        Fact("days measured warm", float(warm_days(s, start)), "d"),
    ]
    if len(met) < len(marks):
        mark = marks[len(met)]
        yield window(
            ID,
            max(needs.next_mark(begun.on, met, tuple(marks)), _unanswered(s, start, begun.on + timedelta(days=mark))),
            None,
            met[-1].entry if met else begun.entry,
            f"gravity {mark} d into the watch, the wine at {warm.value:g} C or warmer",
            tuple(facts),
            formula=f"beginning + {mark} d",
        )
        return
    seen = [needs.seen(gravity) for gravity in s.gravities if gravity.index > start]
    seen += [needs.seen(one) for one, _ in checks(s.c, "warm_bottle", after=start)]
    seen += [needs.moment(skip) for skip in s.skips(ID) if skip[0] > start]
    last = needs.last_of(*seen)
    yield window(
        ID,
        last.on + timedelta(days=AGAIN_DAYS),
        None,
        last.entry,
        "gravity moved, or the wine stood too cold: watch on, or stand a sample "
        f"{s.house.days('warm_sample_days')} d at 22 to 28 C under an airlock",
        (*facts, last.fact("last reading")),
    )


RULE = Rule(
    ID,
    "watch for refermentation",
    "Only time in the warm proves the yeast is held: gravity must not move by more than 0.001.",
    due,
    (
        ResponseForm("reading", ("sg", "temperature")),
        ResponseForm("check", ("result", "fault"), (("test", "warm_bottle"),)),
    ),
    kit="hydrometer",
    guards=always,
    cautions=(cautions.AIRLOCK, cautions.LIVE),
)
