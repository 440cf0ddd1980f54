"""Amounts as a hand can measure them."""

from __future__ import annotations

import math

LEAST_DRAW = 0.05
"""Least that is drawn off a vessel [L]; common practice: a measuring jug shows 50 mL."""

FITS = 1.0005
"""A vessel takes this times its capacity: half a per mille is within any reading of it."""


def _step(litres: float) -> float:
    """Return the step in which so much is measured [L]; common practice: a jug, a bucket, a marked vessel."""
    return LEAST_DRAW if litres < 1 else 0.1 if litres < 20 else 1.0


def draw_off(volume: float, after: float, capacity: float | None) -> float:
    """Return the wine [L] to draw off first where `volume` [L] would become `after` [L]; 0 where that fits.

    Rounded up to what can be measured, so that the rest surely fits.
    """
    if capacity is None or after <= capacity * FITS or after <= 0:
        return 0.0
    over = volume * (1 - capacity / after)
    step = _step(over)
    # Rounded first, so that no float noise asks for another step.
    return min(volume, step * math.ceil(round(over / step, 6)))


def litres(amount: float) -> str:
    """Write a volume as it is measured.

    >>> litres(0.25), litres(3.417)
    ('0.25 L', '3.4 L')
    """
    step = _step(amount)
    return f"{max(LEAST_DRAW, step * round(amount / step)):.4g} L"
