"""What a malolactic fermentation turns malic acid into, and what is left of the acidity."""

from __future__ import annotations

from cellar_tui.enology.acidity import GRAMS_PER_EQUIVALENT, TA_RANGE
from cellar_tui.enology.errors import CalcError, Range

MALIC_MOLAR_MASS = 134.087
"""Molar mass of malic acid [g/mol] [computed]."""
LACTIC_MOLAR_MASS = 90.078
"""Molar mass of lactic acid [g/mol] [computed]."""
CO2_MOLAR_MASS = 44.0095
"""Molar mass of carbon dioxide [g/mol] [computed]."""
MALIC_RANGE = Range("malic", 0.0, 20.0, "g/L", "give malic acid in grams a litre")
"""From none to the sharpest apple must [common practice]."""


def _converted(malic: float, malic_left: float) -> float:
    MALIC_RANGE.check(malic)
    MALIC_RANGE.check(malic_left, "malic_left")
    if malic_left > malic:
        raise CalcError("malic_left is over malic: give the later, lower reading as malic_left", "malic_left")
    return malic - malic_left


def ta_after(ta: float, malic: float, malic_left: float = 0.0) -> float:
    """TA [g/L as tartaric] after malic acid [g/L] has fallen to `malic_left` [g/L].

    Equation: TA - (malic - left) * 75.0435 / 134.087. Valid: before bitartrate drops out, which takes more.
    Outside: CalcError when the malic acid given is more than the TA can hold. Source: stoichiometry.

    >>> round(ta_after(7.2, 2.8, 0.1), 2)
    5.69
    """
    fall = _converted(malic, malic_left) * GRAMS_PER_EQUIVALENT["tartaric"] / MALIC_MOLAR_MASS
    if fall >= TA_RANGE.check(ta):
        raise CalcError("ta is less than this malic acid alone would titrate: measure TA and malic again", "ta")
    return ta - fall


def lactic_formed(malic: float, malic_left: float = 0.0) -> float:
    """Lactic acid [g/L] formed when malic acid [g/L] falls to `malic_left` [g/L]: 0.6718 of the fall.

    Valid: bacteria that turn malic acid into lactic acid and gas alone. Source: stoichiometry.

    >>> round(lactic_formed(1.0), 4)
    0.6718
    """
    return _converted(malic, malic_left) * LACTIC_MOLAR_MASS / MALIC_MOLAR_MASS


def gas_formed(malic: float, malic_left: float = 0.0) -> float:
    """Carbon dioxide [g/L] formed when malic acid [g/L] falls to `malic_left` [g/L]: 0.3282 of the fall.

    Valid, source: as `lactic_formed`. Pitfall: 3 g/L of malic acid gives nearly 1 g/L of gas, enough to lift a bung.

    >>> round(gas_formed(1.0), 4)
    0.3282
    """
    return _converted(malic, malic_left) * CO2_MOLAR_MASS / MALIC_MOLAR_MASS
