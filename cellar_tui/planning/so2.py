"""Free SO2: the target, what is free now, the dose that brings it up, and the day it may slip under.

The forecast is the interim one of a fixed daily loss per vessel material; its rates are assumed, not measured.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

from cellar_tui.enology import legal, so2
from cellar_tui.enology.errors import SUGAR
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.styles import ARREST_MOLECULAR
from cellar_tui.planning.plan import Because, Dose, Fact, Forecast
from cellar_tui.planning.small_lot import weighed
from cellar_tui.planning.subject import Subject

CHARTED_PH = 3.5
"""pH taken where none is known; common practice, on the cautious side for most wines."""

CHARTED_MOLECULAR = 0.8
"""Molecular SO2 of the charted dose [mg/L]; common practice."""

FLOOR_MOLECULAR = 1.5
"""The floor against air never asks for more molecular SO2 than this [mg/L]; common practice."""

NO_METER_DOSE = 60.0
NO_METER_DOSE_ML = 50.0
"""First dose where no pH is known, without and after malolactic fermentation [mg/L total]; common practice."""

SOURCE = "Waterhouse, Sacks & Jeffery 2016, ch. 17 (seen); pKa 1.81 fitted to the UC table of 1982 (seen)"


@dataclass(frozen=True, slots=True)
class Target:
    """Free SO2 aimed at [mg/L] and what it follows from."""

    free: float
    by_molecular: float
    floor: float
    molecular: float
    ph: float
    facts: tuple[Fact, ...]


def charted_ph(s: Subject) -> float:
    """Return the last pH, or the charted one where none is known."""
    return CHARTED_PH if s.ph is None else s.ph.value


def molecular_wanted(s: Subject) -> float:
    """Return the molecular SO2 aimed at [mg/L]: more while live yeast is held by cold alone."""
    if s.alive_by_cold and s.sorbate <= 0:
        return max(ARREST_MOLECULAR, s.intents.molecular_so2)
    return s.intents.molecular_so2


def target(s: Subject) -> Target:
    """Return the free SO2 target [mg/L]: for the molecular target at its pH, or the floor against air."""
    ph = charted_ph(s)
    wanted = molecular_wanted(s)
    by_molecular = so2.free_needed(wanted, ph)
    gets_sorbate = s.sorbate > 0 or ((s.sweet_style or s.alive_by_cold) and not s.sterile)
    name = "free_floor_sorbate" if gets_sorbate else "" if s.red else "free_floor"
    floor = s.house.number(name) if name else 0.0
    floor = min(floor, so2.free_needed(FLOOR_MOLECULAR, ph))
    facts = [
        Fact("pH", ph, "pH", s.ph.entries, s.ph.on) if s.ph else Fact("pH not known, taken as", CHARTED_PH, "pH"),
        Fact("molecular SO2 aimed at", wanted, "mg/L", intent_entries(s, "molecular_so2")),
    ]
    if name:
        facts.append(s.fact(name))
    return Target(max(by_molecular, floor), by_molecular, floor, wanted, ph, tuple(facts))


def intent_entries(s: Subject, field: str = "") -> tuple[int, ...]:
    """Return the entry that last said what is wanted (of `field`, or at all), else the one that started the filling."""
    for _, event in reversed(s.events(k.Intent)):
        body = event.body
        if not field or getattr(body, field) is not None or (isinstance(body, k.Intent) and body.style):
            return (event.entry,)
    return (s.c.filling,)


def share(s: Subject) -> tuple[float, Fact]:
    """Return the share of the next sulfite that stays free, and the house rule it comes from."""
    cloudy = bool(s.clarity) and s.clarity[-1].value < 1
    if s.alive_by_cold:
        name = "share_sweet"
    elif s.sulfited is not True:
        name = "share_first"
    else:
        name = "share_sweet" if s.sweetened or cloudy else "share_later"
    return s.house.number(name), s.fact(name)


def free_now(s: Subject, *, firm: bool = True) -> tuple[float | None, tuple[Fact, ...]]:
    """Return the free SO2 expected now [mg/L]: the last reading, thinned, plus the staying share of additions since.

    `firm` takes only a reading that a dose may rest on; otherwise a single strip counts too.
    """
    last = s.free if firm or not s.reads else s.reads[-1]
    if last is None:
        return None, ()
    value = last.value
    facts = [Fact("last free SO2", last.value, "mg/L", last.entries, last.on)]
    for index in range(last.index + 1, len(s.c.log)):
        event = s.c.log[index]
        if event.before.volume > 0 and event.after.volume > event.before.volume:
            value *= event.before.volume / event.after.volume
        if event.so2 > 0 and index > s.end_index:
            part, _ = share(s.as_of(index))
            value += part * event.so2
            facts.append(Fact("sulfite since, mg/L total", round(event.so2, 1), "mg/L", (event.entry,), event.on))
    return value, tuple(facts)


def daily_loss(s: Subject) -> tuple[float, Fact]:
    """Return the share of free SO2 lost in a day in this vessel, and the house rule it comes from."""
    name = f"loss_{s.vessel.material}" if s.vessel.material in ("steel", "glass", "oak", "plastic") else "loss_glass"
    return s.house.number(name), s.fact(name)


def longest(s: Subject) -> tuple[int, Fact]:
    """Return the longest time between two rechecks in this vessel [d], and the house rule it comes from."""
    name = {"oak": "recheck_oak", "plastic": "recheck_plastic"}.get(s.vessel.material, "recheck_full")
    return s.house.days(name), s.fact(name)


def molecular(free: float, ph: float) -> float:
    """Return molecular SO2 [mg/L]; a slip over what any wine holds is reckoned too, so that a guard can stop it."""
    return free * so2.molecular_fraction(ph)


def total_limit(s: Subject) -> float:
    """Return the legal limit of total SO2 for this wine [mg/L]; the home rules take the OIV's figures."""
    # Too much sugar by a slip is no wine; the limits have only one step, far below.
    sugar = min(s.sugar or 0.0, SUGAR.high)
    return legal.total_so2_limit(s.house.word("jurisdiction"), s.intents.colour, sugar).value


