"""A calculation on what is typed and what the wine offers: its result, its working, or what stands in the way."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from cellar_tui.enology.calculations import CALCULATIONS, REQUIRED, CalcError, Calculation, Input, Quantity, Result, run
from cellar_tui.language import quantities
from cellar_tui.language.describe_entry import words
from cellar_tui.workbench.prefill import Prefilled, unit_of

NAMES: Mapping[str, str] = MappingProxyType(
    {
        "ph": "pH",
        "sg": "SG",
        "ta": "TA",
        "va": "volatile acidity",
        "yan": "YAN",
        "pka": "pKa",
        "co2": "CO2",
        "brix": "Brix",
        "free_so2": "free SO2",
        "total_so2": "total SO2",
        "molecular_so2": "molecular SO2",
        "oiv_molecular_so2": "molecular SO2, OIV",
        "raise": "rise",
        "total_raise": "rise of the total",
        "amount_low": "amount, least",
        "amount_high": "amount, most",
        "stock_volume": "as stock solution",
        "ph_error": "error of pH",
        "free_so2_error": "error of free",
        "share": "fraction free",
        "sample_temperature": "sample at",
        "calibration_temperature": "calibrated at",
        "sg_extract": "SG of extract",
        "conductivity_drop": "conduct. drop",
        "saturation_drop": "saturation drop",
        "malic": "malic acid",
        "malic_left": "malic left",
        "lactic": "lactic acid",
        "sorbic_acid": "sorbic acid",
        "percent": "share of the free",
        "saturation_temperature": "saturation at",
        "concentration_product": "product x1e5",
        "sweeten": "sugar to come",
        "label_threshold": "on the label from",
        "original_gravity": "SG of the must",
        "final_gravity": "SG now",
        "kmw": "KMW",
        "proof_us": "US proof",
        "proof_uk": "UK proof",
        "brix_start": "Brix of the must",
        "wanted_brix": "Brix wanted",
        "ph_before": "pH before",
        "ph_after": "pH after",
        "default_pka": "pKa of the trade",
        "bung_diameter": "bung diameter",
        "head_diameter": "head diameter",
        "pressure_30": "pressure at 30 C",
        "energy_kj": "energy of 100 mL",
        "energy_kcal": "the same",
        "drinks_10g": "drinks of 10 g",
        "drinks_14g": "drinks of 14 g",
        "units_uk": "UK units",
        "volume1": "first lot",
        "volume2": "second lot",
        "value1": "first value",
        "value2": "second value",
        "dry": "gap at the bung",
        "titrant": "titrant run in",
        "so2": "SO2",
    }
)
"""Names of inputs and results where their own would be hard to read."""

SCALES = ("pH", "SG", "Brix")
"""Scales whose name the input bears already, so that none stands behind the number."""

WAYS: Mapping[str, tuple[tuple[str, ...], ...]] = MappingProxyType(
    {
        "sulfite_addition": (("raise",), ("ph", "free_so2", "molecular_so2", "ph_error", "free_so2_error")),
        "so2_forecast": (("days",), ("target",)),
        "potential_alcohol": (("sugar",), ("brix",), ("sg",)),
        "nutrient_addition": (("need",), ("brix",)),
        "must_weight": (("oechsle",), ("kmw",), ("baume",), ("brix",), ("sg",)),
        "spirit_strength": (("alcohol",), ("proof_us",), ("proof_uk",)),
        "chaptalization": (("alcohol", "wanted", "factor"), ("brix", "wanted_brix")),
    }
)
"""Inputs that exclude each other: what is typed in one group makes what was offered in the others stand aside."""

CHANGED = frozenset(("volume", "alcohol", "ta"))
"""Results that say what becomes of an input of the same name."""

ONLY_WITH: Mapping[tuple[str, str], tuple[str, ...]] = MappingProxyType(
    {
        ("tartrate_stability", "ph"): ("potassium", "tartaric"),
    }
)
"""Inputs that are offered only once one of some others is typed: alone they would ask for the rest."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A named value as text; `source` says where an input is from, "" where it was typed."""

    name: str
    label: str
    text: str
    source: str = ""


@dataclass(frozen=True, slots=True)
class Worked:
    """A finished calculation as text: results with the main one first, formula, inputs, source, cautions."""

    results: tuple[Figure, ...]
    formula: str
    inputs: tuple[Figure, ...]
    source: str
    cautions: tuple[str, ...]

    @property
    def lines(self) -> list[str]:
        """The results, one a line."""
        return [f"{result.label} {result.text}" for result in self.results]


@dataclass(frozen=True, slots=True)
class Unworked:
    """A calculation that cannot be made yet: what is wrong in which input, and what is still to be typed."""

    faults: Mapping[str, str]
    missing: Mapping[str, str]


def label_of(name: str) -> str:
    """Return an input or result as it is named on screen."""
    return NAMES.get(name, words(name))


def beside(asked: Input, system: str = "metric") -> str:
    """Return the unit printed beside an input, which is that of a number typed alone."""
    unit = unit_of(asked.name, asked.unit)
    return "" if asked.choices or unit in (*SCALES, "x") else quantities.shown_unit(unit, system)


def default_of(asked: Input, system: str = "metric") -> str:
    """Return what is taken where an input is left empty, as it would be typed; "" where nothing is."""
    if isinstance(asked.default, str):
        return asked.default
    if not isinstance(asked.default, float):
        return ""
    unit = unit_of(asked.name, asked.unit)
    return f"{asked.default:g}" if unit in ("", "x", "pH") else quantities.number(asked.default, unit, system=system)


