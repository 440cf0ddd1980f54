"""Potassium bitartrate: how much stays dissolved, and the three tests that say whether a wine will drop more."""

from __future__ import annotations

import math

from cellar_tui.enology.errors import PH, Range

SOLUBILITY_FIT = (14.1139, 3648.6, 0.05443)
"""ln S = a - b / T - c * alcohol, fitted to the 25 published cells [computed from berg1958, table from memory]."""
KELVIN = 273.15
"""Nought Celsius [K] [exact]."""
SOLUBILITY_TEMPERATURE = Range(
    "temperature", -10.0, 25.0, "C", "the table goes from 0 to 20 C; chill tests stop at -4 C"
)
"""The table with a short way beyond it [from memory: berg1958]."""
SOLUBILITY_ALCOHOL = Range("alcohol", 0.0, 20.0, "% vol", "the table goes to 20 % vol; test a chilled sample instead")
"""The table [from memory: berg1958]."""
TABLE_TEMPERATURE = (0.0, 20.0)
"""Temperatures the published table covers [C] [from memory: berg1958]."""

PKA_TARTARIC = (3.04, 4.37)
"""Dissociation constants of tartaric acid in water [computed: general chemistry]."""
BITARTRATE = 188.18
"""Molar mass of potassium bitartrate [g/mol] [computed]."""
TARTARIC = 150.087
"""Molar mass of tartaric acid [g/mol] [computed]."""
POTASSIUM = 39.0983
"""Molar mass of potassium [g/mol] [computed]."""
PRODUCT_LIMIT = {"white": 16.5, "rose": 16.5, "fruit": 16.5, "red": 30.0}
"""Concentration product x1e5 over which a dry wine is unstable [from memory: desoto1963]; rose and fruit as white."""
SATURATION_WHITE = (20.0, 29.30)
"""White: Tsat = 20 - drop / 29.30 [seen: wurdig1982]."""
SATURATION_RED = (29.90, 58.30)
"""Red and rose: Tsat = 29.90 - drop / 58.30 [seen: wurdig1982]."""
SATURATION_LIMIT = 8.0
"""Highest saturation temperature of a wine of 12.5 % vol stable at -4 C [C] [seen: handbook2]."""
SATURATION_MARGIN = 12.0
"""Degrees between saturation temperature and critical temperature at 12.5 % vol [K] [computed from handbook2]."""
CONDUCTIVITY_LIMIT = 5.0
"""Fall of conductivity in the mini-contact test at which a wine counts as unstable [%] [seen: handbook2]."""
CONDUCTIVITY_STRICT = 3.0
"""The strict form of that limit [%] [seen: hornsey2007]."""
CONDUCTIVITY_DROP = Range("conductivity_drop", 0.0, 100.0, "%", "give the fall in per cent of the first reading")
"""A share [exact]."""
SATURATION_DROP = Range("saturation_drop", -500.0, 1700.0, "uS/cm", "give the rise of conductivity with seed, uS/cm")
"""So far the equations stay above freezing [computed]."""
POTASSIUM_RANGE = Range("potassium", 0.0, 5000.0, "mg/L", "give potassium in milligrams a litre, usually 400 to 2000")
"""Usual wine and a margin [common practice]."""
TARTARIC_RANGE = Range("tartaric", 0.0, 15.0, "g/L", "give tartaric acid in grams a litre, usually 1 to 4")
"""Usual wine and a margin [common practice]."""


def solubility(temperature: float, alcohol: float) -> float:
    """Potassium bitartrate [g/L] that stays dissolved in ethanol and water at a temperature [C] and alcohol [% vol].

    Equation: exp(14.1139 - 3648.6 / T[K] - 0.05443 alcohol). Valid: 0 to 20 C, 0 to 20 % vol within 7.2 % of the
    table, whose cell at 5 C and 12 % breaks its own pattern. Outside: carried on to -10 and 25 C, then OutOfRange.
    Pitfall: real wine holds more, by colloids: a trend, never a proof. Source: berg1958.

    >>> round(solubility(0.0, 12.0), 2)
    1.11
    """
    SOLUBILITY_TEMPERATURE.check(temperature)
    SOLUBILITY_ALCOHOL.check(alcohol)
    constant, heat, ethanol = SOLUBILITY_FIT
    return math.exp(constant - heat / (temperature + KELVIN) - ethanol * alcohol)


def bitartrate_share(ph: float) -> float:
    """Share [-] of tartaric acid that is bitartrate ion at a pH.

    Equation: 1 / (1 + 10^(pKa1 - pH) + 10^(pH - pKa2)), pKa 3.04 and 4.37. Valid: water; ethanol moves both up, and
    the maximum from pH 3.7 to about 3.65 or higher. Outside: OutOfRange outside pH 2.2 to 4.8. Source: computed.

    >>> round(bitartrate_share(3.4), 3)
    0.648
    """
    PH.check(ph)
    first, second = PKA_TARTARIC
    return float(1.0 / (1.0 + 10.0 ** (first - ph) + 10.0 ** (ph - second)))


def concentration_product(potassium: float, tartaric: float, share: float) -> float:
    """Concentration product [mol2/L2 x1e5] of potassium [mg/L], tartaric acid [g/L] and bitartrate share [-].

    Equation: potassium / 39098.3 * tartaric / 150.087 * share * 1e5. Valid: dry wine. Outside: OutOfRange; colloids
    hold crystals back, and a white near 13 was found unstable by it and stable by conductivity. Source: desoto1963.

    >>> round(concentration_product(1000.0, 2.0, 0.66), 1)
    22.5
    """
    POTASSIUM_RANGE.check(potassium)
    TARTARIC_RANGE.check(tartaric)
    return potassium / 1000.0 / POTASSIUM * tartaric / TARTARIC * share * 1e5


def saturation_temperature(drop: float, red: bool) -> float:
    """Saturation temperature [C] from a conductivity difference [uS/cm]; `red` for red and rose.

    Equation: white 20 - drop / 29.30 measured at 20 C; red and rose 29.90 - drop / 58.30 measured at 30 C.
    Valid: about 11 to 13 % vol. Outside: OutOfRange. Pitfall: the difference is that after seeding at the stated
    temperature. Source: wurdig1982.

    >>> round(saturation_temperature(234.4, red=False), 1)
    12.0
    """
    base, slope = SATURATION_RED if red else SATURATION_WHITE
    return base - SATURATION_DROP.check(drop) / slope


def critical_temperature(saturation: float) -> float:
    """Temperature [C] down to which a wine of a saturation temperature [C] is stable: 12 degrees lower.

    Valid: 12.5 % vol; at 11 % the gap is nearer 15. Source: handbook2 (equation inferred).

    >>> critical_temperature(8.0)
    -4.0
    """
    return saturation - SATURATION_MARGIN


def lost_with_crystals(bitartrate: float) -> tuple[float, float, float]:
    """What dropped bitartrate [g/L] takes along: TA [g/L tartaric], tartaric acid [g/L], potassium [mg/L].

    Equation: half an equivalent of acid is left in each bitartrate. Valid: any amount. Source: stoichiometry.

    >>> [round(value, 3) for value in lost_with_crystals(1.0)]
    [0.399, 0.798, 207.771]
    """
    moles = bitartrate / BITARTRATE
    return moles * TARTARIC / 2.0, moles * TARTARIC, moles * POTASSIUM * 1000.0
