"""What the chemistry says when it cannot answer: which quantity, which range, and what to do instead."""

from __future__ import annotations

import math
from dataclasses import dataclass


class CalcError(ValueError):
    """A calculation was asked for something it cannot work out.

    `field` is the name of the input at fault, or the empty string when it is the request as a whole.
    """

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.field = field


class OutOfRange(CalcError):
    """A quantity lies outside the range in which its formula or table holds."""


@dataclass(frozen=True)
class Range:
    """The closed interval in which a quantity can be used, and what to do when it is left.

    >>> Range("ph", 3.1, 3.5, "", "correct the pH first").check(3.3)
    3.3
    >>> Range("ph", 3.1, 3.5, "", "correct the pH first").check(3.9)
    Traceback (most recent call last):
    cellar_tui.enology.errors.OutOfRange: ph 3.9 is outside 3.1 to 3.5: correct the pH first
    """

    field: str
    low: float
    high: float
    unit: str
    instead: str

    def check(self, value: float, field: str = "") -> float:
        """Hand `value` back, or raise OutOfRange naming the quantity, the range and what to do."""
        if math.isfinite(value) and self.low <= value <= self.high:
            return value
        name = field or self.field
        unit = f" {self.unit}" if self.unit else ""
        raise OutOfRange(f"{name} {value:g}{unit} is outside {self.low:g} to {self.high:g}{unit}: {self.instead}", name)


VOLUME = Range("volume", 0.001, 1_000_000.0, "L", "give the volume of the wine in litres")
"""Any vessel: from a one-millilitre sample to the largest tank [common practice]."""
ALCOHOL = Range("alcohol", 0.0, 25.0, "% vol", "give the alcohol by volume of a wine, not of a spirit")
"""From must to the strongest fortified wine [common practice]."""
PH = Range("ph", 2.2, 4.8, "", "no wine has that pH: calibrate the pH meter in two buffers and measure again")
"""Where a pH reading of wine or must is physically credible [common practice]."""
SUGAR = Range("sugar", 0.0, 500.0, "g/L", "give the sugar in grams per litre of wine or must")
"""From a dry wine to the richest must [common practice]."""
