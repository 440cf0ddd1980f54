"""A second route to the forecast: wines drawn one by one, each weighed by how well it explains the readings."""

from __future__ import annotations

import math
import random

from cellar_tui.planning.forecast.belief import DRIFT, YEAR, Prior, noise

STEP = 3
"""Days between the points of a drawn wine [d]."""


def risk_day(prior: Prior, readings: list[tuple[int, float]], target: float, chance: float, wines: int = 6000) -> int:
    """Return the day after the last reading on which so many drawn wines lie under the target.

    `readings` are days, multiples of 3, with values [mg/L] by aspiration; the first is on day 0.
    """
    dice = random.Random(7)
    last, pull = readings[-1][0], DRIFT * math.sqrt(STEP / YEAR)
    later = dict(readings[1:])
    drawn: list[tuple[float, float, float]] = []
    for _ in range(wines):
        free = dice.gauss(readings[0][1], math.sqrt(noise("aspiration", readings[0][1])))
        rate, weight, day = dice.gauss(prior.rate, math.sqrt(prior.variance)), 1.0, 0
        while day < last:
            free, rate, day = free * math.exp(-math.exp(rate) * STEP), rate + dice.gauss(0.0, pull), day + STEP
            if day in later:
                weight *= math.exp(-((later[day] - free) ** 2) / (2 * noise("aspiration", free)))
        drawn.append((free, rate, weight))
    whole = sum(weight for _, _, weight in drawn)
    day = 0
    while sum(weight for free, _, weight in drawn if free < target) < chance * whole:
        day += STEP
        drawn = [
            (free * math.exp(-math.exp(rate) * STEP), rate + dice.gauss(0.0, pull), weight)
            for free, rate, weight in drawn
        ]
    return day
