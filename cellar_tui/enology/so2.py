"""Free and molecular sulfur dioxide: how much of the free SO2 protects the wine at its pH."""

from __future__ import annotations

import math

from cellar_tui.enology.errors import PH, OutOfRange, Range
from cellar_tui.enology.tables import bilinear

PKA = 1.81
"""First dissociation constant of sulfurous acid in wine, as used by the trade's charts [seen: uc1982]."""
OTHER_PKA = 1.77
"""The constant of the other published table, which asks for 9 to 10 % more free SO2 [seen: pka177]."""
PKA2 = 6.91
"""Second dissociation constant [seen: uc1982]."""
PKA_RANGE = Range("pka", 1.5, 2.5, "", "use 1.81, or 1.77 to follow the other published table")
"""Published values run from 1.72 to 2.42 over alcohol and temperature [seen: oiv323; from memory: usseglio1984]."""
FREE_RANGE = Range("free_so2", 0.0, 2000.0, "mg/L", "give the free SO2 reading in mg/L; no wine holds more")
"""Wine stays under 150 mg/L; the upper end leaves room for sulfited juice [common practice]."""
MOLECULAR_RANGE = Range("molecular_so2", 0.0, 10.0, "mg/L", "aim at 0.5 to 1.5 mg/L molecular; 2 is sharp on the nose")
"""Targets run from 0.5 to 2 [seen: uwc2016; common practice]."""
TRUSTED_PH = (2.8, 4.2)
"""pH between which the two-term formula was compared with printed tables [seen: uc1982]."""
TRUSTED_FREE = 150.0
"""Free SO2 [mg/L] up to which wine was compared with the formula [seen: uc1982]."""
HIGH_NEED = 40.0
"""Free SO2 [mg/L] over which a red wine is better served by a lower pH [common practice]."""
IRRITATION = 2.0
"""Molecular SO2 that is sharp on the nose [mg/L] [seen: uwc2016]."""

WATER_PKA = 1.86
"""First dissociation constant in water at 25 C [seen: so2-thermo]."""
IONISATION = 929.4
"""Its slope with 1 / T [K]: 17.8 kJ/mol over R ln 10 [computed: so2-thermo]."""
ALCOHOL_SLOPE = 0.0201
"""Its rise for each % vol [computed: oiv323]."""
SALTS = 0.08
"""Its fall in the salts of a wine, ionic strength 0.038 [computed: oiv323]."""
KELVIN = 273.15
"""Absolute temperature of 0 C [K] [exact]."""
REFERENCE = 298.15
"""Absolute temperature of 25 C [K] [exact]."""
WINE_ALCOHOL = Range("alcohol", 0.0, 20.0, "% vol", "the slope with alcohol was measured to 20 % vol only")
"""Rows of the OIV's table [seen: oiv323]."""
WINE_TEMPERATURE = Range("temperature", 5.0, 30.0, "C", "give the temperature of the wine; the constant holds there")
"""Where the heat of ionisation counts as fixed [computed: so2-thermo]."""
NO_CONSTANT = "no constant is published there; use the fixed 1.81"
OIV_ALCOHOL = (0.0, 5.0, 10.0, 15.0, 20.0)
"""Rows of the OIV tables [% vol] [seen: oiv323]."""
OIV_PKT_TEMPERATURE = (20.0, 25.0, 30.0, 35.0, 40.0)
"""Columns of the thermodynamic table [C] [seen: oiv323]."""
OIV_PKT = (
    (1.798, 2.000, 2.219, 2.334, 2.493),
    (1.897, 2.098, 2.299, 2.397, 2.527),
    (1.997, 2.198, 2.394, 2.488, 2.606),
    (2.099, 2.301, 2.503, 2.607, 2.728),
    (2.203, 2.406, 2.628, 2.754, 2.895),
)
"""Thermodynamic constant by alcohol and temperature [seen: oiv323, Table I; the 20 % row from memory]."""
OIV_PKM_TEMPERATURE = (20.0, 25.0)
"""Columns of the mixed-constant table [C] [from memory: oiv323]."""
OIV_PKM = ((1.723, 1.925), (1.819, 2.020), (1.916, 2.116), (2.014, 2.216), (2.114, 2.317))
"""Mixed constant at ionic strength 0.038 by alcohol and temperature [from memory: oiv323, Table II]."""
USSEGLIO_TEMPERATURE = (19.0, 22.0, 25.0, 28.0)
"""Columns of the 1984 table [C] [from memory: usseglio1984]."""
USSEGLIO_PK = (
    (1.78, 1.85, 2.00, 2.14),
    (1.88, 1.96, 2.11, 2.24),
    (1.98, 2.06, 2.21, 2.34),
    (2.08, 2.16, 2.31, 2.45),
    (2.18, 2.26, 2.41, 2.55),
)
"""First dissociation constant by alcohol and temperature [from memory: usseglio1984]."""


def molecular_fraction(ph: float, pka: float = PKA) -> float:
    """Share of the free SO2 that is molecular [-] at a pH.

    Equation: 1 / (1 + 10^(pH - pKa)). The third species is left out: under 0.13 % of the free SO2 up to pH 4.
    Valid: compared with printed tables for pH 2.8 to 4.2; refused outside 2.2 to 4.8 (OutOfRange).
    Outside: the sulfite ion is no longer negligible and the share reads high.
    Source: uc1982 (the constant), henderson (the equation).

    >>> round(molecular_fraction(3.20), 5)
    0.03914
    """
    PH.check(ph)
    PKA_RANGE.check(pka)
    return float(1.0 / (1.0 + 10.0 ** (ph - pka)))


