"""Density of ethanol and water, alcohol by volume and by mass, and what mixing makes of both."""

from __future__ import annotations

from cellar_tui.enology.errors import CalcError, OutOfRange, Range

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
"""Coefficients of density in powers of the ethanol mass share at 20 C [kg/m3] [seen: oiml-r22]."""
BY_TEMPERATURE = (
    -2.0618513e-1,
    -5.2682542e-3,
    3.6130013e-5,
    -3.8957702e-7,
    7.1693540e-9,
    -9.9739231e-11,
)
"""Coefficients of density in powers of the temperature over 20 C, from the first on [seen: oiml-r22]."""
CROSSED = (
    (
        1.693443461530087e-1,
        -1.046914743455169e1,
        7.196353469546523e1,
        -7.047478054272792e2,
        3.924090430035045e3,
        -1.210164659068747e4,
        2.248646550400788e4,
        -2.605562982188164e4,
        1.852373922069467e4,
        -7.420201433430137e3,
        1.285617841998974e3,
    ),
    (
        -1.193013005057010e-2,
        2.517399633803461e-1,
        -2.170575700536993,
        1.353034988843029e1,
        -5.029988758547014e1,
        1.096355666577570e2,
        -1.422753946421155e2,
        1.080435942856230e2,
        -4.414153236817392e1,
        7.442971530188783,
    ),
    (
        -6.802995733503803e-4,
        1.876837790289664e-2,
        -2.002561813734156e-1,
        1.022992966719220,
        -2.895696483903638,
        4.810060584300675,
        -4.672147440794683,
        2.458043105903461,
        -5.411227621436812e-1,
    ),
    (4.075376675622027e-6, -8.763058573471110e-6, 6.515031360099368e-6, -1.515784836987210e-6),
    (-2.788074354782409e-8, 1.345612883493354e-8),
)
"""The same in powers of the ethanol share (from the first on), a row a power of the temperature [seen: oiml-r22]."""
PER_PERCENT = 7.8924
"""Ethanol in one % vol [g/L] at 20 C [computed: oiml-r22]."""
REFERENCE = 20.0
"""Temperature at which alcohol by volume is stated [C] [seen: oiml-r22]."""
TEMPERATURE = Range("temperature", -20.0, 40.0, "C", "bring the sample to 15 to 25 C and measure again")
"""Where the formula holds, while the mixture is liquid [seen: oiml-r22]."""
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


def density_at(share: float, temperature: float) -> float:
    """Density [kg/m3] of an ethanol mass share [g/g] at a temperature [C].

    Equation: the general formula, powers of the share and of the temperature over 20 C. Valid: -20 to 40 C while
    liquid, share 0 to 1. Outside: OutOfRange. Source: oiml-r22.

    >>> round(density_at(0.31, 13.0), 2)
    956.42
    """
    over = TEMPERATURE.check(temperature) - REFERENCE
    total = density_of_share(share)
    for power, coefficient in enumerate(BY_TEMPERATURE, 1):
        total += coefficient * over**power
    for power, row in enumerate(CROSSED, 1):
        total += over**power * sum(coefficient * share**exponent for exponent, coefficient in enumerate(row, 1))
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


def strength_of_share(share: float) -> float:
    """Alcohol [% vol at 20 C] of an ethanol mass share [g/g]. Valid: 0 to 1. Source: oiml-r22.

    >>> round(strength_of_share(mass_fraction(40.0)), 6)
    40.0
    """
    return 100.0 * share * density_of_share(share) / density_of_share(1.0)


def mixed_strength(volume: float, alcohol: float, added: float, strength: float) -> float:
    """Alcohol [% vol] once `added` [L] of a strength [% vol] is in `volume` [L] of an alcohol [% vol], contracted.

    Equation: shares by mass, weighted by mass. Valid, outside, source: as `mixed_volume`.

    >>> round(mixed_strength(225.0, 12.5, 18.613, 96.0), 2)
    19.0
    """
    wine, spirit = volume * density(alcohol), added * density(strength)
    share = (wine * mass_fraction(alcohol) + spirit * mass_fraction(strength)) / (wine + spirit)
    return strength_of_share(share)


def spirit_to(volume: float, alcohol: float, strength: float, wanted: float) -> tuple[float, float]:
    """Spirit [L] of a strength [% vol] that brings `volume` [L] to `wanted` [% vol], and the volume [L] after.

    Equation: mass of the wine * (share wanted - share of the wine) / (share of the spirit - share wanted), shares by
    mass. Valid: 0 to 96 % vol at 20 C; extract and sugar change the volume by under 0.1 %. Outside: CalcError where
    the wine is stronger, or the spirit weaker, than what is wanted. Source: oiml-r22.

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


def water_to(volume: float, strength: float, wanted: float) -> tuple[float, float]:
    """Water [L] that brings `volume` [L] of a spirit [% vol] down to `wanted` [% vol], and the volume [L] after.

    Equation: mass of the spirit * (share / share wanted - 1), shares by mass. Valid: 0 to 100 % vol at 20 C. Outside:
    OutOfRange for a strength wanted of 0, CalcError where it is over that of the spirit. Source: oiml-r22.

    >>> [round(one, 4) for one in water_to(1.0, 96.0, 40.0)]
    [1.4705, 2.4]
    """
    if wanted > strength:
        raise CalcError("wanted is over the strength of the spirit: water cannot raise it", "wanted")
    if wanted <= 0.0:
        raise OutOfRange("wanted 0 % vol is outside what water can reach: give the strength wanted", "wanted")
    spirit = volume * density(strength)
    water = spirit * (mass_fraction(strength) / mass_fraction(wanted) - 1.0)
    return water / SERIES[0], (spirit + water) / density(wanted)
