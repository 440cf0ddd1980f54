"""How much is in a tank or barrel by dip or gap, and the gas that clears a headspace."""

from __future__ import annotations

import math

from cellar_tui.enology.errors import VOLUME, CalcError, OutOfRange, Range
from cellar_tui.enology.oxygen import AIR_OXYGEN
from cellar_tui.enology.safety import CO2_MOLAR_MASS, MOLAR_VOLUME_20

SLICES = 400
"""Slices of a barrel along its axis: good to a millilitre [computed]."""
DIAMETER = Range("diameter", 5.0, 2000.0, "cm", "give the inside diameter in centimetres")
"""A demijohn to a large tank [common practice]."""
LENGTH = Range("length", 5.0, 5000.0, "cm", "give the inside length in centimetres")
"""The same [common practice]."""
LEVEL = Range("level", 0.0, 5000.0, "cm", "give the height of the wine over the lowest point in centimetres")
"""The same [common practice]."""
OXYGEN = Range("oxygen", 0.1, 20.0, "%", "1 % is usual; air holds 20.95")
"""What a flush aims at [common practice]."""
SHAPES = ("upright", "cone", "lying", "sphere")
"""Shapes of tanks [common practice]."""
MILLILITRES = 1000.0
"""Cubic centimetres in a litre [exact]."""


def segment(radius: float, depth: float) -> float:
    """Area [cm2] of a circle of a radius [cm] up to a depth [cm] of liquid; all of it when the depth passes the top.

    >>> round(segment(50.0, 50.0), 1)
    3927.0
    """
    y = min(max(depth - radius, -radius), radius)
    return radius * radius * math.acos(-y / radius) + y * math.sqrt(max(0.0, radius * radius - y * y))


def _fits(level: float, diameter: float) -> None:
    if level > diameter:
        raise OutOfRange(f"level {level:g} cm is outside 0 to {diameter:g} cm: it is over the top of the tank", "level")


def upright(diameter: float, level: float) -> float:
    """Volume [L] of an upright tank with a flat floor, by diameter and level [cm]: pi D^2 / 4 * level.

    Valid: inside measures; 3 mm in the dip are 2.4 L at 100 cm. Outside: OutOfRange. Source: geometry.

    >>> round(upright(100.0, 1.0), 3)
    7.854
    """
    return math.pi * DIAMETER.check(diameter) ** 2 / 4.0 * LEVEL.check(level) / MILLILITRES


def cone(diameter: float, level: float, height: float | None = None) -> float:
    """Volume [L] of an upright tank with a cone of a height [cm] below, the level [cm] from the tip.

    Without a height the level itself is the cone's, its surface of that diameter [cm]. Equation: pi D^2 / 12 * h, in
    proportion cubed below the cone's edge, a cylinder above it. Outside: OutOfRange. Source: geometry.

    >>> round(cone(100.0, 30.0), 2), round(cone(100.0, 15.0, 30.0), 2), round(cone(100.0, 40.0, 30.0), 1)
    (78.54, 9.82, 157.1)
    """
    deep = LEVEL.check(level) if height is None else LENGTH.check(height)
    full = math.pi * DIAMETER.check(diameter) ** 2 / 12.0 * deep / MILLILITRES
    if level <= deep:
        return full * (level / deep) ** 3 if deep else 0.0
    return full + upright(diameter, level - deep)


def lying(diameter: float, length: float, level: float) -> float:
    """Volume [L] of a lying tank with flat ends, by diameter, length and level [cm]: circular segment * length.

    Valid: inside measures. Outside: OutOfRange, a level over the top included. Source: geometry.

    >>> round(lying(100.0, 150.0, 20.0), 2)
    167.74
    """
    _fits(LEVEL.check(level), DIAMETER.check(diameter))
    return segment(diameter / 2.0, level) * LENGTH.check(length) / MILLILITRES


def sphere(diameter: float, level: float) -> float:
    """Volume [L] of a sphere by diameter and level [cm]: pi h^2 (3 R - h) / 3. Outside: OutOfRange. Source: geometry.

    >>> round(sphere(100.0, 100.0), 1)
    523.6
    """
    _fits(LEVEL.check(level), DIAMETER.check(diameter))
    return math.pi * level * level * (1.5 * diameter - level) / 3.0 / MILLILITRES


