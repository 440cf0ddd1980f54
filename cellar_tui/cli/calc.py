"""One calculation on typed values, with its working, source and cautions."""

from __future__ import annotations

import inspect
from argparse import Namespace
from typing import Any

from cellar_tui.cli import output
from cellar_tui.cli.arguments import UsageError, pairs
from cellar_tui.enology.calculations import CALCULATIONS, REQUIRED, CalcError, Calculation, Input, Quantity, run
from cellar_tui.language import quantities
from cellar_tui.service.views import CellarError
from cellar_tui.workbench.calculate import amount, shown_value


def calculation(name: str) -> Calculation:
    """Return a calculation by name.

    Raises:
        CellarError: there is none of that name.
    """
    if name not in CALCULATIONS:
        raise CellarError(f"there is no calculation {name}; there are: {', '.join(CALCULATIONS)}.", field="name")
    return CALCULATIONS[name]


def read(found: Calculation, typed: dict[str, str]) -> dict[str, object]:
    """Read typed inputs in their units.

    Raises:
        CellarError: a value cannot be read.
    """
    known = {one.name: one for one in found.inputs}
    values: dict[str, object] = {}
    for name, text in typed.items():
        if name not in known:
            raise CellarError(f"{found.name} has no input {name}; it takes {', '.join(known)}.", field=name)
        if known[name].choices:
            values[name] = text.strip().replace(" ", "_")
            continue
        try:
            values[name] = amount(known[name], text, None, name)
        except quantities.QuantityError as error:
            raise CellarError(str(error), field=name) from error
    return values


def calc(arg: Namespace) -> int:
    """Run one calculation, or list them."""
    if arg.name is None:
        if arg.json:
            output.document(
                [
                    {"name": one.name, "title": one.title, "inputs": [i.name for i in one.inputs]}
                    for one in CALCULATIONS.values()
                ]
            )
        else:
            output.lines(*(f"{one.name:<24} {one.title}" for one in CALCULATIONS.values()))
        return output.DONE
    if "=" in arg.name:
        raise UsageError("name the calculation first: calc NAME name=value.")
    found = calculation(arg.name)
    try:
        result = run(found.name, **read(found, pairs(arg.fields)))
    except CalcError as error:
        raise CellarError(str(error), field=error.field) from error
    if arg.json:
        output.document(
            {
                "result": {name: _plain(one) for name, one in result.values.items()},
                "formula": result.formula,
                "inputs": {name: _plain(one) for name, one in result.inputs.items()},
                "source": result.source,
                "cautions": list(result.cautions),
            }
        )
        return output.DONE
    output.lines(*(f"{name}: {shown_value(name, one)}" for name, one in result.values.items()))
    output.lines("", result.formula)
    output.lines(*(f"  {name} = {shown_value(name, one)}" for name, one in result.inputs.items()))
    output.lines(f"Source: {result.source}", *(f"! {caution}" for caution in result.cautions))
    return output.DONE


def _plain(one: Quantity) -> dict[str, Any]:
    return {"value": one.value, "unit": one.unit}


def told(name: str) -> list[str]:
    """Return what a calculation does and takes, line by line.

    Raises:
        CellarError: there is none of that name.
    """
    found = calculation(name)
    return [*inspect.cleandoc(found.docstring).splitlines(), "", "Inputs", *map(_input, found.inputs)]


def _input(asked: Input) -> str:
    takes = [f"one of {', '.join(asked.choices)}" if asked.choices else asked.unit]
    if asked.many:
        takes.append("a list, separated by ;")
    if asked.default is not REQUIRED:
        takes.append("may be left out" if asked.default is None else f"{asked.default} where left out")
    noted = ", ".join(filter(None, takes))
    return f"  {asked.name:<24}  {asked.help}" + (f" ({noted})" if noted else "")
