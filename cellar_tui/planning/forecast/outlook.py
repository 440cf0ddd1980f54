"""Where free SO2 is heading: the day on which it is read again, the band, and why."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, timedelta

from cellar_tui.enology.methods import METHODS, PH_ERROR
from cellar_tui.planning import so2, sulfur
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.forecast.belief import Belief
from cellar_tui.planning.forecast.crossing import band, days_until
from cellar_tui.planning.forecast.track import Track, track
from cellar_tui.planning.plan import Because, Fact, Forecast
from cellar_tui.planning.subject import Subject

MONTH = 30.4
"""Days in a month, as losses are spoken of."""

STEP = 5
"""Days between the points of the band [d]."""

EVEN = 0.5
"""Chance of the middle day."""

FORMULA = "the day on which the chance of free SO2 under the target reaches the risk"
SOURCE = "filter on free SO2, its rate and the fraction that stays free; rates assumed and simulated, none published"

Outlook = tuple[Track, Belief, so2.Target, date, date]
"""The track, what is believed from the last event on, the target, the day of the risk and the middle day."""


@dataclass(frozen=True, slots=True)
class Recheck:
    """The day on which the last reading asks for the next, and why."""

    on: date
    because: Because


def _outlook(s: Subject) -> Outlook | None:
    found = track(s)
    if found is None or found.last is None:
        return None
    wanted, start = so2.target(s), found.at[0]
    risk = s.house.number("forecast_risk") / 100
    days = [days_until(found.belief, wanted.free, chance) for chance in (risk, EVEN)]
    return found, found.belief, wanted, start + timedelta(days=days[0]), start + timedelta(days=days[1])


def _loss(belief: Belief, days: float) -> float:
    return 1 - math.exp(-math.exp(belief.rate) * days)


def _facts(s: Subject, found: Track, wanted: so2.Target) -> tuple[Fact, ...]:
    assert found.last is not None
    entry, on, value, method = found.last
    name = f"last free SO2 by {METHODS[method].title}" if method in METHODS else "last free SO2"
    facts = [
        Fact(name, value, "mg/L", (entry,), on),
        Fact("free SO2 target", round(wanted.free, 1), "mg/L"),
        Fact("lost in a month", round(100 * _loss(found.belief, MONTH)), "%", found.readings),
        Fact("of that known from its own readings", round(100 * found.belief.own), "%", found.readings),
    ]
    if found.dosed:
        name = "free SO2 expected after the sulfite since"
        facts.append(Fact(name, round(found.belief.free, 1), "mg/L", found.dosed))
    if wanted.by_molecular >= wanted.free:
        # The molecular share falls tenfold with a pH unit, to within a few per cent at the pH of wine.
        facts.append(Fact(f"a pH {PH_ERROR:g} off moves the target by", round(100 * (10**PH_ERROR - 1)), "%"))
    far = (s.fact("reading_far"),) if found.far else s.changed("reading_far")
    samples = s.changed("small_lot", "sample_volume")
    return (*facts, *wanted.facts, *(s.fact(rule) for rule in found.rules), s.fact("forecast_risk"), *far, *samples)


def _reason(s: Subject, found: Outlook) -> str:
    """Return in one clause how fast it fades, how well that is known, and when it may be under the target."""
    known, belief, wanted, risk, middle = found
    own = round(100 * belief.own)
    told = (
        f"losing {100 * _loss(belief, MONTH):.0f} % a month ({own} % weight on its own readings,"
        f" {100 - own} % on typical {known.material}); {s.house.number('forecast_risk'):g} % risk"
        f" of being below {wanted.free:.0f} mg/L by {short_day(risk)}, even odds by {short_day(middle)}"
    )
    if known.far:
        told += "; the last reading lies far from what was expected: repeat it before a dose rests on it"
    if known.last is not None and known.last[3] == "strip":
        told += "; a strip shows a trend only: test two on one day"
    return told


def forecast(s: Subject) -> Forecast | None:
    """Return where free SO2 is heading after its last reading [mg/L], None where it was never read as a wine."""
    found = None if s.c.store else _outlook(s)
    if found is None or found[0].last is None:
        return None
    known, belief, wanted, risk, middle = found
    if wanted.free <= 0:
        return None  # a wine that is to have no free SO2 cannot slip under its target
    (_, read_on, value, _), start = found[0].last, known.at[0]
    points = tuple(
        (start + timedelta(days=days), *band(belief, days)) for days in range(0, so2.longest(s)[0] + 1, STEP)
    )
    because = Because("so2_recheck", _reason(s, found), _facts(s, known, wanted), FORMULA, SOURCE)
    return Forecast(wanted.free, value, read_on, risk, middle, points, because)


def recheck(s: Subject, after: date | None = None) -> Recheck | None:
    """Return the day on which free SO2 is read again; None where there is no reading of the wine.

    It is the forecast's day, at the latest so long after the last reading as the vessel allows, and no sooner than some
    days after that reading or after work on the wine on the day `after`.
    """
    found = _outlook(s)
    if found is None:
        return None
    most, most_fact = so2.longest(s)
    known, _, wanted, risk, _ = found
    name = "recheck_least" if after is None else "recheck_after_work"
    read_on, least, what = sulfur.reads(s)[-1].on, s.house.days(name), "a reading" if after is None else "work"
    # Work puts no reading off: however often a wine is racked, it is read again in its time after the last reading.
    earliest = (after or read_on) + timedelta(days=least)
    on = max(earliest, min(risk, read_on + timedelta(days=most)))
    because = Because(
        "so2_recheck",
        _reason(s, found),
        (*_facts(s, known, wanted), s.fact(name), most_fact),
        f"{FORMULA}, at least {least} d after {what} and at most {most} d after the last reading",
        SOURCE,
    )
    return Recheck(on, because)
