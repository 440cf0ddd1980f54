"""Wines whose free SO2 is known to the milligram: grown from a seed, hidden from every policy tried on them.

Nothing here is shared with the program: laws of loss, binding, rackings and the errors of methods are written anew, and
the hostile ones break what the program assumes. Figures are assumptions of common practice, not measurements.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

MONTH = 30.4
MEAN_WARMTH = 15.0
"""Mean temperature of a cellar over the year [C]."""

KEPT_A_MONTH = {"steel": 0.927, "glass": 0.886, "oak": 0.784, "plastic": 0.738}
"""Share of its free SO2 that the median wine keeps over a month, by vessel: about 2, 3.5, 6.5 and 8 mg/L of 30."""

ERRORS = {"aspiration": (1.2, 0.04, 0.0), "titration": (2.5, 0.06, 0.0), "strip": (4.0, 0.15, 5.0)}
"""Error of a reading: fixed [mg/L], share of the value, step of the scale [mg/L]."""


@dataclass(frozen=True)
class World:
    """What is true of every wine of a trial.

    Attributes:
        name: as printed.
        method: how free SO2 is read.
        faster: wines lose this many times as fast as their vessel's median.
        constant: a loss of so many mg/L a day, whatever is left, instead of a share of it.
        season: warmth swings by this many kelvin over the year; the loss doubles with ten.
        unwritten: rackings a year that nobody writes down.
        blunders: share of readings that are grossly wrong.
        thermometer: the wine's temperature is read with its free SO2.
    """

    name: str
    method: str = "aspiration"
    faster: float = 1.0
    constant: bool = False
    season: float = 0.0
    unwritten: float = 0.0
    blunders: float = 0.0
    thermometer: bool = False


MODELLED = World("as modelled, aspiration")
WORLDS = (
    MODELLED,
    World("as modelled, titration", "titration"),
    World("as modelled, strip", "strip"),
    World("seasons of 5 K", season=5.0),
    World("a constant loss a day", constant=True),
    World("loses 1.6 times as fast", faster=1.6),
    World("loses 0.6 times as fast", faster=0.6),
    World("an unwritten racking a year", unwritten=1.0),
    World("3 % gross blunders", blunders=0.03),
)
THERMOMETER = World("seasons of 5 K, with a thermometer", season=5.0, thermometer=True)
HOSTILE = World("all of it at once", "titration", 1.6, True, 5.0, 1.0, 0.03)


class Wine:
    """One wine with its hidden truth; days are counted from its first reading."""

    def __init__(self, world: World, seed: int) -> None:
        self.world = world
        self.dice = random.Random(f"{world.name}/{seed}")
        dice = self.dice
        self.material = dice.choice(sorted(KEPT_A_MONTH))
        self.target = dice.uniform(18.0, 32.0)
        self.free = self.target + max(2.0, dice.gauss(12.0, 3.0))
        self.loose = 0.0
        self.day = 0
        self.stays = min(max(dice.gauss(0.62, 0.12), 0.15), 0.95)
        self.binds = 1.5 * math.exp(dice.gauss(0.0, 0.25))
        median = -math.log(KEPT_A_MONTH[self.material]) / MONTH
        self.loss = median * world.faster * math.exp(dice.gauss(0.0, math.log(1.5)))
        self.constant = self.loss * (self.target + 6.0)
        self.wander = 0.15 / math.sqrt(365)
        self.phase = dice.uniform(0.0, 365.0)
        self.rackings = sorted(dice.sample(range(20, 360), dice.choice((0, 1, 1, 2))))
        self.hidden = {dice.randrange(10, 365) for _ in range(round(world.unwritten))}

    @property
    def true(self) -> float:
        """Free SO2 as a perfect reading would show it [mg/L]."""
        return self.free + self.loose

    @property
    def warmth(self) -> float:
        """Temperature of the wine [C]."""
        return MEAN_WARMTH + self.world.season * math.sin(2 * math.pi * (self.day + self.phase) / 365)

    def sleep(self, *, still: bool = False) -> bool:
        """Let one day pass; return whether it was racked, as written down. A `still` wine is left alone."""
        pace = 2 ** ((self.warmth - MEAN_WARMTH) / 10)
        self.loss *= math.exp(self.dice.gauss(0.0, self.wander))
        lost = self.constant * pace if self.world.constant else self.free * (1 - math.exp(-self.loss * pace))
        self.free = max(0.0, self.free - lost)
        self.loose *= math.exp(-1 / self.binds)
        self.day += 1
        racked = self.day in self.rackings and not still
        if racked or (self.day in self.hidden and not still):
            part = min(max(self.dice.gauss(0.88, 0.06), 0.6), 1.0)
            self.free, self.loose = self.free * part, self.loose * part
        return racked

    def read(self) -> float:
        """Return a reading [mg/L]."""
        fixed, share, step = ERRORS[self.world.method]
        value = self.true + self.dice.gauss(0.0, fixed + share * self.true)
        if self.dice.random() < self.world.blunders:
            value += self.dice.choice((-1, 1)) * self.dice.uniform(10.0, 25.0)
        if step:
            value = step * round(value / step)
        return max(0.0, round(value, 1))

    def sulfite(self, total: float) -> None:
        """Add sulfite weighed out for a rise of total SO2 [mg/L]."""
        weighed = total * self.dice.gauss(1.0, 0.03)
        self.free += self.stays * weighed
        self.loose += (1 - self.stays) * weighed

    def left_alone(self, most: int = 3000) -> int:
        """Return how many days from now it slips under its target when nobody touches it."""
        for days in range(most):
            if self.true < self.target:
                return days
            self.sleep(still=True)
        return most
