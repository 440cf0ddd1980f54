"""A bench trial as it is planned: millilitres of stock per glass, what each glass showed, the chosen dose scaled up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from cellar_tui.enology.calculations import CALCULATIONS, CalcError, run
from cellar_tui.language import quantities
from cellar_tui.language.quantities import QuantityError
from cellar_tui.workbench.calculate import Unworked, Worked, read, run_typed
from cellar_tui.workbench.prefill import Prefilled

MOST_GLASSES = 8
"""Glasses that one person fills, tastes and compares at one go [common practice]."""

USUAL: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "bentonite": ("0 25 50 75 100", "5"),
        "gelatin": ("0 1 2.5 5", "1"),
    }
)
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


def results(said: Mapping[str, str]) -> str:
    """Return what the glasses showed, by dose, as one text; "" where nothing was said.

    >>> results({"0": "hazy", "25": "", "50": "clear; good nose"})
    '0 hazy; 50 clear, good nose'
    """
    words = ((dose, " ".join(word.replace(";", ",").split())) for dose, word in said.items())
    return "; ".join(f"{dose} {word}" for dose, word in words if word)


def said_of(text: str) -> dict[str, str]:
    """Return by dose what results() made one text of.

    >>> said_of("0 hazy; 50 clear, good nose")
    {'0': 'hazy', '50': 'clear, good nose'}
    """
    parts = (part.partition(" ") for part in text.split("; ") if part)
    return {dose: word for dose, _, word in parts}


def scaled(
    dose: str, stock: str, offered: Mapping[str, Prefilled], *, system: str = "metric"
) -> Worked | Unworked | None:
    """Return what the vessel needs at a dose, with the working; None while no dose is chosen.

    `offered` brings the volume, as prefill() gives it for `fining_dose`.
    """
    if not dose.strip():
        return None
    typed = {"dose": dose, **({"stock": stock} if stock.strip() else {})}
    return run_typed("fining_dose", typed, offered, system=system)
