"""Specific gravity, Brix and sugar, and what a hydrometer reads in a warm or cold sample. SG is 20/20."""

from __future__ import annotations

from cellar_tui.enology.errors import ALCOHOL, Range
from cellar_tui.enology.ethanol import TEMPERATURE as TEMPERATURE_OF_SPIRIT
from cellar_tui.enology.ethanol import density_at, mass_fraction
from cellar_tui.enology.sweetening import LITRES_PER_GRAM
from cellar_tui.enology.water import TEMPERATURE, WATER_20, water_density

BRIX_CUBIC = (-669.56218, 1262.7794, -775.68212, 182.46007)
"""Brix in powers of SG 20/20 [seen: brixarticle; fitted to the NBS table]."""
SG_RATIONAL = (258.6, 227.1, 258.2)
"""SG from Brix: 1 + Bx / (a - b * Bx / c) [from memory: common practice]."""
GLASS = 25e-6
"""Volume expansion of hydrometer glass [1/K] [computed: soda-lime glass]."""
CALIBRATION = 20.0
"""Temperature at which most hydrometers read true [C] [common practice]."""
SUGAR_SG = Range(
    "sg", 1.000, 1.179, "", "below 1.000 there is no Brix: alcohol is in it; measure residual sugar instead"
)
"""Range of the Brix cubic [seen: brixarticle]."""
BRIX = Range("brix", 0.0, 40.0, "Brix", "dilute the sample by half with water and double the reading")
"""Range in which the rational form was compared with the cubic [computed]."""
ANY_SG = Range("sg", 0.97, 1.2, "", "no must or wine is like that: check the hydrometer in water at 20 C")
"""From the driest strong wine to the richest must [common practice]."""
ADDED = Range("g_l", 0.0, 500.0, "g/L", "give the sugar to come in grams per litre of the result")
"""As sweetening goes [common practice]."""
TRUSTED_TEMPERATURE = (5.0, 35.0)
"""Sample temperatures at which the correction is good to 0.0002 in water and thin must [C] [computed]."""
SAMPLE = Range("sample_temperature", -10.0, 45.0, "C", "bring the sample to 15 to 25 C and measure again")
"""Samples as they occur in a cellar, out of a cold hold too [common practice]."""
MUST_EXPANSION = 0.016
"""How much more than water a must expands, for each Brix [-] [computed from nbs440: about a third at 20 Brix]."""


def plato(sg: float) -> float:
    """Extract [% by mass] of an SG 20/20, carried on below 1.000 as an apparent, negative extract.

    Equation: 182.46007 SG^3 - 775.68212 SG^2 + 1262.7794 SG - 669.56218. Valid: 1.000 to 1.179; below it only
    as the apparent extract of the Balling formula; refused outside 0.97 to 1.2 (OutOfRange). Source: brixarticle.

    >>> round(plato(1.08297), 2)
    20.0
    """
    ANY_SG.check(sg)
    total = 0.0
    for coefficient in reversed(BRIX_CUBIC):
        total = total * sg + coefficient
    return total


def brix_from_sg(sg: float) -> float:
    """Brix [g sucrose in 100 g] of an SG 20/20, never below nought.

    Equation: as `plato`. Valid: 1.000 to 1.179, within 0.011 of the textbook table. Outside: OutOfRange.
    Pitfall: once alcohol is in it, neither a hydrometer's nor a refractometer's Brix is sugar. Source: brixarticle.

    >>> round(brix_from_sg(1.10101), 1)
    24.0
    """
    return max(0.0, plato(SUGAR_SG.check(sg)))


def sg_from_brix(brix: float) -> float:
    """SG 20/20 of a Brix [g sucrose in 100 g].

    Equation: 1 + Bx / (258.6 - 227.1 Bx / 258.2). Valid: 0 to 24 within 0.00005, to 40 within 0.0003. Outside:
    OutOfRange. Source: common practice (from memory), compared with springer-app1.

    >>> round(sg_from_brix(20.0), 5)
    1.08298
    """
    first, second, third = SG_RATIONAL
    return 1.0 + BRIX.check(brix) / (first - second * brix / third)


def sugar_from_brix(brix: float) -> float:
    """Sucrose [g/L] in a pure solution of a Brix: Brix * 10 * SG * 0.998203. Valid, source: as `sg_from_brix`.

    >>> round(sugar_from_brix(20.0), 1)
    216.2
    """
    return brix * 10.0 * sg_from_brix(brix) * WATER_20


