"""How a house reads a number: in which unit, and with how many digits after the point."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from cellar_tui.enology import scales

Steps = tuple[tuple[float, int], ...]
"""Pairs (limit, digits after the point): the first whose limit the rounded size stays under holds."""

ENDLESS = math.inf

# Digits follow what is weighed and measured in a small cellar (common practice): three figures of a volume, 0.1 g
# from a kitchen scale and 0.01 g from a fine one, pH and molecular SO2 to two digits, a hydrometer to three or four.
_THREE_FIGURES: Steps = ((1, 3), (10, 2), (100, 1), (ENDLESS, 0))
_SCALE: Steps = ((1, 2), (100, 1), (ENDLESS, 0))
_WHOLE: Steps = ((ENDLESS, 0),)
_TENTH: Steps = ((ENDLESS, 1),)
_HUNDREDTH: Steps = ((ENDLESS, 2),)


@dataclass(frozen=True, slots=True)
class ShownUnit:
    """One way to read a canonical number.

    Attributes:
        label: the unit behind the number.
        steps: digits after the point by size.
        per: canonical units in one shown unit (exact factors of units.txt; the tests hold the two together).
        zero: shown value of canonical 0 (32 for Fahrenheit).
        scale: scale of must weight on which a gravity is read; "" for any other number.
        least: fewest digits kept; zeros beyond them are dropped. None keeps them all.
        under: this reading is used while the rounded size stays under it.
    """

    label: str
    steps: Steps
    per: float = 1.0
    zero: float = 0.0
    scale: str = ""
    least: int | None = 0
    under: float = ENDLESS

    def digits(self, value: float, figures: int | None) -> str:
        """Return `value`, canonical, as digits; `figures` overrules how many stand after the point."""
        size = scales.run_on(self.scale, value) if self.scale else value / self.per + self.zero
        if figures is not None:
            return _plain(f"{size:.{figures}f}")
        places = next(places for limit, places in self.steps if round(abs(size), places) < limit)
        written = f"{size:.{places}f}"
        while self.least is not None and places > self.least and written.endswith("0"):
            places -= 1
            written = written[:-1]
        return _plain(written.removesuffix("."))

    def holds(self, value: float) -> bool:
        """Tell whether this reading, rounded, stays under its limit and shows more than nothing."""
        return 0 < abs(float(self.digits(value, None))) < self.under


def _plain(written: str) -> str:
    """Drop the sign of a negative number that was rounded to nothing."""
    return written.lstrip("-") if not float(written) else written


_LITRES = ShownUnit("L", _THREE_FIGURES)
_GALLONS = ShownUnit("gal", _THREE_FIGURES, per=3.785411784)
_IMPERIAL_GALLONS = ShownUnit("imp gal", _THREE_FIGURES, per=4.54609)
_GRAMS = ShownUnit("g", _SCALE)
_POUNDS = ShownUnit("lb", _THREE_FIGURES, per=453.59237)
# From 2.25 lb on, where a step of the pound scale is over the last gram: what is shown reads back as the same text.
_GRAMS_BELOW_POUNDS = ShownUnit("g", _SCALE, under=1019)
_FINE_CONCENTRATION: Steps = ((2, 2), (10, 1), (ENDLESS, 0))

_METRIC: Mapping[str, tuple[ShownUnit, ...]] = MappingProxyType(
    {
        "L": (ShownUnit("mL", _SCALE, per=0.001, under=100), _LITRES),
        "mL": (ShownUnit("mL", _SCALE),),
        "m3": (ShownUnit("m3", _TENTH),),
        "g": (ShownUnit("g", _SCALE, under=1000), ShownUnit("kg", _THREE_FIGURES, per=1000)),
        "mg": (ShownUnit("mg", _SCALE),),
        "kg": (ShownUnit("kg", _THREE_FIGURES),),
        "mg/L": (ShownUnit("mg/L", _FINE_CONCENTRATION, least=None),),
        "g/L": (ShownUnit("g/L", ((1, 2), (20, 1), (ENDLESS, 0)), least=None),),
        "g/hL": (ShownUnit("g/hL", ((10, 1), (ENDLESS, 0))),),
        "% vol": (ShownUnit("% vol", _TENTH, least=None),),
        "%": (ShownUnit("%", _TENTH),),
        "x": (ShownUnit("x", _HUNDREDTH),),
        "C": (ShownUnit("C", _TENTH),),
        "SG": (ShownUnit("SG", ((ENDLESS, 4),), least=3),),
        "Brix": (ShownUnit("Brix", _TENTH, least=None),),
        "pH": (ShownUnit("pH", _HUNDREDTH, least=None),),
        "N": (ShownUnit("N", ((ENDLESS, 4),)),),
        "NTU": (ShownUnit("NTU", ((10, 1), (ENDLESS, 0)), least=None),),
        "um": (ShownUnit("um", _HUNDREDTH),),
        "cm": (ShownUnit("cm", _TENTH),),
        "Oe": (ShownUnit("Oe", _TENTH),),
        "KMW": (ShownUnit("KMW", _TENTH),),
        "Baume": (ShownUnit("Baume", _TENTH),),
        "proof": (ShownUnit("proof", _TENTH),),
        "UK proof": (ShownUnit("UK proof", _TENTH),),
        "d": (ShownUnit("d", ((10, 1), (ENDLESS, 0))),),
        "h": (ShownUnit("h", _TENTH),),
        "weeks": (ShownUnit("weeks", _TENTH),),
        "a day": (ShownUnit("a day", ((ENDLESS, 4),)),),
        "months": (ShownUnit("months", _TENTH),),
        "bar": (ShownUnit("bar", _TENTH, least=None),),
        "uS/cm": (ShownUnit("uS/cm", _WHOLE),),
        "kg/m3": (ShownUnit("kg/m3", _TENTH, least=None),),
        "ppm": (ShownUnit("ppm", ((10, 1), (ENDLESS, 0))),),
        "x1e5": (ShownUnit("x1e5", _TENTH, least=None),),
        "": (ShownUnit("", _THREE_FIGURES),),
    }
)
_US: Mapping[str, tuple[ShownUnit, ...]] = MappingProxyType(
    {
        "L": (ShownUnit("floz", _TENTH, per=3.785411784 / 128, under=16), _GALLONS),
        "g": (_GRAMS_BELOW_POUNDS, _POUNDS),
        "C": (ShownUnit("F", _TENTH, per=5 / 9, zero=32.0),),
    }
)
_IMPERIAL: Mapping[str, tuple[ShownUnit, ...]] = MappingProxyType(
    {
        "L": (ShownUnit("imp floz", _TENTH, per=4.54609 / 160, under=20), _IMPERIAL_GALLONS),
        "g": (_GRAMS_BELOW_POUNDS, _POUNDS),
    }
)
SYSTEMS: Mapping[str, Mapping[str, tuple[ShownUnit, ...]]] = MappingProxyType(
    {
        "metric": _METRIC,
        "us": MappingProxyType({**_METRIC, **_US}),
        "imperial": MappingProxyType({**_METRIC, **_IMPERIAL}),
    }
)
"""The houses' units by canonical unit; several readings stand in order of size. Only the US house reads F."""


