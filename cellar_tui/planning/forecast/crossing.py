"""The risk of being under a target on a day to come, the day on which it is too great, and the band of the forecast.

Free SO2 to come is a mixture of normals: the rate is integrated by five nodes, each of which keeps a quarter of its
variance, so that the mixture is smooth. A closed form is faster and late where it matters, in the cautious tail.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from cellar_tui.planning.forecast.belief import DRIFT, YEAR, Belief

NODES = (
    (-2.856970013872806, 0.011257411327720689),
    (-1.355626179974266, 0.2220759220056126),
    (0.0, 0.5333333333333333),
    (1.355626179974266, 0.2220759220056126),
    (2.856970013872806, 0.011257411327720689),
)
"""Abscissas and weights of five-point Gauss-Hermite quadrature for a standard normal; computed."""

ON_NODES = 0.75
"""Share of the rate's variance that the nodes carry; the rest widens each of them."""

FARTHEST = 2048
"""No date is looked for beyond this [d]: long after it any wine has been read again or bottled."""

FINEST = 0.01
"""Fineness of a limit of the band [mg/L], far under what any method reads."""

TAIL = 0.05
"""Chance to lie below the band, and to lie above it: a band of 90 %."""


class Normal(NamedTuple):
    """One part of the mixture: its weight, mean and standard deviation [mg/L]."""

    weight: float
    mean: float
    spread: float


def to_come(belief: Belief, days: float) -> list[Normal]:
    """Return what free SO2 may be so many days later, as a mixture of normals."""
    width = belief.rr + DRIFT**2 * days / YEAR / 3
    along = belief.fr / width if width > 0 else 0.0
    fixed = max(belief.ff - along * belief.fr, 0.0)
    step, rest = math.sqrt(ON_NODES * width), (1 - ON_NODES) * width
    parts = []
    for at, weight in NODES:
        shift = at * step
        start = belief.free + along * shift
        spent = belief.loss * math.exp(shift) * days
        left = math.exp(-spent)
        slope = left * (along - start * spent)
        parts.append(Normal(weight, start * left, math.sqrt(fixed * left**2 + rest * slope**2)))
    return parts


def below(parts: list[Normal], value: float, noise: float = 0.0) -> float:
    """Return the chance to lie under a value [mg/L]; `noise` is the variance of a reading [(mg/L)2]."""
    chance = 0.0
    for weight, mean, spread in parts:
        width = math.sqrt(spread * spread + noise) if noise else spread
        if width > 0:
            chance += weight * 0.5 * math.erfc((mean - value) / (width * math.sqrt(2)))
        elif mean < value:
            chance += weight
    return chance


def chance_under(belief: Belief, days: float, value: float, method: str | None) -> float:
    """Return the chance that a reading so many days later shows less than `value` [mg/L]."""
    then = belief.aged(days)
    return below(to_come(belief, days), value - then.loose, then.blur(method) + then.pool**2 * then.ss)


def days_until(belief: Belief, target: float, chance: float) -> int:
    """Return the last whole day before the chance to be under a target [mg/L] reaches `chance`; 0 where it has."""
    low, high = 0, FARTHEST
    while high - low > 1:
        middle = (low + high) // 2
        if below(to_come(belief, middle), target) < chance:
            low = middle
        else:
            high = middle
    return low if high < FARTHEST else FARTHEST


def _value(parts: list[Normal], chance: float, most: float) -> float:
    """Return the value [mg/L] under which free SO2 lies with this chance."""
    low, high = 0.0, most
    while high - low > FINEST:
        middle = (low + high) / 2
        low, high = (low, middle) if below(parts, middle) >= chance else (middle, high)
    return (low + high) / 2


def band(belief: Belief, days: float) -> tuple[float, float, float]:
    """Return the low end, the middle and the high end of the 90 % band so many days later [mg/L]."""
    parts = to_come(belief, days)
    most = belief.free + 6 * math.sqrt(max(belief.ff, 0.0)) + 1
    low, middle, high = (_value(parts, chance, most) for chance in (TAIL, 0.5, 1 - TAIL))
    return low, middle, high
