"""What a wine will need of each material until a day: what is asked by then, and what its way to bottling lets reckon.

A dose that is asked stands in the plan. What lies further ahead is worked out for the wine as it is now: its first
sulfite, the sulfite that keeps it on target, sorbate and sugar up to the sweetness wished, the sulfite for the filling.
What depends on a test or a reading still to come is named without an amount.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from cellar_tui.enology import sulfite
from cellar_tui.planning import small_lot, so2, sorbate, sulfur
from cellar_tui.planning.plan import Action, Because, Dose, Fact, Plan
from cellar_tui.planning.planner import Day, on_day
from cellar_tui.planning.rules import sorbate as sorbate_rule
from cellar_tui.planning.subject import Subject

KMS = "potassium_metabisulfite"
AS_NOW = "calculated for the wine as it is now"


@dataclass(frozen=True, slots=True)
class Need:
    """What one wine needs of a material, from a day on; `amount` is in the material's unit, None where not known yet.

    `because.rule` is the action that it is for.
    """

    vessel: str
    wine: str
    material: str
    amount: float | None
    on: date
    because: Because


@dataclass(frozen=True, slots=True)
class _Ahead:
    """A wine looked at from a day, as far as another day; `begin` dates the steps of its way to bottling."""

    s: Subject
    plan: Plan
    day: Day
    today: date
    last: date

    @property
    def begin(self) -> dict[str, date]:
        return {step.action: step.earliest for step in self.day.path}

    def asked(self, rule: str) -> Action | None:
        """Return an action that is asked by the last day with its dose, None where it is not."""
        found = (action for action in self.day.actions if action.rule == rule and action.dose is not None)
        return next((one for one in found if one.show <= self.last), None)

    def need(self, material: str, amount: float | None, on: date, because: Because) -> Need:
        return Need(self.s.vessel.name, self.plan.wine, material, amount, max(on, self.today), because)


def needs(s: Subject, plan: Plan, today: date, last: date) -> list[Need]:
    """Return what a wine needs from `today` to `last`, soonest first; a store of bottles needs nothing."""
    if s.c.store:
        return []
    ahead = _Ahead(s, plan, on_day(plan, today), today, last)
    parts = (_asked(ahead), _first_sulfite(ahead), _keeping(ahead), _sweet(ahead), _filling(ahead), _fining(ahead))
    found = [one for part in parts for one in part if one.on <= last]
    return sorted(found, key=lambda one: (one.on, one.material, one.because.rule))


def _asked(ahead: _Ahead) -> Iterator[Need]:
    """Yield the doses asked; of two sulfites that start from the same free SO2 the larger covers both."""
    asked = [action for action in ahead.day.actions if action.dose is not None and action.show <= ahead.last]
    doses = [(one, _powder(ahead.s, one.dose)) for one in asked if one.dose is not None]
    sulfites = [(one, dose) for one, dose in doses if dose.material == KMS]
    most = max(sulfites, key=lambda pair: pair[1].amount, default=None)
    for one, dose in doses:
        if dose.material != KMS or most is None or one is most[0]:
            yield ahead.need(dose.material, dose.amount, one.show, _of_dose(one.rule, one.task, dose))


def _powder(s: Subject, dose: Dose) -> Dose:
    """Return a dose as it is taken from the shelf: a solution that is made up takes its powder."""
    if dose.material != small_lot.SOLUTION or small_lot.on_the_shelf(s):
        return dose
    return replace(dose, material=KMS, amount=dose.amount * sulfite.STOCK / 100, unit="g")


def _of_dose(rule: str, reason: str, dose: Dose) -> Because:
    return Because(rule, reason, dose.because.facts, dose.because.formula, dose.because.source)


def _grams(s: Subject, litres: float, rise: float) -> float:
    """Return the metabisulfite [g] that raises total SO2 by `rise` [mg/L], at the strength on hand."""
    stock = s.house.stock.get(KMS)
    strength = stock.strength if stock is not None else None
    return sulfite.grams_for(litres, rise, strength=strength or 1.0)


def _first_sulfite(ahead: _Ahead) -> Iterator[Need]:
    s = ahead.s
    if sulfur.sulfited(s) is None and s.free is None:
        why = Because("so2_recheck", "free SO2 is to be tested first", (Fact("free SO2", "not tested yet"),))
        yield ahead.need(KMS, None, ahead.today, why)
    elif "sulfite" in ahead.begin and ahead.asked("sulfite") is None:
        dose = so2.dose(s)
        if dose is not None:
            reason = f"first sulfite, {AS_NOW}"
            yield ahead.need(KMS, dose.amount, ahead.begin["sulfite"], _of_dose("sulfite", reason, dose))


def _on_target_from(ahead: _Ahead, days: float) -> date | None:
    """Return the day on which the next keeping sulfite may be wanted; `days` is what a dose lasts."""
    dosed = ahead.asked("sulfite")
    if dosed is not None:
        return max(ahead.today, dosed.show) + timedelta(days=math.floor(days))
    if sulfur.sulfited(ahead.s) is True:
        return None if ahead.plan.forecast is None else max(ahead.today, ahead.plan.forecast.risk_day)
    first = ahead.begin.get("sulfite")
    return None if first is None else first + timedelta(days=math.floor(days))


def _keeping(ahead: _Ahead) -> Iterator[Need]:
    """Yield the sulfite that keeps a wine on target until it is filled.

    The first is wanted on the forecast's cautious day; from then on a dose lasts as long as the rate says. A wine that
    loses faster than its kind needs up to twice as much.
    """
    s, wanted = ahead.s, so2.target(ahead.s)
    rate, rate_facts = so2.daily_loss(s)
    aim, aim_facts = so2.aim(s, wanted)
    if wanted.free <= 0 or aim <= wanted.free:
        return
    lasts = max(math.log(aim / wanted.free) / rate, s.house.number("recheck_least"))
    begin = _on_target_from(ahead, lasts)
    end = min(ahead.last, ahead.begin.get("final_so2", ahead.last) - timedelta(days=1))
    if begin is None or begin > end:
        return
    times = 1 + math.floor((end - begin).days / lasts)
    name = "share_sweet" if s.sweetened else "share_later"
    rise = times * (aim - wanted.free) / s.house.number(name)
    facts = (
        *wanted.facts,
        Fact("free SO2 target", round(wanted.free, 1), "mg/L"),
        Fact("a dose aims at", round(aim, 1), "mg/L"),
        Fact("a dose lasts", round(lasts), "d"),
        *rate_facts,
        *aim_facts,
        s.fact("recheck_least"),
        s.fact(name),
        Fact("volume", round(s.volume, 2), "L"),
    )
    how = (
        "times x (aim - target) / fraction that stays free x volume / (1000 x 0.576); a dose lasts ln(aim / target) / k"
    )
    often = "once" if times == 1 else f"{times} times"
    reason = f"keeping free SO2 on target, {often} by the middle of the forecast"
    yield ahead.need(KMS, _grams(s, s.volume, rise), begin, Because("sulfite", reason, facts, how, so2.SOURCE))


def _sweet(ahead: _Ahead) -> Iterator[Need]:
    """Yield sorbate, sugar and the sulfite for the new volume, for the wine as it will be."""
    s, begin = ahead.s, ahead.begin
    if sorbate_rule.sweetness_unknown(s):
        why = Because("sweeten", "say first how sweet it is to be: record the intent sweetness", ())
        for rule, stuff in (("sorbate", "potassium_sorbate"), ("sweeten", "sugar")):
            if rule in begin:
                yield ahead.need(stuff, None, begin[rule], why)
        return
    dose, will = sorbate.dose(s)
    if "sorbate" in begin and ahead.asked("sorbate") is None and dose is not None:
        enough = sorbate.asked(s, will.alcohol).enough
        reason = f"sorbate, {AS_NOW}" if enough else "sorbate is not enough at this strength and pH"
        amount = dose.amount if enough else None
        yield ahead.need("potassium_sorbate", amount, begin["sorbate"], _of_dose("sorbate", reason, dose))
    if "sweeten" not in begin:
        return
    if ahead.asked("sweeten") is None and will.sugar > 0:
        how = "rise x volume that stays / (1 - 0.00062 x rise)"
        why = Because("sweeten", f"to {s.intents.sweetness:g} g/L, {AS_NOW}", will.facts, how, "computed")
        yield ahead.need("sugar", will.sugar, begin["sweeten"], why)
    wanted = so2.target(s)
    (aim, aim_facts), share = so2.aim(s, wanted), s.fact("share_sweet")
    rise = (aim - wanted.free * will.stays / will.volume) / s.house.number("share_sweet")
    facts = (*wanted.facts, Fact("a dose aims at", round(aim, 1), "mg/L"), *aim_facts, share, *will.facts)
    how = "(aim - target thinned by the sugar) / fraction that stays free x volume / (1000 x 0.576)"
    why = Because("sulfite", "the new volume after the sugar, the same day, from the target up", facts, how, so2.SOURCE)
    yield ahead.need(KMS, _grams(s, will.volume, rise), begin["sweeten"], why)


def _filling(ahead: _Ahead) -> Iterator[Need]:
    s, begin = ahead.s, ahead.begin
    if "final_so2" not in begin or ahead.asked("final_so2") is not None:
        return
    name = "share_sweet" if s.intents.sweet else "share_later"
    rise = s.house.number("final_extra") / s.house.number(name)
    facts = (s.fact("final_extra"), s.fact(name), Fact("volume", round(s.volume, 2), "L"))
    how = "extra / fraction that stays free x volume / (1000 x 0.576)"
    why = Because("final_so2", "for the filling, from the target up", facts, how, "losses to 11 mg/L published")
    yield ahead.need(KMS, _grams(s, s.volume, rise), begin["final_so2"], why)


def _fining(ahead: _Ahead) -> Iterator[Need]:
    asked = any(action.dose is not None and action.dose.material == "bentonite" for action in ahead.day.actions)
    if "haze_test" in ahead.begin and not asked:
        why = Because("haze_test", "the heat test and a bench trial show how much, if any", ())
        yield ahead.need("bentonite", None, ahead.begin["haze_test"], why)