GRAVITY_SCALES: Mapping[str, tuple[ShownUnit, ...]] = MappingProxyType(
    {
        "oechsle": (ShownUnit("Oe", _TENTH, scale="oechsle"),),
        "kmw": (ShownUnit("KMW", _TENTH, scale="kmw", least=None),),
        "baume": (ShownUnit("Baume", _TENTH, scale="baume", least=None),),
        "brix": (ShownUnit("Brix", _TENTH, scale="brix", least=None),),
    }
)
"""How a house that reads gravities on another scale than SG reads them."""


def plain(system: str) -> str:
    """Return a system without its scale of gravities."""
    return system.partition(" ")[0]


def readings(unit: str, system: str) -> tuple[ShownUnit, ...]:
    """Return the ways in which a house of `system` reads `unit`, smallest first.

    A system may name a scale of gravities behind it: "metric oechsle".

    Raises:
        ValueError: an unknown system or canonical unit.
    """
    system, _, scale = system.partition(" ")
    if unit == "SG" and scale in GRAVITY_SCALES:
        return GRAVITY_SCALES[scale]
    if system not in SYSTEMS:
        raise ValueError(f"{system!r} is no system of units; use {', '.join(SYSTEMS)}.")
    if unit not in SYSTEMS[system]:
        raise ValueError(f"{unit!r} is no canonical unit of this program.")
    return SYSTEMS[system][unit]


def fitting(value: float, ways: tuple[ShownUnit, ...]) -> ShownUnit:
    """Return the one of `ways` that suits the size of the finite canonical `value`; nothing is read in its own unit."""
    own = next((way for way in ways if way.per == 1), ways[-1])
    return next((way for way in ways if way.holds(value)), own)
