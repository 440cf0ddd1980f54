"""The glasses of a bench trial: what goes into each, by what is tried, and what each one showed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from cellar_tui.enology import fining, sweetening
from cellar_tui.enology.calculations.treatment import SMALL_DROP, SMALLEST_DROP
from cellar_tui.enology.errors import CalcError, Range
from cellar_tui.language import quantities
from cellar_tui.language.quantities import QuantityError
from cellar_tui.ledger import trial_doses
from cellar_tui.ledger.materials import MATERIALS, material

MOST_GLASSES = 8
"""Glasses that one person fills, tastes and compares at one go [common practice]."""
ACID_DOSE = Range("dose", 0.0, 10.0, "g/L", "give the dose in grams a litre, in steps of 0.25 or 0.5")
"""More acid than this is no correction [common practice]."""
SALT_DOSE = Range("dose", 0.0, 200.0, "mg/L", "give the dose in milligrams a litre")
"""A material that is tried by the mg/L is strong [common practice]."""
UNTREATED = "untreated"

Aim = Literal["fining", "sweetness", "acid", "copper"]
"""What a trial is for."""
_AIMS: Mapping[str, Aim] = {"sugar": "sweetness", "acid": "acid", "carbonate": "acid"}
"""Aims by the sort of the material; every other material is tried as a fining is."""
_USUAL: Mapping[str, tuple[str, str]] = {
    "bentonite": ("0 25 50 75 100", "5"),
    "gelatin": ("0 1 2.5 5", "1"),
    "tartaric_acid": ("0 0.25 0.5 0.75 1", "10"),
    "malic_acid": ("0 0.25 0.5 0.75 1", "10"),
    "copper_sulfate": ("0 0.05 0.1 0.15 0.2", "0.004"),
    "sugar": ("", "50"),
    "honey": ("", "50"),
}
"""Doses in the unit of the trial and strength of the stock [%] to begin with, by material.

