"""Free SO2 over time: what oxygen takes, and how a half-life counts down to the next addition."""

from __future__ import annotations

import math

from cellar_tui.enology.errors import CalcError, Range
from cellar_tui.enology.so2 import FREE_RANGE

SO2_PER_OXYGEN = 4.0
"""Milligrams of SO2 used up by a milligram of oxygen, two moles to one [seen: danilewicz]."""
SO2_PER_OXYGEN_MEASURED = 2.5
"""The same, mean of a hundred bottled wines over two years [seen: pascal]."""
SO2_PER_OXYGEN_FLOOR = 2.0
"""The same, mole for mole: the least ever reported [seen: danilewicz]."""
OXYGEN = Range(
    "oxygen", 0.0, 100.0, "mg/L", "give dissolved or yearly oxygen in milligrams a litre; air saturates at 9"
)
"""Saturation is 5 to 9; a barrel lets in 20 to 40 a year [seen: winetech2019, barrelnote]."""
RATIO = Range("ratio", 1.0, 5.0, "mg/mg", "use 4 to plan with, 2.5 as measured, 2 at the least")
"""Around the published 2 to 4 [seen: danilewicz, pascal]."""
HALF_LIFE = Range("half_life", 1.0, 5000.0, "d", "give days; fit it to two readings, no rate is published")
"""No published rate was found [common practice]."""
DAYS = Range("days", 0.0, 3650.0, "d", "forecast at most ten years; measure long before")
"""Beyond it there is nothing left to forecast [common practice]."""
TRUSTED_DAYS = 180.0
"""Days over which the exponential is used [d] [common practice]."""
AIR_OXYGEN = 0.2095
"""Share of oxygen in air [-] [computed]."""
OXYGEN_MOLAR_MASS = 31.998
"""Molar mass of oxygen [g/mol] [computed]."""
MOLAR_VOLUME_20 = 24.05
"""Volume of a mole of gas at 20 C [L] [computed]."""


def so2_lost(oxygen: float, ratio: float = SO2_PER_OXYGEN) -> float:
    """Free SO2 [mg/L] that oxygen [mg/L] will use up at a ratio [mg/mg]: oxygen * ratio.

    Valid: published ratios 2 to 4. Outside: OutOfRange outside 1 to 5. Pitfall: bound SO2 is released as free is used,
    so readings fall less. Source: danilewicz, pascal.

    >>> round(so2_lost(2.8), 1)
    11.2
    """
    return OXYGEN.check(oxygen) * RATIO.check(ratio)


def headspace_oxygen(air_ml: float, bottle_ml: float) -> float:
    """Oxygen [mg/L of wine] in an air headspace [mL] over a bottle [mL] at 20 C.

    Equation: air * 0.2095 * 31.998 / 24.05 / bottle. Valid: air at one atmosphere. Outside: CalcError for an empty
    bottle. Source: gas law.

    >>> round(headspace_oxygen(5.0, 750.0), 2)
    1.86
    """
    if bottle_ml <= 0.0:
        raise CalcError("bottle must be more than 0 mL: give the size of the bottle", "bottle")
    return air_ml * AIR_OXYGEN * OXYGEN_MOLAR_MASS / MOLAR_VOLUME_20 / bottle_ml * 1000.0


def free_after(free_so2: float, half_life: float, days: float) -> float:
    """Free SO2 [mg/L] after `days` [d] at a half-life [d].

    Equation: free * exp(-ln 2 * days / half-life). Valid: closed vessel, up to 180 days, nothing added or racked.
    Outside: OutOfRange over ten years. Pitfall: no rate is published; the half-life is the cellar's own guess or fit.
    Source: first-order decay.

    >>> round(free_after(30.0, 60.0, 30.0), 1)
    21.2
    """
    FREE_RANGE.check(free_so2)
    return free_so2 * math.exp(-math.log(2.0) * DAYS.check(days) / HALF_LIFE.check(half_life))


def days_until(free_so2: float, target: float, half_life: float) -> float:
    """Days until free SO2 [mg/L] falls to a target [mg/L] at a half-life [d].

    Equation: half-life * ln(free / target) / ln 2. Valid: as `free_after`. Outside: CalcError when free SO2 is already
    under the target. Source: first-order decay.

    >>> round(days_until(30.0, 20.0, 60.0), 1)
    35.1
    """
    FREE_RANGE.check(free_so2)
    HALF_LIFE.check(half_life)
    if target <= 0.0:
        raise CalcError("target must be more than 0 mg/L: give the free SO2 the wine must keep", "target")
    if free_so2 < target:
        raise CalcError("free_so2 is already under the target: add sulfite now instead of forecasting", "target")
    return half_life * math.log(free_so2 / target) / math.log(2.0)


def half_life_between(first: float, second: float, days: float) -> float:
    """Half-life [d] that two readings of free SO2 [mg/L], `days` [d] apart, show.

    Equation: days * ln 2 / ln(first / second). Valid: nothing added or racked between. Outside: CalcError when free
    SO2 did not fall. Pitfall: a strip errs by more than the fall. Source: first-order decay.

    >>> round(half_life_between(30.0, 15.0, 60.0), 1)
    60.0
    """
    if second <= 0.0 or first <= second:
        raise CalcError("free SO2 did not fall between the readings: they give no half-life", "second")
    return days * math.log(2.0) / math.log(first / second)
