"""The way to bottling: the steps still to come, what each waits for, how long it takes, and what holds it up.

A step may come twice, as clearing does before and after a cold hold: a need means the last such step before it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from cellar_tui.enology import cold
from cellar_tui.ledger.ferment import fermenting
from cellar_tui.planning import coldhold, sorbate
from cellar_tui.planning.plan import Dated, Step
from cellar_tui.planning.rules import needs
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.bacteria import on_target_since
from cellar_tui.planning.verdicts.haze import needs_heat
from cellar_tui.planning.verdicts.table import settled
from cellar_tui.planning.verdicts.yeast import watch_start

FRIDGE = 4.4
"""Temperature at which a hold still to come is reckoned [C]: a kitchen fridge; common practice, 30 days."""

OVER = ("gravity_check", "arrest", "fortify")
"""Steps that end the ferment, each of another style."""

FRIDGE_TEST_DAYS = 7
TEST_DAYS = 3
FINAL_DAYS = 4


def _held_alive(s: Subject) -> bool:
    """Return whether its yeast is, or is to be, held alive by cold alone."""
    return s.alive_by_cold or (s.end is None and s.intents.finish == "arrested")


def _ferment(s: Subject) -> Iterator[Step]:
    if s.end is None:
        if not fermenting(s.c):
            yield Step("yeast", (), 1, "the ferment is still to begin")
        if s.intents.finish == "arrested":
            yield Step("arrest", ("yeast",), 0, "stopped by cold at its finish mark")
        elif s.intents.finish == "fortified":
            yield Step("fortify", ("yeast",), 0, "spirit at its finish mark")
        else:
            yield Step("gravity_check", ("yeast",), s.house.days("yeast_proof_days"), "the ferment must be shown over")


def _hold(s: Subject) -> Iterator[Step]:
    """Yield the proof that a wine stopped with sugar left stands still."""
    if s.intents.finish == "arrested" and not needs.held(s):
        begun = None if s.end is None else s.end.on
        yield Step("gravity_check", ("arrest",), needs.ARREST_MARKS[-1], "it must stand still in the cold", None, begun)
    if s.intents.finish == "fortified" and not settled(s, "yeast"):
        begun = None if s.end is None else s.end.on
        yield Step("gravity_check", ("fortify",), 14, "gravity must stand still under the spirit", None, begun)


def _young(s: Subject) -> Iterator[Step]:
    if s.encouraged and not s.ml_settled and s.ml.state != "unknown":
        days, begun = s.house.days("malolactic_first_days"), s.ml.started
        yield Step("malolactic_check", OVER, days, "malolactic fermentation must be done", None, begun)
    if s.sulfited is False:
        yield Step("sulfite", (*OVER, "malolactic_check"), 0, "the first sulfite opens the keeping")
    if not s.rackings and not s.intents.on_lees:
        begin = s.end.on + s.days("first_rack_from") if s.end else None
        yield Step("rack", OVER, 0, "off the gross lees", begin)
    if s.intents.finish == "arrested" and len(s.rackings) < 2:
        begun = s.rackings[0][1].on if s.rackings else None
        yield Step("rack", ("rack",), s.house.days("arrest_again_from"), "cold, a second time", None, begun)
    if s.clear is None:
        begun = s.rackings[-1][1].on if s.rackings else None
        yield Step("clarity_check", ("rack",), s.house.days("clarity_after"), "it must be clear", None, begun)


def _tests(s: Subject) -> Iterator[Step]:
    if needs_heat(s) and not needs.haze_ready(s):
        yield Step("haze_test", ("clarity_check",), 0, "protein stable before the cold")
    if not settled(s, "bacteria") and not s.encouraged and not s.sterile:
        run = on_target_since(s, -1) if s.end is not None else []
        begun = run[0].on if run else None
        days = s.house.days("bacteria_days")
        yield Step("so2_recheck", ("sulfite",), days, f"{days} days on target against bacteria", None, begun)


def _cold(s: Subject) -> Iterator[Step]:
    if settled(s, "crystals"):
        return
    if not s.tartrate:
        yield Step("cold_test", ("clarity_check",), FRIDGE_TEST_DAYS, "7 days at serving cold")
        return
    held = coldhold.holding(s)
    # The chill of an arrest is its cold hold too.
    if held is None and not _held_alive(s):
        waits = ("gravity_check", "haze_test", "clarity_check", "sulfite", "malolactic_check")
        days = math.ceil(cold.hold_days(FRIDGE) * s.house.number("hold_factor"))
        tested = TEST_DAYS if s.intents.served_cold else 0
        yield Step("cold_hold_start", waits, days - tested, "cold drops the crystals")
    end = None if held is None else held.end
    if s.intents.served_cold:
        # The test runs in the last days of the hold.
        begin = None if end is None else end - s.days("cold_test_before")
        after = ("cold_hold_start", "gravity_check")
        yield Step("cold_test", after, TEST_DAYS, "3 days at -4 C, or conductivity", begin)
    if not _held_alive(s):
        yield Step("cold_hold_end", ("cold_test", "cold_hold_start"), 0, "the hold served, then racked cold", end)
    if s.sweet_style and not s.sterile:
        yield Step("clarity_check", ("cold_hold_end",), s.house.days("clarity_after"), "clear again after its racking")


def _sweet(s: Subject) -> Iterator[Step]:
    wants_sorbate = (s.sweet_style or _held_alive(s)) and not s.sterile
    if wants_sorbate and sorbate.effective(s) is None:
        waits = ("gravity_check", "cold_test", "cold_hold_end", "haze_test", "clarity_check", "sulfite")
        yield Step("sorbate", waits, s.house.days("sweeten_from"), "always before sugar, into a clear stable wine")
    if s.sweet_style and not s.sweetened:
        yield Step("sweeten", ("sorbate", "clarity_check"), 0, "to the sweetness wished")
    if _held_alive(s) and (s.end is None or coldhold.holding(s) is not None):
        after = ("gravity_check", "cold_test", "sorbate")
        yield Step("cold_hold_end", after, 0, "never before the yeast is held by sorbate or a sterile filter")
    # The proof of a dry wine is undone by the sugar to come.
    watched = needs.to_be_sweetened(s) or not settled(s, "yeast")
    if (s.sweet_style or _held_alive(s)) and watched and not s.sterile:
        start = watch_start(s)
        begun = None if start is None else s.c.log[start].on
        days = s.house.days("watch_days")
        why = f"{days} days without a move"
        yield Step("refermentation_watch", ("sweeten", "sorbate", "cold_hold_end"), days, why, None, begun)


def path(s: Subject) -> tuple[Step, ...]:
    """Return the steps still to come until bottling, in their order; empty once it is bottled."""
    if s.c.store:
        return ()
    steps = [*_ferment(s), *_young(s), *_hold(s), *_tests(s), *_cold(s), *_sweet(s)]
    waits = tuple(dict.fromkeys(step.action for step in steps))
    day = max(s.of_age, s.wished_bottling)
    final = day - s.days("final_to")
    steps.append(Step("final_so2", waits, FINAL_DAYS, "sulfite for the filling, and a reading after it", final))
    by = "of age" if s.of_age == day else "the day wished"
    steps.append(Step("bottle", ("final_so2",), 0, f"every kind of stability shown, {by}", day))
    return tuple(steps)


def dated(steps: Iterable[Step], today: date) -> tuple[Dated, ...]:
    """Lay the steps on their days: each at the latest of its own day, its needs and today."""
    ready: dict[str, date] = {}
    found = []
    for step in steps:
        waits = tuple(need for need in step.needs if need in ready)
        begin = max([today, *(ready[need] for need in waits), *([step.not_before] if step.not_before else [])])
        span = timedelta(days=step.days)
        done = begin + span if step.begun is None else max(begin, step.begun + span)
        # A step that comes twice is met by its last; whoever waits for it waits for both.
        ready[step.action] = max(done, ready.get(step.action, done))
        found.append(Dated(step.action, begin, waits, step.why, done, (done - begin).days))
    return tuple(found)


def held_up_by(found: tuple[Dated, ...]) -> tuple[Dated, ...]:
    """Return the steps that decide the day of the last one: the chain in which each waits for the one before it.

    Only steps that take days are named: nobody is held up by what is done the same day.
    """
    chain: list[Dated] = []
    place = len(found) - 1
    while place >= 0:
        step = found[place]
        if step.days > 0:
            chain.insert(0, step)
        before = [i for i in range(place) if found[i].action in step.needs and found[i].done == step.earliest]
        place = before[-1] if before else -1
    return tuple(chain)
