"""Sugar and syrup that raise the sweetness of a wine, allowing for the volume they take up."""

from __future__ import annotations

from cellar_tui.enology.errors import VOLUME, CalcError, Range

LITRES_PER_GRAM = 0.00062
"""Volume a gram of dissolved sucrose takes up [L/g] [computed from the SG table: 0.616 to 0.619 mL/g]."""
RAISE_RANGE = Range("raise", 0.0, 500.0, "g/L", "sweeten by less, or work out a syrup or liqueur instead")
"""The volume rule was compared with tables up to 200 g/L [computed]."""
TRUSTED_RAISE = 200.0
"""Raise [g/L] up to which the amount is good to a gram in 20 L [computed]."""
SYRUP_RANGE = Range("syrup", 50.0, 1000.0, "g/L", "give the sugar in a litre of syrup: 1:1 by mass 615, 2:1 884")
"""No sucrose syrup holds more at 20 C [from memory: icumsa]."""
SYRUP_1_TO_1 = 614.8
"""Sugar in syrup of equal masses of sugar and water [g/L] [from memory: icumsa]."""
INVERSION = 1.0526
"""Grams of glucose and fructose from a gram of sucrose once inverted [computed: 360.32 / 342.30]."""


def sugar_for(volume: float, raise_g_l: float) -> float:
    """Dry sugar [g] that raises `volume` [L] of wine by `raise_g_l` [g/L of the sweetened wine].

    Equation: raise * volume / (1 - 0.00062 * raise). Valid: raise up to 200 g/L. Outside: refused over 500 g/L
    (OutOfRange); between, the volume rule drifts. Source: computed.

    >>> round(sugar_for(20.0, 30.0), 1)
    611.4
    """
    VOLUME.check(volume)
    RAISE_RANGE.check(raise_g_l)
    return raise_g_l * volume / (1.0 - LITRES_PER_GRAM * raise_g_l)


def volume_after(volume: float, sugar_g: float) -> float:
    """Volume [L] of a wine of `volume` [L] after dissolving dry sugar [g]: volume + 0.00062 * sugar.

    Valid: sucrose at cellar temperature. Outside: CalcError for a negative amount. Source: computed.

    >>> round(volume_after(20.0, 611.4), 2)
    20.38
    """
    VOLUME.check(volume)
    if sugar_g < 0.0:
        raise CalcError("sugar must not be negative: give the grams that go in", "sugar")
    return volume + LITRES_PER_GRAM * sugar_g


def syrup_for(volume: float, raise_g_l: float, syrup_g_l: float) -> float:
    """Syrup [mL] of `syrup_g_l` [g/L] that raises `volume` [L] of wine by `raise_g_l` [g/L of the result].

    Equation: 1000 * volume * raise / (syrup - raise). Valid: a syrup sweeter than the raise. Outside: OutOfRange or
    CalcError. Pitfall: syrup dilutes SO2, acid and alcohol by volume / (volume + syrup). Source: mass balance.

    >>> round(syrup_for(20.0, 30.0, 614.8))
    1026
    """
    VOLUME.check(volume)
    RAISE_RANGE.check(raise_g_l)
    SYRUP_RANGE.check(syrup_g_l)
    if syrup_g_l <= raise_g_l:
        raise CalcError(f"syrup of {syrup_g_l:g} g/L cannot raise a wine by {raise_g_l:g} g/L: use more sugar", "syrup")
    return 1000.0 * volume * raise_g_l / (syrup_g_l - raise_g_l)