Doses of finings span the usual range printed in a trade magazine's chart of materials [seen]: bentonite 25 to 100,
gelatin 1 to 5. Copper by 0.05 to 0.2 mg/L, 1 mL of a 0.004 % solution in 100 mL being 0.1 [seen: iowa-copper]. Acids,
syrup and the other strengths are common practice. The glass with nothing in it is what the others are compared with.
"""
_AROUND = (0.5, 0.75, 1.0, 1.25)
"""Glasses around the sweetness that is wished, as shares of what is missing [common practice]."""
_WITHOUT_WISH = (10, 20, 30, 40)
"""Rises of the glasses where no sweetness is wished yet [g/L] [common practice]."""

STUFF = (
    *(name for name, one in MATERIALS.items() if one.sort == "fining"),
    "copper_sulfate",
    "tartaric_acid",
    "malic_acid",
    "sugar",
    "syrup",
    "juice",
    "concentrate",
)
"""Materials offered by name; any other can be typed."""


@dataclass(frozen=True, slots=True)
class Trial:
    """What is tried, and in what it is counted.

    Attributes:
        stuff: the material.
        held: sugar that the wine holds already, which a sweetness counts in [g/L].
        wished: sweetness that is wished already [g/L], None where none is.
    """

    stuff: str
    held: float = 0.0
    wished: float | None = None

    @property
    def aim(self) -> Aim:
        """What the trial is for."""
        return "copper" if self.stuff == trial_doses.COPPER else _AIMS.get(material(self.stuff).sort, "fining")

    @property
    def unit(self) -> str:
        """Unit of its doses."""
        return trial_doses.usual_unit(self.stuff)

    @property
    def shown_unit(self) -> str:
        """Unit of its doses as it stands beside them."""
        return {"sweetness": f"{self.unit} sugar", "copper": f"{self.unit} copper"}.get(self.aim, self.unit)

    @property
    def usual(self) -> tuple[str, str]:
        """Doses and strength of the stock to begin with, as they can be typed; "" where nothing is usual."""
        doses, stock = _USUAL.get(self.stuff, ("", ""))
        if self.aim == "sweetness":
            missing = (self.wished or 0.0) - self.held
            rises = [share * missing for share in _AROUND] if missing > 1.0 else _WITHOUT_WISH
            doses = " ".join(dict.fromkeys(f"{round(self.held + rise)}" for rise in (0.0, *rises)))
            stock = stock or f"{material(self.stuff).strength / 10:.3g}"
        return doses, stock

    def rise(self, sweetness: float) -> float:
        """Return by how much sugar [g/L] a glass differs from the wine as it is."""
        return max(0.0, sweetness - self.held)

    def pour(self, dose: float, sample: float, stock: float) -> float:
        """Return the stock [mL] of a strength [g in 100 mL] that makes a dose of a sample [mL].

        Raises:
            CalcError: one of them cannot be.
        """
        fining.SAMPLE.check(sample)
        ways: Mapping[Aim, Callable[[], float]] = {
            "sweetness": lambda: sweetening.syrup_for(sample / 1000.0, self.rise(dose), stock * 10.0),
            "acid": lambda: fining.bench_ml(ACID_DOSE.check(dose) * 100.0, sample, stock),
            "copper": lambda: fining.copper_sulfate_ml(sample / 1000.0, fining.COPPER_DOSE.check(dose, "dose"), stock),
        }
        return ways.get(self.aim, lambda: fining.bench_ml(dose, sample, stock))()


@dataclass(frozen=True, slots=True)
class Glass:
    """One glass: its dose as it can be typed, the stock that goes into it, and what to know about that.

    Attributes:
        dose: as text in the unit of the trial.
        stock: millilitres as text, "untreated" for the glass without any.
        caution: "" where the stock can be measured out well.
    """

    dose: str
    stock: str
    caution: str = ""


@dataclass(frozen=True, slots=True)
class Glasses:
    """The glasses in the order of their doses, or by field why there are none yet."""

    glasses: tuple[Glass, ...]
    faults: Mapping[str, str]


def glasses(trial: Trial, doses: str, sample: str, stock: str, *, system: str = "metric") -> Glasses:
    """Return what goes into each glass.

    Args:
        trial: what is tried.
        doses: typed list, parted by spaces or `;`, bare numbers in the unit of the trial; a dose named twice makes one.
        sample: typed volume of wine in a glass, a bare number in mL.
        stock: typed strength of the stock, a bare number in grams in 100 mL; g/L is taken too.
        system: the house's units.
    """
    faults: dict[str, str] = {}
    read: dict[str, float] = {}
    for name, text, parse in (("sample", sample, _sample), ("stock", stock, _stock)):
        try:
            read[name] = parse(text)
        except QuantityError as error:
            faults[name] = str(error)
    try:
        wanted = _doses(trial, doses)
    except ValueError as error:
        faults["doses"] = str(error)
    if faults:
        return Glasses((), faults)
    found = []
    for dose in wanted:
        try:
            amount = trial.pour(dose, **read)
        except CalcError as error:
            return Glasses((), {_FIELDS.get(error.field, "doses"): str(error)})
        poured = quantities.show(amount, "mL", system=system) if amount else UNTREATED
        small = SMALL_DROP if 0.0 < amount < SMALLEST_DROP else ""
        found.append(Glass(f"{dose:g}", poured, small))
    return Glasses(tuple(found), {})


_FIELDS = {"sample": "sample", "stock": "stock", "syrup": "stock"}
"""Fields by the quantity that a calculation refuses; every other is the doses'."""


def chosen(trial: Trial, text: str) -> float | None:
    """Return the dose that is chosen, in the unit of the trial; None where none is.

    Raises:
        ValueError: it cannot be read, or no glass ever needs so much.
    """
    if not text.strip():
        return None
    dose = quantities.parse(text, trial.unit, field="chosen").value
    limits = {"sweetness": sweetening.RAISE_RANGE, "acid": ACID_DOSE, "copper": fining.COPPER_DOSE}
    return limits.get(trial.aim, fining.DOSE if trial.unit == trial_doses.FINING else SALT_DOSE).check(dose, "dose")


def _sample(text: str) -> float:
    return quantities.parse(text, "mL", field="sample").value


def _stock(text: str) -> float:
    """Read a strength: grams in 100 mL, or grams a litre where that is written."""
    if "g/" in text.casefold():
        return quantities.parse(text, "g/L", field="stock").value / 10.0
    return quantities.parse(text, "%", field="stock").value


def _doses(trial: Trial, text: str) -> Sequence[float]:
    """Read the list of doses, smallest first.

    Raises:
        ValueError: saying why it cannot be used.
    """
    parts = text.replace(";", " ").split()
    if not parts:
        like = trial.usual[0] or "0 25 50 100"
        raise ValueError(f"type the doses in {trial.shown_unit}, such as {like}.")
    found = sorted({quantities.parse(part, trial.unit, field="doses").value for part in parts})
    if len(found) > MOST_GLASSES:
        raise ValueError(f"{len(found)} glasses are more than can be compared at one go: take at most {MOST_GLASSES}.")
    return found


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