def sulfite_fraction(ph: float, pka: float = PKA, pka2: float = PKA2) -> float:
    """Share of the free SO2 that is sulfite ion [-]: the part `molecular_fraction` neglects.

    Equation: 10^(2 pH - pKa - pKa2) / (1 + 10^(pH - pKa) + 10^(2 pH - pKa - pKa2)). Valid: pH 2.2 to 4.8.
    Outside: refused (OutOfRange). Source: uc1982.

    >>> round(100 * sulfite_fraction(3.4), 3)
    0.03
    """
    PH.check(ph)
    sulfite = 10.0 ** (2.0 * ph - pka - pka2)
    return float(sulfite / (1.0 + 10.0 ** (ph - pka) + sulfite))


def molecular(free_so2: float, ph: float, pka: float = PKA) -> float:
    """Molecular SO2 [mg/L] of a free SO2 [mg/L] at a pH.

    Equation: free * molecular_fraction. Valid: free 0 to 150 mg/L in wine; pH as molecular_fraction.
    Outside: reds read too much free SO2, as pigments release some during the test. Source: uc1982, henderson.

    >>> round(molecular(25.0, 3.20), 3)
    0.979
    """
    return FREE_RANGE.check(free_so2) * molecular_fraction(ph, pka)


def free_needed(molecular_so2: float, ph: float, pka: float = PKA) -> float:
    """Free SO2 [mg/L] that gives a molecular SO2 [mg/L] at a pH.

    Equation: molecular / molecular_fraction. Valid: as molecular_fraction, targets 0.5 to 2 mg/L.
    Outside: above pH 3.7 the answer soon passes legal limits: lower the pH first. Source: uc1982, henderson.

    >>> round(free_needed(0.8, 3.40), 1)
    31.9
    """
    return MOLECULAR_RANGE.check(molecular_so2) / molecular_fraction(ph, pka)


def ph_for(molecular_so2: float, free_so2: float, pka: float = PKA) -> float:
    """PH at which a free SO2 [mg/L] holds this molecular SO2 [mg/L]: the inverse of `free_needed`.

    Equation: pKa + log10(free / molecular - 1). Valid: free over molecular. Outside: OutOfRange. Source: as
    `molecular_fraction`.

    >>> round(ph_for(0.5, 40.0), 2)
    3.71
    """
    MOLECULAR_RANGE.check(molecular_so2)
    if free_so2 <= molecular_so2:
        raise OutOfRange(f"free_so2 {free_so2:g} must be over molecular_so2 {molecular_so2:g}", "free_so2")
    return PKA_RANGE.check(pka) + math.log10(free_so2 / molecular_so2 - 1.0)


def oiv_pkt(alcohol: float, temperature: float) -> float:
    """Thermodynamic constant pKT [-] at an alcohol [% vol] and a temperature [C], linear between table cells.

    Valid: 0 to 20 % vol, 20 to 40 C. Outside: OutOfRange; nothing is published below 19 C.
    Pitfall: its slope of 0.04 a degree is four times what the heat of ionisation allows. Source: oiv323, Table I.

    >>> round(oiv_pkt(10.0, 25.0), 3)
    2.198
    """
    return bilinear(
        OIV_ALCOHOL, OIV_PKT_TEMPERATURE, OIV_PKT, ("alcohol", alcohol), ("temperature", temperature), NO_CONSTANT
    )


def oiv_pkm(alcohol: float, temperature: float) -> float:
    """Mixed constant pKM [-] at an alcohol [% vol] and a temperature [C], linear between table cells.

    Valid: 0 to 20 % vol, 20 to 25 C. Outside: OutOfRange. Pitfall: raises the molecular share by a third or more,
    so it may be shown but must never make a dose smaller. Source: oiv323, Table II (from memory).

    >>> round(oiv_pkm(12.0, 20.0), 3)
    1.955
    """
    return bilinear(
        OIV_ALCOHOL, OIV_PKM_TEMPERATURE, OIV_PKM, ("alcohol", alcohol), ("temperature", temperature), NO_CONSTANT
    )


def usseglio_pk(alcohol: float, temperature: float) -> float:
    """First dissociation constant [-] of the 1984 study at an alcohol [% vol] and a temperature [C].

    Valid: 0 to 20 % vol, 19 to 28 C. Outside: OutOfRange. Pitfall: as `oiv_pkt`. Source: usseglio1984 (from memory).

    >>> round(usseglio_pk(10.0, 19.0), 2)
    1.98
    """
    return bilinear(
        OIV_ALCOHOL, USSEGLIO_TEMPERATURE, USSEGLIO_PK, ("alcohol", alcohol), ("temperature", temperature), NO_CONSTANT
    )


def water_pka(temperature: float) -> float:
    """First dissociation constant [-] in water at a temperature [C]: 1.86 + 929.4 (1 / 298.15 - 1 / T).

    Valid: 5 to 40 C within 0.03. Source: so2-thermo.

    >>> round(water_pka(20.0), 3)
    1.807
    """
    return WATER_PKA + IONISATION * (1.0 / REFERENCE - 1.0 / (temperature + KELVIN))


def wine_pka(alcohol: float, temperature: float) -> float:
    """First dissociation constant [-] in a wine of an alcohol [% vol] at a temperature [C].

    Equation: that in water + 0.0201 A - 0.08. Valid: 0 to 20 % vol, 5 to 30 C within 0.05. Outside: OutOfRange.
    Pitfall: it makes the molecular share look larger; the targets of 0.5 and 0.8 mg/L were set with 1.81, so it must
    never make a dose smaller. Source: so2-thermo, oiv323.

    >>> round(wine_pka(12.0, 20.0), 2)
    1.97
    """
    water = water_pka(WINE_TEMPERATURE.check(temperature))
    return water + ALCOHOL_SLOPE * WINE_ALCOHOL.check(alcohol) - SALTS
