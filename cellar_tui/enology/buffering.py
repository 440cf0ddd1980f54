"""How much acid moves the pH: charge of an acid, buffer capacity from a bench trial, and the dose for a pH."""

from __future__ import annotations

from cellar_tui.enology.acidity import ADDABLE
from cellar_tui.enology.blending import BUFFER
from cellar_tui.enology.errors import PH, VOLUME, CalcError, OutOfRange, Range

DISSOCIATION = {"tartaric": (3.04, 4.37), "malic": (3.46, 5.10), "citric": (3.13, 4.76, 6.40)}
"""Dissociation constants in water at 25 C, pKa; in wine 0.1 to 0.17 more [from memory: handbook2]."""
MOLAR_MASS = {"tartaric": 150.087, "malic": 134.087, "citric": 192.123}
"""Molar mass of the acid [g/mol] [computed]."""
DOSE = Range("dose", 0.01, 10.0, "g/L", "try 0.5 to 2 g/L of acid in the glass")
"""Doses of a bench trial [common practice]."""
USUAL_BUFFER = (30.0, 60.0)
"""Buffer capacity of whole wines [meq/L a pH] [from memory: handbook2]."""
SMALLEST_FALL = 0.02
"""Fall of pH under which a meter's own error is the result [-] [common practice]."""


def charge(acid: str, ph: float) -> float:
    """Charge that a mole of an acid gives off at a pH [mol/mol].

    Equation: (K1/h + 2 K1 K2/h^2 + ...) / (1 + K1/h + K1 K2/h^2 + ...). Valid: water at 25 C. Outside: CalcError
    for an acid cellars do not add, OutOfRange for the pH. Source: handbook2 (from memory).

    >>> round(charge("tartaric", 3.0), 3)
    0.507
    """
    if acid not in ADDABLE:
        raise CalcError(f"acid {acid!r} is not one to add: use {', '.join(ADDABLE)}", "acid")
    PH.check(ph)
    whole, given, term = 1.0, 0.0, 1.0
    for number, constant in enumerate(DISSOCIATION[acid], 1):
        term *= 10.0 ** (ph - constant)
        whole += term
        given += number * term
    return given / whole


def capacity(acid: str, dose: float, ph_before: float, ph_after: float) -> float:
    """Buffer capacity [meq/L a pH] from a bench trial: an acid, its dose [g/L], the pH before and after.

    Equation: dose / M * 1000 * charge(mean pH) / fall. Valid: falls of 0.05 to 0.5, measured in the wine itself.
    Outside: OutOfRange where the pH fell by less than 0.02. Source: computed.

    >>> round(capacity("tartaric", 1.0, 3.60, 3.48), 1)
    49.1
    """
    PH.check(ph_before, "ph_before")
    fall = ph_before - PH.check(ph_after, "ph_after")
    if fall < SMALLEST_FALL:
        raise OutOfRange(
            f"ph_after {ph_after:g} is outside 2.2 to {ph_before - SMALLEST_FALL:g}: give more acid and measure again",
            "ph_after",
        )
    return DOSE.check(dose) / MOLAR_MASS[_known(acid)] * 1000.0 * charge(acid, (ph_before + ph_after) / 2.0) / fall


def _known(acid: str) -> str:
    if acid not in MOLAR_MASS:
        raise CalcError(f"acid {acid!r} is not one to add: use {', '.join(ADDABLE)}", "acid")
    return acid


def dose_for(ph: float, wanted: float, buffer: float, acid: str) -> float:
    """Acid [g/L] that takes a wine from a pH to the one wanted, by its buffer capacity [meq/L a pH].

    Equation: buffer * fall * M / (1000 * charge(mean pH)). Valid: falls of 0.05 to 0.5; crystals that drop later
    move it again. Outside: CalcError where `wanted` is over the pH, OutOfRange. Source: computed.

    >>> round(dose_for(3.60, 3.45, 49.1, "tartaric"), 2)
    1.26
    """
    PH.check(ph)
    if PH.check(wanted, "wanted") > ph:
        raise CalcError("wanted is over the pH of the wine: acid cannot raise it, see deacidification", "wanted")
    mean = (ph + wanted) / 2.0
    return BUFFER.check(buffer) * (ph - wanted) * MOLAR_MASS[_known(acid)] / (1000.0 * charge(acid, mean))


def amount(volume: float, dose: float) -> float:
    """Acid [g] for a dose [g/L] in a volume [L]. Source: arithmetic.

    >>> amount(100.0, 1.26)
    126.0
    """
    return VOLUME.check(volume) * dose
