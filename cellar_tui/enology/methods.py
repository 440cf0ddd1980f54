"""How far a free SO2 reading can be trusted, by method: its spread and the side it errs to."""

from __future__ import annotations

from dataclasses import dataclass

from cellar_tui.enology.errors import CalcError
from cellar_tui.enology.so2 import FREE_RANGE


@dataclass(frozen=True)
class Method:
    """Spread of a way to measure free SO2: `fixed` [mg/L] plus `share` [-] of the reading, steps [mg/L], its bias."""

    title: str
    fixed: float
    share: float
    step: float
    band: float
    bias: str


METHODS = {
    "aspiration": Method(
        "aeration-oxidation", 1.2, 0.04, 0.0, 2.0, "reads true in whites; warm runs drive bound SO2 off and read high"
    ),
    "titration": Method(
        "iodine titration", 2.5, 0.06, 0.0, 3.0, "reads high in reds, where tannin and pigment use iodine too"
    ),
    "strip": Method(
        "test strip", 4.0, 0.15, 5.0, 10.0, "one strip shows a trend: take two the same day before dosing on it"
    ),
}
"""Spread by method: `fixed`, `share`, `step` are the forecast's [assumed]; `band` is the trade's plus or minus [mg/L]
[common practice]; the bias of titration in reds is known in size only for a given wine [common practice]."""
STRIP_LIMIT = 20.0
"""Reading [mg/L] over which a single strip is no base for a dose or a verdict [common practice]."""
PH_ERROR = 0.05
"""Error of a pH meter calibrated the same day [common practice]."""


def method_of(name: str) -> Method:
    """The method of a name, or CalcError naming those known.

    >>> method_of("strip").step
    5.0
    """
    if name not in METHODS:
        raise CalcError(f"method {name!r} is not known for free SO2: use one of {', '.join(METHODS)}", "method")
    return METHODS[name]


def spread(name: str, free_so2: float) -> float:
    """Standard deviation [mg/L] of one free SO2 reading [mg/L]: fixed part plus a share of the reading.

    Equation: fixed + share * reading. Valid: practised hands, 0 to 100 mg/L. Outside: CalcError for an unknown method,
    OutOfRange for a reading no wine gives. Source: common practice; the shares are assumptions of the forecast.

    >>> round(spread("aspiration", 25.0), 2)
    2.2
    """
    method = method_of(name)
    return method.fixed + method.share * FREE_RANGE.check(free_so2)
