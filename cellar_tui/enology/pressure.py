"""Pressure in a bottle whose sugar ferments, unwanted or wanted: why still bottles must be stable."""

from __future__ import annotations

from cellar_tui.enology.errors import Range
from cellar_tui.enology.tables import linear

CO2_PER_SUGAR = 0.4886
"""Carbon dioxide from a gram of hexose [g] [computed: 2 * 44.0095 / 180.156]; practice 0.46 to 0.48 [from memory]."""
SOLUBILITY = 1.951e-5
"""Carbon dioxide dissolved for each pascal [g/L/Pa] in the EU equation at 20 C [seen: eec2676]."""
SOLUBILITY_ALCOHOL = (0.86, 0.01)
"""How alcohol [% vol] lowers it: 0.86 - 0.01 A [seen: eec2676]."""
SOLUBILITY_SUGAR = 0.00144
"""How sugar [g/L] lowers it: 1 - 0.00144 S [seen: eec2676]."""
CO2_PER_SUCROSE = 0.5143
"""Carbon dioxide from a gram of cane or beet sugar [g] [computed: 4 * 44.0095 / 342.30]."""
SUGARS = {"grape": CO2_PER_SUGAR, "cane": CO2_PER_SUCROSE}
"""Carbon dioxide from a gram of sugar [g] by what it is: grape sugar as measured in wine, cane sugar as weighed."""
TEMPERATURES = (0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0)
"""Temperatures of the next table [C] [computed: iapws]."""
AGAINST_20 = (0.525, 0.628, 0.741, 0.866, 1.0, 1.143, 1.295, 1.453)
"""Absolute pressure against that at 20 C, the same carbon dioxide dissolved [-] [computed: iapws]."""
WARM = 30.0
"""Temperature of a room or car in summer, at which a bottle must still hold [C] [common practice]."""
BEER_GLASS = 2.8
"""Working pressure named for beer bottles [bar], tested to four times that [from memory: glasspages]."""
STILL_GLASS = 2.5
"""Pressure over which only glass made for sparkling wine will do [bar] [common practice]."""
FIRST_CO2 = 0.5
"""Carbon dioxide of a base wine before priming [g/L] [common practice]."""
WANTED = Range("pressure", 0.0, 7.0, "bar", "sparkling wine holds 3 to 6 bar; no glass of a small cellar holds more")
"""Pressures that glass for sparkling wine is made for [seen: liger2017; common practice]."""
ATMOSPHERE = 101325.0
"""Air pressure at sea level [Pa] [exact]."""
CO2_START = 1.0
"""Carbon dioxide of a still wine at bottling [g/L]: whites 0.5 to 1.8, reds less [seen: patterson2011]."""
SUGAR_LEFT = Range("sugar", 0.0, 100.0, "g/L", "more would never ferment out in a closed bottle: it breaks long before")
"""Beyond it the pressure would pass 30 bar [computed]."""
ALCOHOL = Range("alcohol", 0.0, 20.0, "% vol", "the equation was made for wine of 8 to 15 % vol")
"""The equation stays positive here and was made for 8 to 15 [seen: eec2676]."""
CO2 = Range("co2", 0.0, 5.0, "g/L", "a still wine holds 0.1 to 1.8 g/L carbon dioxide")
"""Still wine stays under 4 g/L by definition [seen: oiv-wines]."""
SPARKLING = 3.0
"""Over-pressure from which a wine counts as sparkling and wants sparkling glass [bar at 20 C] [seen: oiv-wines]."""
CORKS_MOVE = 1.5
"""Over-pressure from which straight corks have been seen to move [bar] [from memory, low confidence]."""


def saturation(pascal: float, alcohol: float, sugar: float = 0.0) -> float:
    """Carbon dioxide [g/L] that a wine holds at an absolute pressure [Pa], alcohol [% vol] and sugar [g/L], 20 C.

    Equation: 1.951e-5 P (0.86 - 0.01 A)(1 - 0.00144 S). Valid: 8 to 15 % vol at 20 C. Outside: OutOfRange over
    20 % vol; colder wine holds more. Source: eec2676.

    >>> round(saturation(101325.0, 12.0), 3)
    1.463
    """
    return SOLUBILITY * pascal * _per_pascal(alcohol, sugar)


def _per_pascal(alcohol: float, sugar: float) -> float:
    water, ethanol = SOLUBILITY_ALCOHOL
    return (water - ethanol * ALCOHOL.check(alcohol)) * (1.0 - SOLUBILITY_SUGAR * sugar)


def gauge_bar(
    sugar: float, alcohol: float, co2: float = CO2_START, temperature: float = TEMPERATURES[4], kind: str = "grape"
) -> float:
    """Pressure over the air's [bar] at a temperature [C] when `sugar` [g/L] ferments beside `co2` [g/L].

    Equation: (co2 + y sugar) / (1.951e-5 (0.86 - 0.01 A)) * r(T) - 101325 Pa, never under nought; y is 0.4886 for
    grape sugar, 0.5143 for cane. Valid: full bottle, no headspace (which takes 2 to 4 % off), 8 to 15 % vol, 0 to
    35 C. Outside: OutOfRange. Source: eec2676; ratio by iapws, within 5 % of the pressures in liger2017.

    >>> round(gauge_bar(4.0, 12.0), 2), round(gauge_bar(24.0, 12.3, 0.5, 30.0, "cane"), 1)
    (1.03, 10.6)
    """
    dissolved = CO2.check(co2) + SUGARS[kind] * SUGAR_LEFT.check(sugar)
    absolute = dissolved / (SOLUBILITY * _per_pascal(alcohol, 0.0)) * against_20(temperature)
    return max(0.0, absolute - ATMOSPHERE) / 100_000.0


def against_20(temperature: float) -> float:
    """Absolute pressure at a temperature [C] against that at 20 C, linear between the table's cells.

    Valid: 0 to 35 C. Outside: OutOfRange. Source: iapws (computed); the EU's own table agrees within 3 %.

    >>> against_20(10.0)
    0.741
    """
    return linear(TEMPERATURES, AGAINST_20, ("temperature", temperature), "give the temperature of the bottle")


def priming(bar: float, alcohol: float, co2: float = FIRST_CO2, kind: str = "cane") -> float:
    """Sugar [g/L] that gives a pressure over the air's [bar at 20 C] once fermented: the inverse of `gauge_bar`.

    Valid: as `gauge_bar`, to 7 bar. Outside: OutOfRange; nought where the wine holds that much already.

    >>> round(priming(6.0, 12.0), 1)
    18.7
    """
    wanted = saturation(WANTED.check(bar) * 100_000.0 + ATMOSPHERE, alcohol)
    return max(0.0, wanted - CO2.check(co2)) / SUGARS[kind]
