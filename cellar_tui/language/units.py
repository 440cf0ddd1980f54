"""The units people may type, by the names they use, and the units in which a house reads its numbers.

Typed names are an allow-list: nothing a person types is ever parsed as an expression. What each unit is worth
stands in units.txt.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Family:
    """Units that measure one thing.

    Attributes:
        offered: the units named to somebody who typed one that does not fit; empty when only a bare number does.
        names: what may be typed, folded, to the unit's name in units.txt.
    """

    offered: str
    names: Mapping[str, str]


def fold(token: str) -> str:
    """Reduce a typed unit to the form in which it is looked up: no case, spaces, dots, degree or underline signs.

    >>> fold("Fl. Oz."), fold("°F"), fold("µm"), fold("imp_gal"), fold("g per hL")
    ('floz', 'f', 'um', 'impgal', 'g/hl')
    """
    plain = unicodedata.normalize("NFKC", token.replace("º", "")).casefold().replace("μ", "u")
    plain = plain.replace(" per ", "/")
    return "".join(sign for sign in plain if sign not in "°._^" and not sign.isspace())


def _family(offered: str, **names: str) -> Family:
    folded = {fold(word): unit for unit, words in names.items() for word in words.split()}
    return Family(offered, MappingProxyType(folded))


_VOLUME = _family(
    "L, mL, cL, dL, hL, m3, gal, bbl, qt, pt, cup, floz, tbsp, tsp, imp_gal, imp_qt, imp_pt or imp_floz",
    litre="L litre litres liter liters ltr",
    millilitre="mL cc cm3 millilitre millilitres milliliter milliliters",
    centilitre="cL centilitre centilitres centiliter centiliters",
    decilitre="dL decilitre decilitres deciliter deciliters",
    hectolitre="hL hectolitre hectolitres hectoliter hectoliters",
    cubic_metre="m3",
    cubic_foot="ft3 cuft",
    us_gallon="gal gals gallon gallons us_gal usgallon usgallons",
    us_barrel="bbl bbls us_bbl",
    us_quart="qt qts quart quarts us_qt",
    us_pint="pt pts pint pints us_pt",
    us_cup="cup cups us_cup",
    us_fluid_ounce="floz us_floz fluidounce fluidounces",
    us_tablespoon="tbsp tbs tablespoon tablespoons",
    us_teaspoon="tsp tsps teaspoon teaspoons",
    imperial_gallon="imp_gal uk_gal imperialgallon imperialgallons",
    imperial_quart="imp_qt uk_qt imperialquart imperialquarts",
    imperial_pint="imp_pt uk_pt imperialpint imperialpints",
    imperial_fluid_ounce="imp_floz uk_floz imperialfluidounce imperialfluidounces",
)
_MASS = _family(
    "g, mg, kg, oz or lb",
    gram="g gram grams gramme grammes",
    milligram="mg milligram milligrams",
    kilogram="kg kilo kilos kilogram kilograms",
    ounce="oz ounce ounces",
    pound="lb lbs pound pounds",
)
_MUST_WEIGHT = _family(
    "SG, Oe, KMW, Baume or Brix",
    sg="SG",
    oechsle="Oe oechsle degOe degOechsle",
    kmw="KMW babo degKMW",
    baume="Baume Bé Be degBe degBaume",
    brix="Brix Bx degBrix degBx Balling Plato",
)
"""Scales of must weight by the names the chemistry gives them; pint knows none of them."""

_CONCENTRATION = _family(
    "mg/L, ppm, g/L, g/hL, g/100mL, % w/v, g/gal, oz/gal, lb/1000gal or lb/1000imp_gal",
    milligram_per_litre="mg/L ppm g/m3",
    gram_per_litre="g/L mg/mL kg/m3",
    gram_per_hectolitre="g/hL",
    gram_per_decilitre="g/100mL g/dL %w/v",
    gram_per_us_gallon="g/gal",
    ounce_per_us_gallon="oz/gal",
    pound_per_1000_us_gallon="lb/1000gal lbs/1000gal",
    pound_per_1000_imperial_gallon="lb/1000imp_gal lbs/1000imp_gal",
)
_FAMILIES: Mapping[str, Family] = MappingProxyType(
    {
        "volume": _VOLUME,
        "mass": _MASS,
        "concentration": _CONCENTRATION,
        "strength": _family(
            "% vol, proof or uk_proof",
            percent_vol="%vol vol% % abv %abv %v/v %byvolume",
            us_proof="proof us_proof proof_us",
            uk_proof="uk_proof proof_uk imp_proof",
        ),
        "percentage": _family("%", percent="% percent %w/v"),
        "ratio": _family("a bare number, x or %", part="x", percent="% percent"),
        "temperature": _family("C or F", celsius="C degC celsius", fahrenheit="F degF fahrenheit"),
        "gravity": _MUST_WEIGHT,
        "soluble solids": _MUST_WEIGHT,
        "acidity": _family("", ph="pH"),
        "normality": _family("N", normal="N"),
        "turbidity": _family("NTU", ntu="NTU"),
        "length": _family(
            "um, mm, cm, m, in or ft",
            micron="um micron microns micrometre micrometres micrometer",
            millimetre="mm",
            centimetre="cm centimetre centimetres centimeter centimeters",
            metre="m metre metres meter meters",
            inch="in inch inches",
            foot="ft foot feet",
        ),
        "time": _family("d, weeks or h", day="d day days", week="wk wks week weeks", hour="h hr hrs hour hours"),
        "rate": _family("a day or % a day", part_per_day="aday perday", percent_per_day="%aday %/day %/d"),
        "calendar": _family("months or years", month="months month mo", year="years year yr yrs y"),
        "pressure": _family(
            "bar, mbar, kPa, atm or psi", bar="bar", millibar="mbar", kilopascal="kPa", atmosphere="atm", psi="psi"
        ),
        "conductivity": _family("uS/cm or mS/cm", microsiemens_per_cm="uS/cm uS", millisiemens_per_cm="mS/cm mS"),
        "density": _family(
            "kg/m3, g/L, kg/L or g/mL", kilogram_per_cubic_metre="kg/m3 g/L", gram_per_millilitre="kg/L g/mL g/cm3 g/cc"
        ),
        "share of air": _family("ppm", parts_per_million="ppm"),
        "concentration product": _family("x1e5", product="x1e5"),
        "number": _family("", number=""),
    }
)

DIMENSIONS: Mapping[str, str] = MappingProxyType(
    {
        "L": "volume",
        "mL": "volume",
        "m3": "volume",
        "g": "mass",
        "mg": "mass",
        "kg": "mass",
        "mg/L": "concentration",
        "g/L": "concentration",
        "g/hL": "concentration",
        "% vol": "strength",
        "%": "percentage",
        "x": "ratio",
        "C": "temperature",
        "SG": "gravity",
        "Brix": "soluble solids",
        "Oe": "gravity",
        "KMW": "gravity",
        "Baume": "gravity",
        "proof": "strength",
        "UK proof": "strength",
        "pH": "acidity",
        "NTU": "turbidity",
        "N": "normality",
        "um": "length",
        "cm": "length",
        "h": "time",
        "d": "time",
        "weeks": "time",
        "a day": "rate",
        "months": "calendar",
        "bar": "pressure",
        "uS/cm": "conductivity",
        "kg/m3": "density",
        "ppm": "share of air",
        "x1e5": "concentration product",
        "": "number",
    }
)
"""Every canonical unit of the program and what it measures; `ppm` is a share of air, in wine it is typed for mg/L."""


def family(unit: str) -> Family:
    """Return the family of a canonical unit.

    Raises:
        ValueError: `unit` is none of DIMENSIONS.
    """
    if unit not in DIMENSIONS:
        raise ValueError(f"{unit!r} is no canonical unit of this program.")
    return _FAMILIES[DIMENSIONS[unit]]


def is_known(token: str) -> bool:
    """Tell whether the folded `token` names a unit of any family."""
    return any(token in each.names for each in _FAMILIES.values())
