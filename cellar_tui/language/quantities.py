"""The one door for units: what a person types to a number in a canonical unit, and back to text in the house's units.

Names, numbers and sizes are judged by rules of our own (numerals, units, figures); pint only converts between units
that units.txt defines, and is loaded on the first amount typed in another unit than the canonical one.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from cellar_tui.enology import scales
from cellar_tui.enology.errors import OutOfRange
from cellar_tui.enology.gravity import ANY_SG as SG
from cellar_tui.language import figures as _figures
from cellar_tui.language import numerals, units
from cellar_tui.language.clean_text import shown
from cellar_tui.language.figures import plain
from cellar_tui.language.units import DIMENSIONS

if TYPE_CHECKING:
    from pint import UnitRegistry

__all__ = [
    "DIMENSIONS",
    "ENDLESS",
    "MOST",
    "TEASPOON_GRAMS",
    "QuantityError",
    "Typed",
    "is_burette",
    "number",
    "parse",
    "parse_powder",
    "plain",
    "show",
    "shown_unit",
    "warm",
]

MOST = 1e9
"""Largest size taken, in any canonical unit: a slip of the keyboard beyond it, never a cellar (common practice)."""

TEASPOON_GRAMS: Mapping[str, float] = MappingProxyType({"potassium_metabisulfite": 6.4})
"""Grams in a level US teaspoon of a powder: four times 1.6 g, near the middle of the 1.3 to 2 g found in a level
quarter teaspoon (common practice). Good to a quarter at best, hence `Typed.by_teaspoon`."""

SMALLEST_SG = 0.9
"""SG under which a gravity is a step between two, such as the most that steady readings differ (common practice)."""

ENDLESS = "–"
"""What is shown for a number without an end, such as the days of a cold hold that never finishes."""

_SPOONS = ("us_teaspoon", "us_tablespoon", "us_cup")
_LED_BY_UNIT = ("pH", "SG")
_PLURAL = ("weeks", "months")


class QuantityError(ValueError):
    """What was typed cannot be read; the message is one sentence saying what to type instead.

    Attributes:
        field: the field concerned, where the caller named one.
    """

    def __init__(self, message: str, field: str | None = None) -> None:
        super().__init__(message)
        self.field = field


@dataclass(frozen=True, slots=True)
class Typed:
    """An amount as it was understood.

    Attributes:
        value: size [in `unit`].
        unit: the canonical unit that was asked for.
        text: what was typed.
        by_teaspoon: a powder was measured by the spoon, so that the mass is a guess.
    """

    value: float
    unit: str
    text: str
    by_teaspoon: bool = False


def parse(text: str, unit: str, *, bare: str | None = None, field: str | None = None) -> Typed:
    """Read `text` as an amount in the canonical `unit`.

    Any unit of the same kind is taken; a number alone is in `bare`, or in `unit` where `bare` is None. An empty
    `bare` refuses a number alone, for places where it could mean two things.

    >>> parse("27 F", "C").value
    -2.77777777778
    >>> parse("3,31", "pH").value
    3.31

    Raises:
        QuantityError: no plain number, a unit that does not fit (the message lists those that do), or a size
            beyond MOST.
        ValueError: `unit` is no canonical unit.
    """
    family = units.family(unit)
    size, token = _split(text, unit, field)
    if not token and bare == "" and unit:
        raise QuantityError(f"Type the unit{f' of {field}' if field else ''} too: {family.offered or unit}.", field)
    name = _name(token or bare or unit, unit, field)
    own = family.names.get(units.fold(unit), unit)
    if not token and own in scales.SCALES and name != own and SG.low <= size <= SG.high:
        raise QuantityError(f"{size:g} could be SG or {bare}: type the unit too.", field)
    value = (
        size if name == own else _rescale(size, name, own, field) if own in scales.SCALES else _convert(size, name, own)
    )
    if abs(value) > MOST:
        raise QuantityError("That is more than any cellar holds; check the number and its unit.", field)
    return Typed(value, unit, text.strip())


def is_burette(text: str) -> bool:
    """Return whether `text` is a number of millilitres, as a burette is read.

    >>> is_burette("2.3 mL"), is_burette("28"), is_burette("6 L")
    (True, False, False)
    """
    try:
        _, token = numerals.split(text.strip())
    except numerals.NumeralError:
        return False
    return bool(token) and units.family("mL").names.get(units.fold(token)) == "millilitre"


def parse_powder(text: str, material: str, field: str | None = None) -> Typed:
    """Read `text` as a mass of a powder [g]; a level teaspoon is taken where the powder's weight by it is known.

    >>> parse_powder("1/4 tsp", "potassium_metabisulfite")
    Typed(value=1.6, unit='g', text='1/4 tsp', by_teaspoon=True)

    Raises:
        QuantityError: as parse() does, and for a spoon of a powder without an entry in TEASPOON_GRAMS.
    """
    size, token = _split(text, "g", field)
    spoon = units.family("L").names.get(units.fold(token))
    if spoon != "us_teaspoon" or material not in TEASPOON_GRAMS:
        return parse(text, "g", field=field)
    return Typed(_tidy(size * TEASPOON_GRAMS[material]), "g", text.strip(), by_teaspoon=True)


def show(value: float, unit: str, *, system: str = "metric", figures: int | None = None) -> str:
    """Return `value`, in the canonical `unit`, as text with its unit in the house's `system`.

    What is shown can be typed again: it reads back as the same text. `figures` overrules the digits after the
    point. A number without an end is shown as ENDLESS.

    >>> show(87.0, "L"), show(87.0, "L", system="us"), show(1254.0, "g"), show(3.1, "pH")
    ('87 L', '23 gal', '1.25 kg', 'pH 3.10')

    Raises:
        ValueError: an unknown system or canonical unit.
    """
    ways = _figures.readings(unit, plain(system) if _is_step(value, unit) else system)
    if not math.isfinite(value):
        return ENDLESS
    way = _figures.fitting(value, ways)
    digits = way.digits(value, figures)
    if unit == "pH":
        return f"pH {digits}"
    label = way.label.removesuffix("s") if unit in _PLURAL and digits == "1" else way.label
    return f"{digits} {label}".rstrip()


def _is_step(value: float, unit: str) -> bool:
    """Return whether a gravity is a difference of two, which other scales cannot show."""
    return unit == "SG" and abs(value) < SMALLEST_SG


def number(value: float, unit: str, *, system: str = "metric", figures: int | None = None) -> str:
    """Return `value` as digits alone, always in the unit that shown_unit() names: for columns with a head.

    >>> number(1254.0, "g"), shown_unit("g")
    ('1254', 'g')
    """
    system = plain(system) if _is_step(value, unit) else system
    return _column(unit, system).digits(value, figures) if math.isfinite(value) else ENDLESS


def shown_unit(unit: str, system: str = "metric") -> str:
    """Return the unit in which a house of `system` reads `unit`, as it can be typed.

    >>> shown_unit("L", "us"), shown_unit("C", "imperial")
    ('gal', 'C')
    """
    return _column(unit, system).label


def warm() -> None:
    """Load pint and the units, so that the first conversion does not wait for it; may run in any thread."""
    _registry()


def _column(unit: str, system: str) -> _figures.ShownUnit:
    """Return the one reading that a column keeps to: large for volumes, grams for masses."""
    ways = _figures.readings(unit, system)
    return ways[0] if unit == "g" else ways[-1]


def _split(text: str, unit: str, field: str | None) -> tuple[float, str]:
    """Split `text` into number and unit; pH and SG may also lead the number, as they are written."""
    written = text.strip()
    if unit in _LED_BY_UNIT and written.casefold().startswith(unit.casefold()):
        written = written[len(unit) :]
    try:
        return numerals.split(written)
    except numerals.NumeralError as fault:
        raise QuantityError(str(fault), field) from None


def _name(token: str, unit: str, field: str | None) -> str:
    """Return the name in units.txt of the typed `token`, or refuse it with the units that would fit."""
    folded = units.fold(token)
    if folded == units.fold(unit) and not unit:
        return unit
    family = units.family(unit)
    if folded in family.names:
        return family.names[folded]
    if DIMENSIONS[unit] == "mass" and units.family("L").names.get(folded) in _SPOONS:
        raise QuantityError(f"A spoon measures volume, not mass: weigh the powder and type {family.offered}.", field)
    word = shown(token, 16)
    if units.is_known(folded):
        fault = f"{word} does not fit{f' {field}' if field else ''}"
    else:
        fault = f"{word!r} is not a unit known here"
    raise QuantityError(f"{fault}; {'use ' + family.offered if family.offered else 'type the number alone'}.", field)


def _rescale(size: float, source: str, target: str, field: str | None) -> float:
    """Return a must weight or gravity on another scale; all run on below water, as hydrometers do in finished wine."""
    try:
        return _tidy(scales.run_on(target, scales.sg_run_on(source, size)))
    except OutOfRange as fault:
        raise QuantityError(f"{fault}.", field) from None


_lock = threading.Lock()
_loaded: list[UnitRegistry[float]] = []


def _registry() -> UnitRegistry[float]:
    """Return the one registry, made on first use under a lock."""
    with _lock:
        if not _loaded:
            import pint

            _loaded.append(pint.UnitRegistry(Path(__file__).with_name("units.txt"), cache_folder=None))
        return _loaded[0]


def _convert(value: float, source: str, target: str) -> float:
    return _tidy(float(_registry().convert(value, source, target)))


def _tidy(value: float) -> float:
    """Round off the noise of floating point, far below what anything measures: twelve figures are kept."""
    return float(f"{value:.12g}")
