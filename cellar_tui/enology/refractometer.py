"""What a refractometer says once alcohol is in the must, alone and beside a hydrometer."""

from __future__ import annotations

from cellar_tui.enology.errors import CalcError, Range
from cellar_tui.enology.gravity import ANY_SG, BRIX

NOVOTNY = (-0.002349, 0.006276)
"""SG - 1 for each Brix at the start and now [from memory: novotny2017]."""
NOVOTNY_QUADRATIC = (-0.002421, 0.006219, 1.335e-5, -3.239e-5, 2.916e-5)
"""The same with Bi^2, Bi Bf and Bf^2 [from memory: novotny2017]."""
TERRILL = (-0.00085683, 0.0034941)
"""The same fitted to finished beer; 0.010 too high in a dry wine: never for must [seen: terrill2011]."""
SG_ERROR = 0.003
"""How far the SG may be out, 8 g/L of sugar, on a model of must of 18 to 26 Brix [computed]."""
ROESENER = (0.365, 4.16, 2.52, 1.264)
"""Alcohol 0.365 (4.16 B - SG' + 1000), solids 2.52 (SG' - 1000 + 1.264 A), SG' a thousand SG [seen: roesener]."""
ALCOHOL_ERROR = 0.5
"""How far that alcohol may be out [% vol] [computed]."""
START = Range("brix_start", 5.0, 40.0, "Brix", "give the Brix of the must before the ferment")
"""Musts that ferment to wine [common practice]."""


def _start(brix_start: float, brix: float) -> None:
    START.check(brix_start)
    BRIX.check(brix)
    if brix > brix_start:
        raise CalcError("brix is over brix_start: change them round, or measure again", "brix")


def sg(brix_start: float, brix: float) -> float:
    """SG of a fermenting must from its Brix at the start and now, both by refractometer.

    Equation: 1 - 0.002349 Bi + 0.006276 Bf. Valid: 18 to 26 Brix within 0.003. Outside: OutOfRange; CalcError where
    the reading is over the start. Pitfall: follows a ferment, cannot show dryness. Source: novotny2017 (from memory).

    >>> round(sg(22.0, 8.0), 5)
    0.99853
    """
    _start(brix_start, brix)
    first, now = NOVOTNY
    return 1.0 + first * brix_start + now * brix


def sg_quadratic(brix_start: float, brix: float) -> float:
    """The same by the quadratic form, shown beside it. Valid, outside, source: as `sg`.

    >>> round(sg_quadratic(22.0, 8.0), 5)
    0.99912
    """
    _start(brix_start, brix)
    first, now, squared, crossed, last = NOVOTNY_QUADRATIC
    bent = squared * brix_start**2 + crossed * brix_start * brix + last * brix**2
    return 1.0 + first * brix_start + now * brix + bent


def sg_of_beer(brix_start: float, brix: float) -> float:
    """The same as fitted to finished beer, which misleads in must: kept to say so. Source: terrill2011.

    >>> round(sg_of_beer(22.0, 8.0), 4)
    1.0091
    """
    first, now = TERRILL
    return 1.0 + first * brix_start + now * brix


def alcohol(brix: float, sg_read: float) -> float:
    """Alcohol [% vol] of a wine from refractometer Brix and hydrometer SG, both at one temperature.

    Equation: 0.365 (4.16 B - SG' + 1000). Valid: dry to medium wine, half a % vol high against a model. Outside:
    OutOfRange; CalcError where the pair gives no alcohol. Source: roesener (seen).

    >>> round(alcohol(8.0, 0.995), 2)
    13.97
    """
    scale, per_brix, _, _ = ROESENER
    found = scale * (per_brix * BRIX.check(brix) - 1000.0 * (ANY_SG.check(sg_read) - 1.0))
    if found < 0.0:
        raise CalcError("sg is too high for that Brix: measure both at one temperature, without gas", "sg")
    return found


def solids(brix: float, sg_read: float) -> float:
    """Solids [g/L], sugar included, from the same pair: 2.52 (SG' - 1000 + 1.264 A). Valid, source: as `alcohol`.

    >>> round(solids(8.0, 0.995), 1)
    31.9
    """
    _, _, scale, per_alcohol = ROESENER
    return scale * (1000.0 * (sg_read - 1.0) + per_alcohol * alcohol(brix, sg_read))
