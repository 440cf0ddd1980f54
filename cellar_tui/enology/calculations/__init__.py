"""Every calculation by name, for the command line and the workbench: inputs, working, source and cautions."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from cellar_tui.enology.calculations import (
    blends,
    cellarwork,
    laboratory,
    must,
    sparkling,
    spirits,
    stability,
    strength,
    sulfur,
    sweetness,
    treatment,
    vessels,
)
from cellar_tui.enology.calculations.model import REQUIRED, Calculation, Input, Quantity, Result
from cellar_tui.enology.errors import CalcError, OutOfRange

__all__ = ["CALCULATIONS", "REQUIRED", "CalcError", "Calculation", "Input", "OutOfRange", "Quantity", "Result", "run"]

CALCULATIONS: Mapping[str, Calculation] = MappingProxyType(
    {
        calculation.name: calculation
        for topic in (
            sulfur,
            must,
            strength,
            spirits,
            sweetness,
            sparkling,
            stability,
            treatment,
            blends,
            laboratory,
            vessels,
            cellarwork,
        )
        for calculation in topic.CALCULATIONS
    }
)
"""The calculations by name, in the order in which they are listed."""


def run(name: str, /, **inputs: object) -> Result:
    """Run a calculation by name on inputs in the units it states.

    Raises CalcError for an unknown name and for inputs unknown, missing or unusable, OutOfRange outside a range;
    both carry the name of the input at fault in `field`, and say what to do.

    >>> run("free_so2_needed", ph=3.40, molecular_so2=0.8).values["free_so2"].unit
    'mg/L'
    """
    if name not in CALCULATIONS:
        raise CalcError(f"there is no calculation {name!r}: use one of {', '.join(CALCULATIONS)}", "name")
    return CALCULATIONS[name].run(inputs)