def in_use(name: str, typed: Mapping[str, str], offered: Mapping[str, Prefilled]) -> dict[str, Prefilled]:
    """Return the offers that count beside what is typed: a typed text, even an empty one, outdoes its own offer."""
    said = {one for one, text in typed.items() if text.strip()}
    aside: set[str] = set()
    for group in WAYS.get(name, ()):
        if said & set(group):
            aside |= {one for other in WAYS[name] if other is not group for one in other}
    for (calculation, one), others in ONLY_WITH.items():
        if calculation == name and not said & set(others):
            aside.add(one)
    return {one: offer for one, offer in offered.items() if one not in typed and one not in aside}


def run_typed(
    name: str, typed: Mapping[str, str], offered: Mapping[str, Prefilled] | None = None, *, system: str = "metric"
) -> Worked | Unworked:
    """Run a calculation on what is typed, and on what is offered where nothing is typed.

    Args:
        name: one of CALCULATIONS.
        typed: text by input, a number alone in the unit printed beside it.
        offered: what the wine and the house offer, as prefill() gives it.
        system: the house's units.
    """
    calculation = CALCULATIONS[name]
    used = in_use(name, typed, offered or {})
    texts = {one: offer.text for one, offer in used.items()}
    texts |= {one: text for one, text in typed.items() if text.strip()}
    values, faults = read(calculation, texts, system)
    missing = {
        one.name: in_words(str(one.missing()), calculation)
        for one in calculation.inputs
        if one.default is REQUIRED and one.name not in texts
    }
    if not faults and not missing:
        try:
            return _worked(run(name, **values), texts, used, calculation, system)
        except CalcError as error:
            (faults if error.field in values else missing)[error.field] = in_words(str(error), calculation)
    return Unworked(faults, missing)


def read(
    calculation: Calculation, texts: Mapping[str, str], system: str = "metric"
) -> tuple[dict[str, object], dict[str, str]]:
    """Read typed inputs; return the values in canonical units, and a sentence for each that cannot be used."""
    known = {one.name: one for one in calculation.inputs}
    values: dict[str, object] = {}
    faults: dict[str, str] = {}
    for name, text in texts.items():
        if name not in known:
            faults[name] = f"{calculation.name} has no input {name}; it takes {', '.join(known)}."
            continue
        try:
            values[name] = _value(known[name], text, system)
        except (quantities.QuantityError, CalcError) as error:
            faults[name] = in_words(str(error), calculation)
    return values, faults


def in_words(sentence: str, calculation: Calculation) -> str:
    """Return a sentence of a calculation with its inputs named as they are on screen.

    A name of one word is taken for an input only where it begins the sentence.
    """
    for one in calculation.inputs:
        start = "" if "_" in one.name else "^"
        sentence = re.sub(rf"{start}\b{one.name}\b", label_of(one.name), sentence)
    return sentence


def _value(asked: Input, text: str, system: str) -> float | str | tuple[float, ...]:
    if asked.choices:
        return asked.read(text.strip().replace(" ", "_"))
    return asked.read(amount(asked, text, beside(asked, system) or None, label_of(asked.name)))


def amount(asked: Input, text: str, bare: str | None, field: str) -> float | list[float]:
    """Return what is typed for an input: a number in its canonical unit, or a list of them, separated by `;`.

    A list of plain numbers may be separated by spaces too.

    Raises:
        QuantityError: a number or its unit cannot be read.
    """
    unit = unit_of(asked.name, asked.unit)
    if not asked.many:
        return quantities.parse(text, unit, bare=bare, field=field).value
    parts = [part for part in text.split(";") if part.strip()] if ";" in text else text.split()
    return [quantities.parse(part, unit, bare=bare, field=field).value for part in parts or [text]]


def _worked(
    result: Result, texts: Mapping[str, str], used: Mapping[str, Prefilled], calculation: Calculation, system: str
) -> Worked:
    inputs = []
    for asked in calculation.inputs:
        if asked.name not in result.inputs:
            continue
        source = used[asked.name].source if asked.name in used else "" if asked.name in texts else "default"
        shown = shown_value(asked.name, result.inputs[asked.name], system)
        inputs.append(Figure(asked.name, label_of(asked.name), shown, source))
    asked_for = {asked.name for asked in calculation.inputs}
    results = tuple(
        Figure(name, label_of(name) + (" after" if name in CHANGED & asked_for else ""), shown_value(name, one, system))
        for name, one in result.values.items()
        if one.value != ""
    )
    return Worked(results, result.formula, tuple(inputs), result.source, result.cautions)


def shown_value(name: str, one: Quantity, system: str = "metric") -> str:
    """Return a value with its unit as the house reads it, with no more figures than it carries.

    >>> shown_value("amount", Quantity(4.7345, "g")), shown_value("stable", Quantity(True, ""))
    ('4.7 g', 'yes')
    """
    if isinstance(one.value, tuple):
        return "; ".join(shown_value(name, Quantity(each, one.unit), system) for each in one.value)
    if isinstance(one.value, bool):
        return "yes" if one.value else "no"
    if not isinstance(one.value, int | float):
        return f"{words(str(one.value))} {one.unit}".rstrip()
    unit = unit_of(name, one.unit)
    if unit in SCALES:
        return quantities.number(one.value, unit)
    if unit in ("", "x"):
        return f"{one.value:.4g} {one.unit}".rstrip()
    if not one.value:
        return f"{quantities.number(one.value, unit, system=system)} {quantities.shown_unit(unit, system)}"
    return quantities.show(one.value, unit, system=system)