def sugar_from_sg(sg: float) -> float:
    """Sucrose [g/L] in a pure solution of an SG 20/20: Brix * 10 * SG * 0.998203.

    Valid: 1.000 to 1.179, else OutOfRange. Pitfall: must holds 15 to 25 g/L of other solids. Source: brixarticle.

    >>> round(sugar_from_sg(1.08297), 1)
    216.2
    """
    return brix_from_sg(sg) * 10.0 * sg * WATER_20


def corrected_sg(sg: float, sample_temperature: float, calibration_temperature: float = CALIBRATION) -> float:
    """SG that a hydrometer true at `calibration_temperature` [C] would read there, from a reading at another [C].

    Equation: SG * water(cal) / water(T) * (1 - 25e-6 (T - cal)). Valid: water and thin must, 5 to 35 C within 0.0002.
    Outside: refused below 0 and over 45 C (OutOfRange); a rich must expands more (`must_sg`), and so does wine
    (`wine_sg`: 0.0009 more at 5 C and 12 % vol). The correction is negative in a cold sample. Source: kell1975,
    computed; compared with hydrotable.

    >>> round(corrected_sg(1.000, 30.0), 5)
    1.00232
    """
    ANY_SG.check(sg)
    warm = water_density(TEMPERATURE.check(sample_temperature))
    true = water_density(TEMPERATURE.check(calibration_temperature, "calibration_temperature"))
    return sg * true / warm * (1.0 - GLASS * (sample_temperature - calibration_temperature))


def must_sg(sg: float, sample_temperature: float, calibration_temperature: float = CALIBRATION) -> float:
    """SG of a must as `corrected_sg`, the correction enlarged by 1.6 % for each Brix.

    Valid: 0 to 25 Brix, 10 to 30 C within 0.0003. Outside: as `corrected_sg`. Source: nbs440 (from memory), computed.

    >>> round(must_sg(1.083, 15.0), 4)
    1.0819
    """
    plain = corrected_sg(sg, sample_temperature, calibration_temperature)
    return sg + (plain - sg) * (1.0 + MUST_EXPANSION * brix_from_sg(max(SUGAR_SG.low, sg)))


def wine_sg(
    sg: float, alcohol: float, sample_temperature: float, calibration_temperature: float = CALIBRATION
) -> float:
    """SG that a hydrometer in a wine of an alcohol [% vol] would read at its own temperature [C].

    Equation: SG + (rho(A, cal) - rho(A, T) (1 + 25e-6 (T - cal))) / rho(0, cal), rho the density of ethanol and water.
    Valid: dry to medium wine, -10 to 40 C while liquid, within 0.0003. Outside: OutOfRange. Source: oiml-r22, computed.

    >>> round(wine_sg(0.98636, 12.0, 5.0), 5)
    0.98413
    """
    ANY_SG.check(sg)
    share = mass_fraction(ALCOHOL.check(alcohol))
    sample = TEMPERATURE_OF_SPIRIT.check(sample_temperature, "sample_temperature")
    here = density_at(share, sample) * (1.0 + GLASS * (sample_temperature - calibration_temperature))
    return sg + (density_at(share, calibration_temperature) - here) / density_at(0.0, calibration_temperature)


def sg_after_sugar(sg: float, g_l: float) -> float:
    """SG of a wine once sugar stands in it at a further `g_l` [g/L of the result].

    Equation: SG (1 - 0.00062 g) + g / 998.203. Valid: 0 to 200 g/L within 0.0005; refused over 500 (OutOfRange).
    Source: computed (mass and volume added up).

    >>> round(sg_after_sugar(0.992, 2.0), 4)
    0.9928
    """
    ANY_SG.check(sg)
    ADDED.check(g_l)
    return sg * (1.0 - LITRES_PER_GRAM * g_l) + g_l / (1000.0 * WATER_20)


def solution_weight(litres: float, dissolved_g: float) -> float:
    """Weight of a solution of `litres` [L] with `dissolved_g` [g] of sugar in it, as gravity times volume [SG x L].

    Equation: (L - 0.00062 g) + g / 998.203. Valid: to 70 Brix within 0.5 %; dry sugar by the volume it takes up.
    Source: computed (mass and volume added up).

    >>> round(solution_weight(1.0, 216.2), 3)
    1.083
    """
    return litres - LITRES_PER_GRAM * dissolved_g + dissolved_g / (1000.0 * WATER_20)
