"""The way to bottling: the steps still to come, what each waits for, and how long it takes."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cellar_tui.enology import cold
from cellar_tui.ledger.ferment import fermenting
from cellar_tui.planning import coldhold, sorbate
from cellar_tui.planning.plan import Step
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.haze import needs_heat
from cellar_tui.planning.verdicts.table import settled
from cellar_tui.planning.verdicts.yeast import watch_start

FRIDGE = 4.4
"""Temperature at which a hold still to come is reckoned [C]: a kitchen fridge; common practice, 30 days."""

FRIDGE_TEST_DAYS = 7
TEST_DAYS = 3
FINAL_DAYS = 4


def _must(s: Subject) -> Iterator[Step]:
    if not fermenting(s.c):
        yield Step("yeast", (), 0, "the must waits for its yeast")
    if s.on_skins:
        yield Step("press", ("yeast",), 0, "off skins or pulp")
    if s.intents.finish == "arrested":
        yield Step("arrest", ("yeast", "press"), 0, "cold at the finish mark keeps the sugar")
    elif s.intents.finish == "fortified":
        yield Step("fortify", ("yeast", "press"), 0, "spirit at the finish mark")


def _ferment(s: Subject) -> Iterator[Step]:
    if s.end is None:
        yield from _must(s)
        days = s.house.days("yeast_proof_days")
        yield Step("gravity_check", ("yeast", "press", "arrest", "fortify"), days, "the ferment must be shown finished")
    if s.encouraged and not s.ml_settled and s.ml.state != "unknown":
        days = s.house.days("malolactic_first_days")
        yield Step("malolactic_check", ("gravity_check",), days, "malolactic fermentation must be done")
    if s.sulfited is False:
        yield Step("sulfite", ("gravity_check", "malolactic_check"), 0, "the first sulfite opens the keeping")
    if not s.rackings and not s.intents.on_lees:
        begin = s.end.on + s.days("first_rack_from") if s.end else None
        yield Step("rack", ("gravity_check",), 0, "off the gross lees", begin)
    if s.clear is None:
        yield Step("clarity_check", ("rack",), s.house.days("clarity_after"), "it must be clear")


def _tests(s: Subject) -> Iterator[Step]:
    if needs_heat(s) and not settled(s, "haze"):
        yield Step("haze_test", ("clarity_check",), 0, "protein stable before the cold")
    if not settled(s, "bacteria") and not s.encouraged and not s.sterile:
        yield Step("so2_recheck", ("sulfite",), s.house.days("bacteria_days"), "30 days on target against bacteria")
    if settled(s, "crystals"):
        return
    if not s.tartrate:
        yield Step("cold_test", ("clarity_check",), FRIDGE_TEST_DAYS, "7 days at serving cold")
        return
    held = coldhold.holding(s)
    if held is None:
        yield Step("cold_hold_start", ("haze_test", "sulfite", "malolactic_check"), 0, "cold drops the crystals")
    full = cold.hold_days(FRIDGE) * s.house.number("hold_factor")
    days = math.ceil(full) if held is None else 0
    until = None if held is None else held.end
    yield Step("cold_hold_end", ("cold_hold_start",), days, "the hold must be served", until)
    if s.intents.served_cold:
        yield Step("cold_test", ("cold_hold_end",), TEST_DAYS, "3 days at -4 C, or conductivity", until)


def _sweet(s: Subject) -> Iterator[Step]:
    wants_sorbate = (s.sweet_style or s.alive_by_cold) and not s.sterile
    if wants_sorbate and sorbate.effective(s) is None:
        needs = ("cold_test", "cold_hold_end", "haze_test", "clarity_check")
        yield Step("sorbate", needs, s.house.days("sweeten_from"), "always before sugar, into a clear stable wine")
    if s.sweet_style and not s.sweetened:
        yield Step("sweeten", ("sorbate", "clarity_check"), 0, "to the sweetness wished")
    if (s.sweet_style or s.alive_by_cold) and not settled(s, "yeast") and not s.sterile:
        start = watch_start(s)
        begin = None if start is None else s.c.log[start].on
        days = s.house.days("watch_days")
        yield Step("refermentation_watch", ("sweeten", "sorbate"), days, "28 days without a move", begin)


def path(s: Subject) -> tuple[Step, ...]:
    """Return the steps still to come until bottling, in their order; empty once it is bottled."""
    if s.c.store:
        return ()
    steps = [*_ferment(s), *_tests(s), *_sweet(s)]
    waits = tuple(step.action for step in steps)
    final = s.wished_bottling - s.days("final_to")
    steps.append(Step("final_so2", waits, FINAL_DAYS, "sulfite for the filling, and a reading after it", final))
    day = max(s.of_age, s.wished_bottling)
    steps.append(Step("bottle", ("final_so2",), 0, "every kind of stability shown, of age", day))
    present = {step.action for step in steps}
    return tuple(
        Step(one.action, tuple(n for n in one.needs if n in present), one.days, one.why, one.not_before)
        for one in steps
    )
