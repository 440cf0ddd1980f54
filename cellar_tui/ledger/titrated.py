"""Readings typed as the millilitres of a titration, worked out with its normality and sample."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from cellar_tui.enology import titration
from cellar_tui.enology.errors import CalcError
from cellar_tui.ledger.kinds import Reading

MILLILITRES: Mapping[str, Callable[[float, float, float, float], float]] = MappingProxyType(
    {
        "free_so2": titration.so2,
        "total_so2": titration.so2,
        "ta": titration.ta,
        "va": titration.va,
        "yan": titration.yan,
    }
)
"""Values that a burette gives, and what makes them of titrant [mL], normality, sample [mL] and blank [mL]."""

SUFFIX = "_ml"
WITH = ("normality", "sample", "blank")
"""Fields of a reading that say how it was titrated."""
HOW = frozenset(WITH) | {f"{name}{SUFFIX}" for name in MILLILITRES}
"""Fields of a reading that are no value of the wine: they only say where one is from."""
DIGITS = 2
"""Digits after the point that are kept of a result: far below what a burette measures (common practice)."""


def typed(body: Reading) -> list[str]:
    """Return the names of the values that were typed as millilitres."""
    return [name for name in MILLILITRES if getattr(body, f"{name}{SUFFIX}") is not None]


def _result(body: Reading, name: str) -> float:
    run_in = getattr(body, f"{name}{SUFFIX}")
    return round(MILLILITRES[name](run_in, body.normality or 0.0, body.sample or 0.0, body.blank or 0.0), DIGITS)


def worked_out(body: Reading) -> Reading:
    """Return a reading with every value that was typed as millilitres worked out; what cannot be stays unknown.

    SO2 without a method counts as titrated by iodine, which reads high in reds: the cautious side.
    """
    values: dict[str, Any] = {}
    for name in typed(body):
        try:
            values[name] = _result(body, name)
        except CalcError:
            values[name] = None
    if body.method is None and {"free_so2", "total_so2"} & set(values):
        values["method"] = "titration"
    return replace(body, **values)


def faults(body: Reading) -> Iterator[tuple[str, str]]:
    """Yield what keeps a titration from being worked out: the field, and a sentence that says what to do."""
    names = typed(body)
    if names and (body.normality is None or body.sample is None):
        missing = "normality" if body.normality is None else "sample"
        yield missing, "millilitres of a titration need its normality and the mL of wine, such as 0.01 N and 20 mL."
        return
    for name in names:
        try:
            _result(body, name)
        except CalcError as error:
            yield (error.field if error.field in WITH else name), f"{error}."
