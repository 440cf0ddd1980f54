"""A bench trial as it is planned: millilitres of stock per glass, what each glass showed, the chosen dose scaled up."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from cellar_tui import quantities
from cellar_tui.enology.calculations import CALCULATIONS, CalcError, run
from cellar_tui.quantities import QuantityError
from cellar_tui.workbench import Unworked, Worked, read, run_typed

MOST_GLASSES = 8
"""Glasses that one person fills, tastes and compares at one go [common practice]."""

USUAL: Mapping[str, tuple[str, str]] = MappingProxyType({
    "bentonite": ("0 25 50 75 100", "5"),
    "gelatin": ("0 1 2.5 5", "1"),
})  # fmt: skip
"""Doses [g/hL] and strength of the stock [%] to begin with, by material.

Doses span the usual range printed in a trade magazine's chart of materials [seen]: bentonite 25 to 100, gelatin 1 to 5;
strengths are common practice. The glass with nothing in it is what the others are compared with.
"""


@dataclass(frozen=True, slots=True)
class Glass:
    """One glass: its dose as text in g/hL, the stock that goes into it, and what to know about that.

    Attributes:
        dose: as it can be typed, in g/hL.
        stock: millilitres as text, "untreated" for the glass without any.
        caution: "" where the stock can be measured out well.
    """

    dose: str
    stock: str
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Glasses:
    """The glasses in the order of their doses, or by input why there are none yet."""

    glasses: tuple[Glass, ...]
    faults: Mapping[str, str]


def glasses(doses: str, sample: str, stock: str, *, system: str = "metric") -> Glasses:
    """Return what goes into each glass.

    Args:
        doses: typed list, parted by spaces or `;`, bare numbers in g/hL; a dose named twice makes one glass.
        sample: typed volume of wine in a glass, a bare number in mL.
        stock: typed strength of the stock, a bare number in %.
        system: the house's units.
    """
    trial = CALCULATIONS["bench_trial"]
    values, faults = read(trial, {"sample": sample, "stock": stock}, system)
    wanted, fault = _doses(doses)
    if fault:
        faults["doses"] = fault
    if faults:
        return Glasses((), faults)
    found = []
    for dose in wanted:
        try:
            result = run("bench_trial", dose=dose, **values)
        except CalcError as error:
            return Glasses((), {"doses" if error.field == "dose" else error.field: str(error)})
        amount = result.values["amount"].value
        assert isinstance(amount, float)
        poured = quantities.show(amount, "mL", system=system) if amount else "untreated"
        found.append(Glass(quantities.number(dose, "g/hL", system=system), poured, "; ".join(result.cautions)))
    return Glasses(tuple(found), {})


def _doses(text: str) -> tuple[list[float], str]:
    """Read the list of doses, smallest first; return it with the sentence that says why it cannot be used."""
    parts = text.replace(";", " ").split()
    if not parts:
        return [], "type the doses in g/hL, such as 0 25 50 100."
    try:
        found = sorted({quantities.parse(part, "g/hL", field="doses").value for part in parts})
    except QuantityError as error:
        return [], str(error)
    if len(found) > MOST_GLASSES:
        return [], f"{len(found)} glasses are more than can be compared at one go: take at most {MOST_GLASSES}."
    return found, ""


def results(tried: Sequence[Glass], said: Sequence[str]) -> str:
    """Return what the glasses showed, as one text: "0 hazy; 25 faint; 50 clear"; "" where nothing was said.

    >>> results([Glass("0", "untreated"), Glass("25", "0.5 mL")], ["hazy", "clear"])
    '0 hazy; 25 clear'
    """
    words = (f"{glass.dose} {' '.join(word.split())}" for glass, word in zip(tried, said, strict=False) if word.strip())
    return "; ".join(words)


def scaled(dose: str, volume: str, stock: str, *, system: str = "metric") -> Worked | Unworked:
    """Return what the vessel needs at a dose: fining to weigh and slurry, with the working."""
    typed = {"dose": dose, "volume": volume, "stock": stock}
    return run_typed("fining_dose", typed, system=system)
