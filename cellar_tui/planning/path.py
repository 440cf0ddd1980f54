"""The way to bottling: the steps still to come, what each waits for, and how long it takes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from cellar_tui.enology import cold
from cellar_tui.planning import coldhold, sorbate
from cellar_tui.planning.plan import Fact, Step
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.haze import needs_heat
from cellar_tui.planning.verdicts.table import settled
from cellar_tui.planning.verdicts.yeast import watch_start


def _step(
    s: Subject, action: str, needs: tuple[str, ...], why: str, *, rule: str = "", begin: date | None = None,
    more: tuple[Fact, ...] = (),
) -> Step:  # fmt: skip
    """Make a step that lasts as many days as a house rule says, none where it names none."""
    days, facts = (s.house.days(rule), (s.fact(rule), *more)) if rule else (0, more)
    return Step(action, needs, days, why, begin, facts)


def _ferment(s: Subject) -> Iterator[Step]:
    if s.end is None:
        yield _step(s, "gravity_check", (), "the ferment must be shown finished", rule="yeast_proof_days")
    if s.encouraged and not s.ml_settled and s.ml.state != "unknown":
        yield _step(s, "malolactic_check", ("gravity_check",), "malolactic fermentation must be done",
                    rule="malolactic_first_days")  # fmt: skip
    if s.sulfited is False:
        yield _step(s, "sulfite", ("gravity_check", "malolactic_check"), "the first sulfite opens the keeping")
    if not s.rackings and not s.intents.on_lees:
        begin = s.end.on + s.days("first_rack_from") if s.end else None
        yield _step(s, "rack", ("gravity_check",), "off the gross lees", begin=begin, more=(s.fact("first_rack_from"),))
    if s.clear is None:
        yield _step(s, "clarity_check", ("rack",), "it must be clear", rule="clarity_after")


def _tests(s: Subject) -> Iterator[Step]:
    if needs_heat(s) and not settled(s, "haze"):
        yield _step(s, "haze_test", ("clarity_check",), "protein stable before the cold")
    if not settled(s, "bacteria") and not s.encouraged and not s.sterile:
        why = f"{s.house.days('bacteria_days')} days on target against bacteria"
        yield _step(s, "so2_recheck", ("sulfite",), why, rule="bacteria_days")
    if settled(s, "crystals"):
        return
    if not s.tartrate:
        why = f"{s.house.days('fridge_test_days')} days at serving cold"
        yield _step(s, "cold_test", ("clarity_check",), why, rule="fridge_test_days")
        return
    held = coldhold.holding(s)
    if held is None:
        yield _step(s, "cold_hold_start", ("haze_test", "sulfite", "malolactic_check"), "cold drops the crystals")
    full = cold.hold_days(s.house.number("hold_fridge")) * s.house.number("hold_factor")
    days = math.ceil(full) if held is None else 0
    until = None if held is None else held.end
    rules = (s.fact("hold_fridge"), s.fact("hold_factor")) if held is None else held.rules
    yield Step("cold_hold_end", ("cold_hold_start",), days, "the hold must be served", until, rules)
    if s.intents.served_cold:
        why = f"{s.house.days('cold_test_days')} days at -4 C, or conductivity"
        yield _step(s, "cold_test", ("cold_hold_end",), why, rule="cold_test_days", begin=until)


def _sweet(s: Subject) -> Iterator[Step]:
    wants_sorbate = (s.sweet_style or s.alive_by_cold) and not s.sterile
    if wants_sorbate and sorbate.effective(s) is None:
        needs = ("cold_test", "cold_hold_end", "haze_test", "clarity_check")
        yield _step(s, "sorbate", needs, "always before sugar, into a clear stable wine", rule="sweeten_from")
    if s.sweet_style and not s.sweetened:
        yield _step(s, "sweeten", ("sorbate", "clarity_check"), "to the sweetness wished")
    if (s.sweet_style or s.alive_by_cold) and not settled(s, "yeast") and not s.sterile:
        start = watch_start(s)
        begin = None if start is None else s.c.log[start].on
        why = f"{s.house.days('watch_days')} days without a move"
        yield _step(s, "refermentation_watch", ("sweeten", "sorbate"), why, rule="watch_days", begin=begin)


def path(s: Subject) -> tuple[Step, ...]:
    """Return the steps still to come until bottling, in their order; empty once it is bottled."""
    if s.c.store:
        return ()
    steps = [*_ferment(s), *_tests(s), *_sweet(s)]
    waits = tuple(step.action for step in steps)
    final = s.wished_bottling - s.days("final_to")
    why = "sulfite for the filling, and a reading after it"
    steps.append(_step(s, "final_so2", waits, why, rule="final_from", begin=final, more=(s.fact("final_to"),)))
    day = max(s.of_age, s.wished_bottling)
    steps.append(_step(s, "bottle", ("final_so2",), "every kind of stability shown, of age", begin=day))
    present = {step.action for step in steps}
    return tuple(
        replace(one, needs=tuple(n for n in one.needs if n in present), facts=(*one.facts, *s.ground)) for one in steps
    )
