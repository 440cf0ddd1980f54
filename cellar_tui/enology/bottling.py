"""From litres to bottles."""

from __future__ import annotations

import math

from cellar_tui.enology.errors import VOLUME, Range

BOTTLE = Range("bottle", 20.0, 30_000.0, "mL", "give the size of one bottle in millilitres, usually 750 or 375")
"""From a miniature to the largest named bottle [common practice]."""
LOSS = Range("loss", 0.0, 50.0, "%", "give the share left in filter and hoses, usually 2 to 3")
"""More than half lost is a misprint [common practice]."""
SLACK = 1e-9
"""Keeps 22.5 L in thirty bottles of 0.75 L from counting as 29 by rounding [computed]."""


def bottle_count(volume: float, bottle_ml: float, loss_percent: float = 0.0) -> int:
    """Whole bottles that a volume [L] fills, at a bottle size [mL] and a loss [% of the volume].

    Equation: floor(volume * (1 - loss) / bottle). Valid: bottles filled to their mark; fill tolerance is 2 % at 750 mL.
    Outside: OutOfRange. Source: arithmetic.

    >>> bottle_count(225.0, 750.0, 3.0)
    291
    """
    VOLUME.check(volume)
    kept = volume * (1.0 - LOSS.check(loss_percent) / 100.0)
    return math.floor(kept * 1000.0 / BOTTLE.check(bottle_ml) + SLACK)