def aim(s: Subject, wanted: Target) -> float:
    """Return the free SO2 a dose aims at [mg/L]: above the target by what is lost until the latest recheck."""
    rate, _ = daily_loss(s)
    days, _ = longest(s)
    lost = wanted.free * (1 - math.exp(-rate * days))
    above = min(max(lost, s.house.number("dose_least")), s.house.number("dose_most"))
    ceiling = so2.free_needed(s.house.number("molecular_most"), wanted.ph)
    return min(wanted.free + above, ceiling)


def dose(s: Subject, goal: float | None = None) -> Dose | None:
    """Return the metabisulfite that brings free SO2 to `goal` [mg/L], else to the aim; None where none is needed."""
    wanted = target(s)
    part, part_fact = share(s)
    now, now_facts = free_now(s)
    first = s.sulfited is not True
    facts = [*wanted.facts, part_fact, *now_facts]
    note = f"{part:g} of it is taken to stay free"
    if s.ph is None and first and goal is None:
        raise_total = NO_METER_DOSE_ML if s.ml.state == "done" else NO_METER_DOSE
        note = "pH not known: the usual first dose"
        formula = f"{raise_total:g} mg/L total, the usual first dose without a pH"
    else:
        if now is None and not first:
            return None
        goal = aim(s, wanted) if goal is None else goal
        raise_total = max(0.0, goal - (now or 0.0)) / part
        formula = "(aim - free now) / share staying free x volume / (1000 x 0.576)"
        facts.append(Fact("free SO2 aimed at", round(goal, 1), "mg/L"))
    room = total_limit(s) - s.total_so2
    if raise_total > room:
        raise_total = max(0.0, room)
        note += "; cut to the legal limit of total SO2"
    if raise_total <= 0:
        return None
    stuff, amount, unit, made = weighed(s, raise_total)
    facts += [s.fact("small_lot")] if made else []
    facts += [Fact("volume", round(s.volume, 2), "L"), Fact("rise of total SO2", round(raise_total, 1), "mg/L")]
    note = f"+{raise_total:.0f} mg/L total; {note}" + (f"; {made}" if made else "")
    return Dose(stuff, amount, unit, note, Because("sulfite", note, tuple(facts), formula, SOURCE))


def charted_raise(s: Subject) -> float:
    """Return the SO2 that takes it from none free to 0.8 mg/L molecular, at the share in force [mg/L total]."""
    return so2.free_needed(CHARTED_MOLECULAR, charted_ph(s)) / share(s)[0]


def forecast(s: Subject) -> Forecast | None:
    """Return where free SO2 is heading from its last reading [mg/L], None where it was never read."""
    if s.free is None or s.end is None or s.c.store:
        return None
    wanted = target(s)
    if wanted.free <= 0:
        return None  # a wine that is to have no free SO2 cannot slip under its target
    rate, rate_fact = daily_loss(s)
    start, now = s.free.on, s.free.value
    ratio = math.log(now / wanted.free) if now > wanted.free else 0.0
    # Half the time to the crossing: the rates are assumed, and one in two wines loses faster than its kind.
    risk = start + timedelta(days=math.floor(ratio / (2 * rate)))
    middle = start + timedelta(days=math.floor(ratio / rate))
    band = tuple(
        (start + timedelta(days=days), now * math.exp(-2 * rate * days), now * math.exp(-rate * days),
         now * math.exp(-0.5 * rate * days))
        for days in range(0, longest(s)[0] + 1, 5)
    )  # fmt: skip
    facts = (
        Fact("last free SO2", now, "mg/L", s.free.entries, s.free.on), *wanted.facts,
        Fact("free SO2 target", round(wanted.free, 1), "mg/L"), rate_fact,
    )  # fmt: skip
    because = Because(
        "so2_recheck", "free SO2 fades; the rate is assumed for the kind of vessel", facts,
        "day of the reading + ln(free / target) / (2 x daily loss)", "rates assumed, no published constant found",
    )  # fmt: skip
    return Forecast(wanted.free, now, start, risk, middle, band, because)


def recheck_from_reading(s: Subject) -> tuple[date, tuple[Fact, ...]] | None:
    """Return the day on which the last reading asks for the next, and the inputs; None where there is no reading."""
    if not s.reads:
        return None
    last = s.reads[-1]
    wanted = target(s)
    rate, rate_fact = daily_loss(s)
    most, most_fact = longest(s)
    ratio = math.log(last.value / wanted.free) if last.value > wanted.free > 0 else 0.0
    days = min(max(math.floor(ratio / (2 * rate)), s.house.days("recheck_least")), most)
    facts = (
        Fact("last free SO2", last.value, "mg/L", last.entries, last.on),
        Fact("free SO2 target", round(wanted.free, 1), "mg/L", wanted.facts[0].entries), *wanted.facts,
        rate_fact, s.fact("recheck_least"), most_fact,
    )  # fmt: skip
    return last.on + timedelta(days=days), facts
