"""Pressure in a bottle whose sugar ferments after all: why still bottles must be stable."""

from __future__ import annotations

from cellar_tui.enology.errors import Range

CO2_PER_SUGAR = 0.4886
"""Carbon dioxide from a gram of hexose [g] [computed: 2 * 44.0095 / 180.156]; practice 0.46 to 0.48 [from memory]."""
SOLUBILITY = 1.951e-5
"""Carbon dioxide dissolved for each pascal [g/L/Pa] in the EU equation at 20 C [seen: eec2676]."""
SOLUBILITY_ALCOHOL = (0.86, 0.01)
"""How alcohol [% vol] lowers it: 0.86 - 0.01 A [seen: eec2676]."""
SOLUBILITY_SUGAR = 0.00144
"""How sugar [g/L] lowers it: 1 - 0.00144 S [seen: eec2676]."""
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


def gauge_bar(sugar: float, alcohol: float, co2: float = CO2_START) -> float:
    """Pressure over the air's [bar] at 20 C when `sugar` [g/L] ferments at `alcohol` [% vol] beside `co2` [g/L].

    Equation: (co2 + 0.4886 sugar) / (1.951e-5 (0.86 - 0.01 A)) - 101325 Pa, never under nought. Valid: full bottle,
    no headspace, 8 to 15 % vol. Outside: OutOfRange; at 10 C about a quarter less. Source: eec2676.

    >>> round(gauge_bar(4.0, 12.0), 2)
    1.03
    """
    dissolved = CO2.check(co2) + CO2_PER_SUGAR * SUGAR_LEFT.check(sugar)
    absolute = dissolved / (SOLUBILITY * _per_pascal(alcohol, 0.0))
    return max(0.0, absolute - ATMOSPHERE) / 100_000.0
