"""Which fields the form of each kind of entry shows, in which order, and what stands beside them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from cellar_tui.language import quantities
from cellar_tui.language.describe_entry import READING_NAMES, words
from cellar_tui.language.describe_setting import beside_value
from cellar_tui.language.parse_entry import field_name, shown_name
from cellar_tui.ledger import titrated, trial_doses
from cellar_tui.ledger.cellar_kinds import KINDS
from cellar_tui.ledger.fields import Spec, specs
from cellar_tui.ledger.house import ANY_WORD, SETTINGS
from cellar_tui.ledger.materials import MATERIALS, material
from cellar_tui.planning.wine_figures import WineFigures
from cellar_tui.service.build_entries import GOVERNING

DATE = "at"
REACH = "reach"
WAIVE = "waive"
LISTED = 16
"""Choices are listed beside their field when they take no more room than this."""

ORDER: dict[str, tuple[str, ...]] = {
    "reading": (
        "ph",
        "free_so2",
        "method",
        "sg",
        "temperature",
        "total_so2",
        "malic",
        "residual_sugar",
        "alcohol",
        "ta",
        "va",
        "turbidity",
        "conductivity_drop",
        "volume",
        "sample_temperature",
    ),
    "lab_report": (
        "laboratory",
        "reference",
        "method",
        "alcohol",
        "ph",
        "ta",
        "va",
        "free_so2",
        "total_so2",
        "residual_sugar",
        "malic",
    ),
    "addition": ("material", "amount", REACH, "strength", "for"),
    "racking": ("to", "volume", "cold"),
    "topping": ("with", "wine", "volume", "sugar", "alcohol"),
    "chill": ("start", "end", "temperature", "place"),
    "check": ("test", "result", "fault"),
    "bottle": ("count", "size", "filter", "left"),
    "postpone": ("action", "until", "reason"),
    "skip": ("action", "until", "reason"),
    "note": ("text",),
    "rule": ("value",),
    "material": ("amount", "strength", "opened", "lot"),
}
"""Fields of a form where not every field of the kind is wanted, or another order serves better."""

EVERY_READING = (*ORDER["reading"], "dip", "ullage", "yan", "brix", "dissolved_oxygen")
"""Every reading that a form asks for by name; how one was titrated is asked where it was."""
HOLD_LABELS = {"temperature": "wine now"}
"""Names of fields of a cold hold: what counts is the temperature of the wine itself."""

PREFILL: dict[str, dict[str, str]] = {
    "addition": {"material": "potassium_metabisulfite"},
    "bottle": {"size": "750"},
}


@dataclass(frozen=True, slots=True)
class Slot:
    """One field of a form: its name as typed on the command line, its label, the unit beside it, the words it takes.

    Attributes:
        names: the words are names that somebody gave, and are written as they are.
        materials: the words are materials, which go by names of the trade too, and others may be typed.
    """

    name: str
    label: str
    unit: str
    choices: tuple[str, ...] = ()
    names: bool = False
    materials: bool = False


def _spec(kind: str, name: str) -> Spec | None:
    return dict(specs(KINDS[kind])).get(field_name(name))


def unit_beside(kind: str, name: str, stuff: str, units: str) -> str:
    """Return the unit printed beside a field; that of a material follows its name, that of a house rule the rule's."""
    if kind == "rule":
        return beside_value(SETTINGS[stuff], units) if stuff in SETTINGS else ""
    if kind == "trial" and name in trial_doses.COUNTED:
        return f"{trial_doses.usual_unit(stuff)}{' copper' if stuff == trial_doses.COPPER else ''}"
    if kind in ("addition", "material") and name == "amount":
        return material(stuff).unit
    if kind == "addition" and name == REACH:
        aims = {"so2": "free or 0.8 mol", "sugar": "g/L"}
        return aims.get(material(stuff).sort, "mg/L")
    if kind in ("addition", "material") and name == "strength":
        known = material(stuff)
        return "share" if known.strength == 1.0 or known.unit == "g" else "g/L" if known.sort == "sugar" else "%"
    spec = _spec(kind, name)
    if spec is None or spec.sort != "number" or not spec.unit:
        return ""
    return quantities.shown_unit(spec.unit, units)


def bare_units(units: str) -> dict[str, str | None]:
    """Return the unit in which a bare number is read: the one printed beside its field."""
    return {unit: quantities.shown_unit(unit, units) for unit in ("L", "C", "SG")}


def reached(stuff: str, after: WineFigures) -> str:
    """Return what an addition reaches, in the unit that stands beside the field; "" where that is not known."""
    sort = material(stuff).sort
    values = {"so2": after.free_so2, "sorbate": after.sorbate, "sugar": after.sugar}
    value = values.get(sort)
    return "" if value is None else f"{value:.0f}"


def titration_asked(kind: str, texts: Mapping[str, str]) -> bool:
    """Return whether the form of a reading is to ask how it was titrated."""
    if kind != "reading":
        return False
    burette = any(quantities.is_burette(texts.get(name, "")) for name in titrated.MILLILITRES)
    return burette or (texts.get("method", "") == "titration" and not texts.get("free_so2"))


def slots(
    kind: str, names: tuple[str, ...] | None, units: str, also: Iterable[str] = (), stuff: str = ""
) -> list[Slot]:
    """Return the fields of a form: those named, else the kind's own order; then what else has text; the day last.

    `stuff` is the material or house rule where it is known beforehand; what governs every plan has no day.
    """
    every = tuple(shown_name(name) for name, _ in specs(KINDS[kind]))
    chosen = names if names is not None else ORDER.get(kind, every)
    more = tuple(name for name in also if name in every and name not in chosen)
    found = []
    for name in (*chosen, *more):
        spec = _spec(kind, name)
        choices = () if spec is None else spec.choices
        if spec is not None and spec.sort == "yes_no":
            choices = ("yes", "no")
        materials = (name == "material" and not choices) or (kind == "material" and name == "name")
        choices = tuple(MATERIALS) if materials else choices
        if kind == "rule" and stuff in SETTINGS and SETTINGS[stuff].words != ANY_WORD:
            choices = SETTINGS[stuff].words
        listed = "/".join(choices)
        beside = listed if 0 < len(listed) <= LISTED else unit_beside(kind, name, stuff, units)
        label = HOLD_LABELS.get(name, "") if kind == "chill" else ""
        label = label or READING_NAMES.get(name, words(name))
        found.append(Slot(name, label, beside, choices, materials=materials))
    return found if kind in GOVERNING else [*found, Slot(DATE, "day", "today, -3d")]
