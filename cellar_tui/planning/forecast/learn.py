"""The cellar's own daily losses by kind of vessel, learned from its wines; only ever done on command.

Empirical Bayes: what each wine's readings say of its rate, with what was believed before them taken out, is weighed
against the program's default. What is learned is kept as a house rule, so that a date moves only by an entry.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from cellar_tui.ledger.cellar import Cellar
from cellar_tui.ledger.house import SETTINGS, House
from cellar_tui.planning.forecast.calibration import tracks
from cellar_tui.planning.forecast.priors import MATERIALS, loss_rule, prior
from cellar_tui.planning.forecast.track import Track

DEFAULT_WINES = 3
"""The program's default counts as so many wines; assumed, simulated."""

LEAST_SHARE = 0.02
"""A wine whose readings tell less than this of its rate says nothing yet (0 to 1); assumed."""


@dataclass(frozen=True, slots=True)
class Learned:
    """A house rule of daily loss as its wines would have it: the rule, its value before and after, how many wines."""

    rule: str
    before: float
    after: float
    wines: int

    @property
    def moves(self) -> bool:
        """It differs from the house rule in force."""
        return self.before != self.after


def _evidence(found: Track, house: House) -> tuple[float, float] | None:
    """Return what a wine's own readings say of ln(rate), with its variance; None where they say nothing."""
    belief = found.belief
    if belief.own < LEAST_SHARE:
        return None
    before = prior(house, found.material)
    precision = 1 / belief.rr - 1 / belief.prior
    return (belief.rate / belief.rr - before.rate / belief.prior) / precision, 1 / precision


def learned(cellar: Cellar) -> Iterator[Learned]:
    """Yield the daily loss of each kind of vessel that some wine has shown, by material."""
    house = cellar.house
    told: dict[str, list[tuple[float, float]]] = {}
    for found in tracks(cellar):
        evidence = _evidence(found, house)
        if evidence is not None and found.material in MATERIALS:
            told.setdefault(found.material, []).append(evidence)
    between = math.log(house.number("loss_spread")) ** 2
    for material in MATERIALS:
        if material in told:
            rule = loss_rule(material)
            yield Learned(rule, house.number(rule), _median(rule, told[material], between), len(told[material]))


def _median(rule: str, told: list[tuple[float, float]], between: float) -> float:
    """Return the loss that half of the wines would exceed, to three figures and within the house rule's range."""
    setting = SETTINGS[rule]
    weight = DEFAULT_WINES / between
    total = weight * math.log(float(setting.default))
    for rate, variance in told:
        weight += 1 / (between + variance)
        total += rate / (between + variance)
    loss = min(max(math.exp(total / weight), setting.low), setting.high)
    return float(f"{loss:.3g}")
