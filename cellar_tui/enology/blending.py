"""What a blend of lots comes to, and how much of two lots makes what is wanted."""

from __future__ import annotations

from collections.abc import Sequence

from cellar_tui.enology.errors import VOLUME, CalcError, OutOfRange, Range

BUFFER = Range("buffer", 5.0, 150.0, "meq/L a pH", "whole wines hold 30 to 60; leave it out where it is not known")
"""Buffer capacities of wine and sharp must [seen: dartiguenave2000; whole wines from memory]."""
PH_DOUBT = 0.05
"""How far the pH of a blend may lie from the weighted mean, before crystals or malolactic follow [-] [computed]."""
PART = Range("volumes", 0.0, 1_000_000.0, "L", "give the litres that each lot gives to the blend")
"""A lot that gives nothing may stand in the list [common practice]."""


def square(volume: float, value1: float, value2: float, wanted: float) -> tuple[float, float]:
    """Litres of two lots that make `volume` [L] of the value wanted, the values in any one unit.

    Equation: V1 / V = (v2 - wanted) / (v2 - v1). Valid: what mixes by volume; Brix mixes by mass, spirit contracts.
    Outside: OutOfRange where `wanted` is not between the two, CalcError where the two are the same. Source: arithmetic.

    >>> square(100.0, 11.0, 14.0, 12.5)
    (50.0, 50.0)
    """
    VOLUME.check(volume)
    if value1 == value2:
        raise CalcError("value2 is the same as value1: no blend of the two changes it", "value2")
    low, high = sorted((value1, value2))
    if not low <= wanted <= high:
        raise OutOfRange(f"wanted {wanted:g} is outside {low:g} to {high:g}: take a lot that lies beyond it", "wanted")
    first = volume * (value2 - wanted) / (value2 - value1)
    return first, volume - first


def mean(values: Sequence[float], weights: Sequence[float]) -> float:
    """Mean of values by weights, in their unit: alcohol, TA, sugar, VA, total SO2 by litres.

    Valid: what mixes by volume; contraction between wines is 0.004 %. Outside: CalcError without any weight.
    Source: arithmetic.

    >>> round(mean((12.0, 13.5, 14.2), (100.0, 60.0, 40.0)), 2)
    12.89
    """
    total = sum(weights)
    if total <= 0.0:
        raise CalcError("volumes are all nothing: give the litres of each lot", "volumes")
    return sum(value * weight for value, weight in zip(values, weights, strict=True)) / total


def blended_ph(values: Sequence[float], volumes: Sequence[float], buffers: Sequence[float] | None = None) -> float:
    """pH of a blend: the mean of the pH values by litres, or by litres and buffer capacity [meq/L a pH].

    Valid: within 0.05 of a full balance of charges, 0.1 when crystals or malolactic follow. Outside: as `mean`.
    Pitfall: the mean of hydrogen ions, often taught, is 0.07 low in buffered wine. Source: computed.

    >>> round(blended_ph((3.15, 3.80), (50.0, 50.0)), 3)
    3.475
    >>> round(blended_ph((3.15, 3.80), (50.0, 50.0), (28.5, 25.9)), 2)
    3.46
    """
    if buffers is None:
        return mean(values, volumes)
    weights = [volume * BUFFER.check(buffer) for volume, buffer in zip(volumes, buffers, strict=True)]
    return mean(values, weights)
