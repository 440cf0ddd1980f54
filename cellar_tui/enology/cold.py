"""How long the cold must hold, and how cold a wine may get before it freezes."""

from __future__ import annotations

import math

from cellar_tui.enology.errors import ALCOHOL
from cellar_tui.enology.ethanol import mass_fraction
from cellar_tui.enology.tables import linear

HOLD_DAYS = 5.0
"""Days of hold at the cold mark or under it [d] [common practice]."""
COLD_MARK = -2.8
"""Temperature of the shortest hold [C], 27 F [common practice]."""
HOLD_GROWTH = 6.0
"""How many times longer the hold lasts at the fridge mark, 30 days against 5 [common practice]."""
FRIDGE_SPAN = 7.2
"""Degrees between the cold mark and the fridge mark of 4.4 C, 40 F [K] [common practice]."""
WARMEST = 8.0
"""Temperature over which a hold earns nothing [C] [common practice]."""
PUBLISHED_HOLDS = ((-4.0, 10.0), (-5.5, 5.0), (-3.9, 14.0))
"""Published holds without seed as (C, d), which disagree with the curve and each other [seen: handbook2, jackson]."""

CRYOSCOPIC = 1.86
"""Freezing-point fall of water [K kg/mol] [computed from the heat of fusion]."""
FREEZING_FIT = (-0.25875, -0.0076133)
"""Freezing point of ethanol and water in powers of the alcohol, from the first on [C] [computed: melinder]."""
ETHANOL_MOLAR_MASS = 46.068
"""Molar mass of ethanol [g/mol] [computed]."""
ENGINEERING_ALCOHOL = (0.0, 10.0, 20.0)
"""Rows of an engineering table [% vol] [seen: freezetable]."""
ENGINEERING_FREEZING = (0.0, -4.0, -9.0)
"""Freezing points of ethanol and water in that table [C] [seen: freezetable]."""


def hold_days(temperature: float) -> float:
    """Days a wine must stay at a temperature [C] to count as cold stabilised; infinite when warmer than 8 C.

    Equation: 5 at -2.8 C or under, 5 * 6^((T + 2.8) / 7.2) up to 8 C. Valid: the wine's own temperature, unseeded.
    Outside: warmer than 8 C earns nothing. Pitfall: it shows stability down to the hold's own temperature only, and
    published holds disagree. Source: common practice (5 d at -2.8 C, 30 d at 4.4 C).

    >>> round(hold_days(4.4), 1)
    30.0
    >>> hold_days(12.0)
    inf
    """
    if temperature > WARMEST:
        return math.inf
    if temperature <= COLD_MARK:
        return HOLD_DAYS
    return float(HOLD_DAYS * HOLD_GROWTH ** ((temperature - COLD_MARK) / FRIDGE_SPAN))


def cryoscopic_point(alcohol: float) -> float:
    """Freezing point [C] of ethanol and water alone at an alcohol [% vol], as an ideal solution.

    Equation: -1.86 * mol ethanol / kg water. Valid: to 15 % vol within 0.3 K. Outside: too warm by 1.2 K at 20 %;
    OutOfRange over 25 %. Pitfall: extract lowers a real wine by a further 0.4 to 0.7 K. Source: computed.

    >>> round(cryoscopic_point(12.0), 1)
    -4.3
    """
    share = mass_fraction(ALCOHOL.check(alcohol))
    return -CRYOSCOPIC * share / (1.0 - share) * 1000.0 / ETHANOL_MOLAR_MASS


def fitted_point(alcohol: float) -> float:
    """Freezing point [C] of ethanol and water alone at an alcohol [% vol]: -0.25875 A - 0.0076133 A^2.

    Valid: 6 to 22 % vol within 0.11 K of the data fitted; weaker wine is 0.15 K colder. Outside: OutOfRange over 25.
    Pitfall: dry extract lowers a real wine by a further 0.4 K, 100 g/L sugar by 1.4 K more. Source: melinder
    (computed); lange (seen) agrees within 0.3 K to 14 % vol.

    >>> round(fitted_point(18.0), 2)
    -7.12
    """
    ALCOHOL.check(alcohol)
    return min(0.0, sum(factor * alcohol**power for power, factor in enumerate(FREEZING_FIT, 1)))


def fall_by_solutes(molality: float) -> float:
    """Fall of the freezing point [K] by what else is dissolved [mol/kg water]: 1.86 * molality.

    Valid: ideal solution. Dry extract of a wine is about 0.17 mol/L. Source: computed.

    >>> round(fall_by_solutes(0.19), 2)
    0.35
    """
    return CRYOSCOPIC * molality


def freezing_points(alcohol: float) -> dict[str, float]:
    """Freezing point [C] at an alcohol [% vol] by each source: two rules, cryoscopy, the fit, a table to 20 %.

    Valid: 5 to 20 % vol. Outside: the rules of thumb give nothing sensible in weak wine, and are held at 0 C.
    Source: rule-less-one (from memory), rule-half (seen), computed, melinder (computed), freezetable (seen; its -9 C
    at 20 % vol stands alone).

    >>> {name: round(point, 1) for name, point in freezing_points(12.0).items()}  # doctest: +NORMALIZE_WHITESPACE
    {'-(alcohol - 1) / 2': -5.5, '-alcohol / 2': -6.0, 'ideal solution': -4.3, 'ethanol and water': -4.2,
     'engineering table': -5.0}
    """
    points = {
        "-(alcohol - 1) / 2": min(0.0, -(alcohol - 1.0) / 2.0),
        "-alcohol / 2": -alcohol / 2.0,
        "ideal solution": cryoscopic_point(alcohol),
        "ethanol and water": fitted_point(alcohol),
    }
    if alcohol <= ENGINEERING_ALCOHOL[-1]:
        at = ("alcohol", alcohol)
        points["engineering table"] = linear(ENGINEERING_ALCOHOL, ENGINEERING_FREEZING, at, "chill less")
    return points


def freezing_point(alcohol: float) -> float:
    """Freezing point [C] at an alcohol [% vol] of ethanol and water alone, the warm side: as `fitted_point`.

    >>> round(freezing_point(10.0), 1)
    -3.3
    """
    return fitted_point(alcohol)
