"""What a bench trial is counted in, and what its chosen dose says of the wine."""

from __future__ import annotations

from typing import Final, Literal

from cellar_tui.ledger.kinds import Body, Intent, Trial
from cellar_tui.ledger.materials import material

TrialUnit = Literal["g/hL", "g/L", "mg/L"]
FINING: Final[TrialUnit] = "g/hL"
"""Unit of a trial whose entry names none."""
COPPER = "copper_sulfate"
"""Tried by the copper that it brings [mg/L copper]; in g/hL it is the salt itself."""
IN_MG_L: Final[dict[str, float]] = {"g/hL": 10.0, "g/L": 1000.0, "mg/L": 1.0}
"""Milligrams a litre in one of each unit."""
COUNTED = ("doses", "chosen")
"""Fields that are counted in the unit of the trial."""


def usual_unit(stuff: str) -> TrialUnit:
    """Return the unit in which a material is tried: copper in mg/L, sugar and acid in g/L, a fining in g/hL."""
    if stuff == COPPER:
        return "mg/L"
    return "g/L" if material(stuff).sort in ("sugar", "acid", "carbonate") or stuff == "cream_of_tartar" else FINING


def unit_of(body: Trial) -> str:
    """Return the unit in which the doses of a trial are counted."""
    return body.unit or FINING


def by_copper(body: Trial) -> bool:
    """Return whether the doses of a trial are the copper that goes in, not the salt that brings it."""
    return body.material == COPPER and body.unit == "mg/L"


def shown_unit(body: Trial) -> str:
    """Return the unit of a trial's doses as it is shown."""
    return f"{unit_of(body)} copper" if by_copper(body) else unit_of(body)


def in_mg_l(body: Trial, dose: float) -> float:
    """Return a dose of a trial in mg/L of wine."""
    return dose * IN_MG_L[unit_of(body)]


def sweetness(body: Body) -> float | None:
    """Return the sweetness that a trial has chosen for the wine [g/L sugar], None where it chose none."""
    if not isinstance(body, Trial) or body.unit != "g/L" or material(body.material or "").sort != "sugar":
        return None
    return body.chosen


def wished_sweetness(body: Body) -> float | None:
    """Return the sweetness that an entry asks for [g/L sugar], by word or by the glass; None where it asks for none."""
    return body.sweetness if isinstance(body, Intent) else sweetness(body)
