"""Sugar and water into a must, and where the law ends."""

from __future__ import annotations

from cellar_tui.enology.errors import ALCOHOL, VOLUME, CalcError, Range
from cellar_tui.enology.gravity import BRIX, sg_from_brix
from cellar_tui.enology.sweetening import INVERSION, LITRES_PER_GRAM
from cellar_tui.enology.water import WATER_20

FACTOR = Range("factor", 15.0, 19.0, "g/L", "16.83 for glucose and fructose, 17 for white and 18 for red must")
"""Sugar counted for one % vol in published practice [seen: frenchdictionary; from memory: eu-factor]."""
AMELIORATION_US = 35.0
"""Most sugar and water in ameliorated juice, US [% of its volume] [seen: usc5383]."""
AMELIORATION_ACID_US = 5.0
"""Fixed acid under which water must not bring it, US [g/L] [seen: usc5383]."""
TA = Range("ta", 1.0, 30.0, "g/L", "give titratable acidity in grams of tartaric acid a litre of must")
"""From flat to the sharpest fruit must [common practice]."""


def sugar_for_alcohol(volume: float, alcohol: float, wanted: float, factor: float) -> float:
    """Sugar [g] that lifts the potential alcohol [% vol] of `volume` [L] of must, its own growth counted.

    Equation: V (A1 - A0) / (1 / f - 0.00062 A1). Valid: sugar added early, to be fermented out. Outside: CalcError
    where `wanted` is under `alcohol`, OutOfRange for the factor. Pitfall: without the growth of volume it ends 13 to
    16 % short of the sugar needed. Source: computed; growth by cfr24-304.

    >>> round(sugar_for_alcohol(100.0, 11.0, 13.0, 17.0))
    3940
    """
    VOLUME.check(volume)
    ALCOHOL.check(alcohol)
    ALCOHOL.check(wanted, "wanted")
    if wanted < alcohol:
        raise CalcError("wanted is under the alcohol the must can give: sugar cannot lower it", "wanted")
    return volume * (wanted - alcohol) / (1.0 / FACTOR.check(factor) - LITRES_PER_GRAM * wanted)


def alcohol_after_sugar(volume: float, alcohol: float, sugar_g: float, factor: float) -> float:
    """Potential alcohol [% vol] of a must once `sugar_g` [g] is dissolved in it: the inverse of `sugar_for_alcohol`.

    >>> round(alcohol_after_sugar(100.0, 11.0, 3400.0, 17.0), 2)
    12.73
    """
    return (volume * alcohol + sugar_g / FACTOR.check(factor)) / (volume + LITRES_PER_GRAM * sugar_g)


def sugar_for_brix(volume: float, brix: float, wanted: float) -> float:
    """Sucrose [g] that lifts `volume` [L] of must from a Brix to another.

    Equation: mass of must * (B1 - B0) / (100 - B1), mass = volume * SG * 0.998203. Valid: 0 to 40 Brix. Outside:
    OutOfRange; CalcError where `wanted` is under `brix`. Source: computed (mass balance).

    >>> round(sugar_for_brix(100.0, 18.0, 22.0))
    5499
    """
    VOLUME.check(volume)
    if BRIX.check(wanted, "wanted_brix") < brix:
        raise CalcError("wanted_brix is under the Brix of the must: sugar cannot lower it", "wanted_brix")
    return 1000.0 * volume * sg_from_brix(brix) * WATER_20 * (wanted - brix) / (100.0 - wanted)


def as_sucrose(sugar_g_l: float) -> float:
    """Sucrose [g/L] that inverts to a sugar [g/L] of glucose and fructose: sugar / 1.0526. Source: stoichiometry.

    >>> round(as_sucrose(16.83), 2)
    15.99
    """
    return sugar_g_l / INVERSION


def water_for_ta(volume: float, ta: float, wanted: float) -> float:
    """Water [L] that thins `volume` [L] of must from a TA [g/L] to the one wanted.

    Equation: volume * (ta / wanted - 1). Valid: must; sugar and flavour fall alike. Outside: OutOfRange; CalcError
    where `wanted` is over `ta`. Source: arithmetic.

    >>> water_for_ta(100.0, 12.0, 8.0)
    50.0
    """
    VOLUME.check(volume)
    if TA.check(wanted, "wanted") > TA.check(ta):
        raise CalcError("wanted is over the TA of the must: water cannot raise it, see acid_addition", "wanted")
    return volume * (ta / wanted - 1.0)


def most_amelioration(volume: float) -> float:
    """Most sugar and water [L] that may go into `volume` [L] of juice, US: 35 % of the whole. Source: usc5383.

    >>> round(most_amelioration(100.0), 2)
    53.85
    """
    share = AMELIORATION_US / 100.0
    return VOLUME.check(volume) * share / (1.0 - share)
