"""Density of ethanol and water at 20 C, and the way between alcohol by volume and by mass."""

from __future__ import annotations

from cellar_tui.enology.errors import CalcError, Range

SERIES = (
    998.20123,
    -192.9769495,
    389.1238958,
    -1668.103923,
    13522.15441,
    -88292.78388,
    306287.4042,
    -613838.1234,
    747017.2998,
    -547846.1354,
    223446.0334,
    -39032.85426,
)
"""Coefficients of density in powers of the ethanol mass share at 20 C [kg/m3] [from memory: eec766]."""
STRENGTH = Range("alcohol", 0.0, 100.0, "% vol", "give per cent by volume at 20 C")
"""The whole table [seen: eec766]."""
STEPS = 60
"""Halvings of the bisection: far past what a float can hold [computed]."""


def density_of_share(share: float) -> float:
    """Density [kg/m3] at 20 C of an ethanol mass share [g/g]. Valid: 0 to 1. Source: eec766.

    >>> round(density_of_share(1.0), 2)
    789.24
    """
    total = 0.0
    for coefficient in reversed(SERIES):
        total = total * share + coefficient
    return total


def mass_fraction(alcohol: float) -> float:
    """Ethanol mass share [g/g] of an alcohol [% vol] at 20 C, by bisection.

    Equation: alcohol / 100 * density(1) = share * density(share). Valid: 0 to 100 % vol, else OutOfRange.
    Source: eec766.

    >>> round(mass_fraction(12.0), 4)
    0.0964
    """
    wanted = STRENGTH.check(alcohol) / 100.0 * density_of_share(1.0)
    low, high = 0.0, 1.0
    for _ in range(STEPS):
        middle = (low + high) / 2.0
        if middle * density_of_share(middle) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def density(alcohol: float) -> float:
    """Density [kg/m3] of ethanol and water at 20 C and an alcohol [% vol]. Valid, source: as `mass_fraction`.

    >>> round(density(12.0), 2)
    982.35
    """
    return density_of_share(mass_fraction(alcohol))


def relative_density(alcohol: float) -> float:
    """Relative density 20/20 [-] of ethanol and water at an alcohol [% vol]. Valid, source: as `mass_fraction`.

    >>> round(relative_density(12.0), 5)
    0.98413
    """
    return density(alcohol) / SERIES[0]


def spirit_to(volume: float, alcohol: float, strength: float, wanted: float) -> tuple[float, float]:
    """Spirit [L] of a strength [% vol] that brings `volume` [L] to `wanted` [% vol], and the volume [L] after.

    Equation: mass of the wine * (share wanted - share of the wine) / (share of the spirit - share wanted), shares by
    mass. Valid: 0 to 96 % vol at 20 C; extract and sugar change the volume by under 0.1 %. Outside: CalcError where
    the wine is stronger, or the spirit weaker, than what is wanted. Source: eec766.

    >>> [round(one, 3) for one in spirit_to(100.0, 12.0, 96.0, 18.0)]
    [7.549, 106.928]
    """
    if wanted < alcohol:
        raise CalcError("wanted is under the alcohol of the wine: spirit cannot lower it", "wanted")
    if strength <= wanted:
        raise CalcError("strength must be over the alcohol wanted: take a stronger spirit", "strength")
    wine, target = volume * density(alcohol), mass_fraction(wanted)
    added = wine * (target - mass_fraction(alcohol)) / (mass_fraction(strength) - target)
    return added / density(strength), (wine + added) / density_of_share(target)


def mixed_volume(volume: float, alcohol: float, added: float, strength: float) -> float:
    """Volume [L] once `added` [L] of a strength [% vol] is in `volume` [L] of an alcohol [% vol], contracted.

    Equation: total mass / density of the mixture. Valid: ethanol and water at 20 C; extract is left out, and with it
    a few thousandths of the contraction. Outside: OutOfRange over 100 % vol. Source: eec766.

    >>> round(mixed_volume(1.0, 0.0, 1.0, 100.0), 2)
    1.93
    """
    wine = volume * density(alcohol)
    spirit = added * density(strength)
    share = (wine * mass_fraction(alcohol) + spirit * mass_fraction(strength)) / (wine + spirit)
    return (wine + spirit) / density_of_share(share)