def barrel_content(bung: float, head: float, length: float) -> float:
    """Content [L] of a barrel by bung and head diameter and length [cm], all inside.

    Equation: pi L (2 D^2 + d^2) / 12, staves bent as a spheroid. Valid: other shapes hold 0.1 to 3.6 % less at a
    head nine tenths of the bung; staves and sag 2 %. Outside: OutOfRange, CalcError for a head over the bung.
    Source: builder (table agrees).

    >>> round(barrel_content(62.0, 54.0, 80.0), 1)
    222.1
    """
    _barrel(bung, head, length)
    return math.pi * length * (2.0 * bung * bung + head * head) / 12.0 / MILLILITRES


def _barrel(bung: float, head: float, length: float) -> None:
    DIAMETER.check(bung, "bung_diameter")
    DIAMETER.check(head, "head_diameter")
    LENGTH.check(length)
    if head > bung:
        raise CalcError("head_diameter is over bung_diameter: change them round", "head_diameter")


def barrel_empty(bung: float, head: float, length: float, dry: float) -> float:
    """Volume [L] missing from a lying barrel, bung up, by the gap [cm] from bung stave to wine; measures inside.

    Equation: circular segments along a spheroid, r(x)^2 = R^2 - (R^2 - r^2)(2 x / L)^2. Valid: as `barrel_content`.
    Outside: OutOfRange for a gap over the bung diameter. Pitfall: the old quarter rule fails over 85 % full.
    Source: builder (worked example by the same integral), computed.

    >>> [round(barrel_empty(62.0, 54.0, 80.0, gap), 2) for gap in (1.0, 3.0, 10.0)]
    [0.25, 2.23, 20.36]
    """
    _barrel(bung, head, length)
    if not 0.0 <= dry <= bung:
        raise OutOfRange(f"dry {dry:g} cm is outside 0 to {bung:g} cm: measure from the stave to the wine", "dry")
    widest, step = bung / 2.0, 1.0 / SLICES
    squared, narrowed = widest * widest, widest * widest - head * head / 4.0
    total = 0.0
    for number in range(SLICES):
        along = (number + 0.5) * step
        radius = math.sqrt(squared - narrowed * along * along)
        total += segment(radius, radius - widest + dry) if dry > widest - radius else 0.0
    return total * step * length / MILLILITRES


def barrel_by_quarter(bung: float, dry: float, content: float) -> float:
    """Content [L] left by the old rule, q = wet / D, q +- (q - 1/2) / 4 of the whole; good near half only.

    Valid: half full or nearly. Outside: puts more into a nearly full barrel than it holds. Source: builder.

    >>> round(barrel_by_quarter(32.0, 17.0, 118.80), 2)
    54.76
    """
    share = (bung - dry) / bung
    return content * (share + 0.25 * (share - 0.5))


def flush_volumes(oxygen: float) -> float:
    """Volumes of gas that bring air down to an oxygen [%] when it mixes fully: ln(20.95 / oxygen).

    Valid: the dear end; without any mixing one volume does. Outside: OutOfRange. Source: computed.

    >>> round(flush_volumes(1.0), 2)
    3.04
    """
    return math.log(100.0 * AIR_OXYGEN / OXYGEN.check(oxygen))


def dry_ice_litres(grams: float) -> float:
    """Gas [L at 20 C] from dry ice [g]: g / 44.0095 * 24.05. Source: computed.

    >>> round(dry_ice_litres(1000.0))
    546
    """
    return grams / CO2_MOLAR_MASS * MOLAR_VOLUME_20


def co2_grams(litres: float) -> float:
    """Carbon dioxide [g] in a volume of gas [L at 20 C]: the inverse of `dry_ice_litres`.

    >>> round(co2_grams(304.0))
    556
    """
    return VOLUME.check(litres, "headspace") / MOLAR_VOLUME_20 * CO2_MOLAR_MASS
