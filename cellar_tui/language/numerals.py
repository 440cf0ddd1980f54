"""Numbers as people type them: a sign, an integer, decimal or fraction, and whatever stands behind it."""

from __future__ import annotations

import re

LONGEST = 32
"""Most characters of a typed amount; no number and unit of a cellar needs more (common practice)."""

_VULGAR = {
    "¼": 1 / 4,
    "½": 1 / 2,
    "¾": 3 / 4,
    "⅓": 1 / 3,
    "⅔": 2 / 3,
    "⅕": 1 / 5,
    "⅖": 2 / 5,
    "⅗": 3 / 5,
    "⅘": 4 / 5,
    "⅙": 1 / 6,
    "⅚": 5 / 6,
    "⅛": 1 / 8,
    "⅜": 3 / 8,
    "⅝": 5 / 8,
    "⅞": 7 / 8,
}
_LOOKALIKES = str.maketrans({"\u2212": "-", "\u2044": "/", "\u2215": "/"})
_NUMBER = re.compile(
    rf"""(?P<sign>[+-]?)
    (?: (?:(?P<whole>[0-9]+)\s+)? (?P<above>[0-9]+)/(?P<below>[0-9]+)
      | (?P<before>[0-9]*)\s*(?P<vulgar>[{"".join(_VULGAR)}])
      | (?P<decimal>[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)
    )\s*""",
    re.VERBOSE,
)


class NumeralError(ValueError):
    """The text does not begin with one plain number; the message says how to write it."""


def split(text: str) -> tuple[float, str]:
    """Split `text` into the number it begins with and the rest, which is the unit or nothing.

    Point and comma are both decimal marks. Thousands marks, exponents, digits other than 0 to 9 and sums are
    refused, never guessed at.

    >>> split("1 1/4 tsp")
    (1.25, 'tsp')
    >>> split("3,31")
    (3.31, '')

    Raises:
        NumeralError: with one sentence saying what to type instead.
    """
    written = text.strip().translate(_LOOKALIKES)
    if len(written) > LONGEST:
        raise NumeralError(f"Type a number and its unit only, in at most {LONGEST} characters.")
    found = _NUMBER.match(written)
    if found is None:
        raise NumeralError(_why_no_number(written))
    rest = written[found.end() :]
    _refuse_more(rest)
    value = _value(found)
    return value if value else 0.0, rest


def _value(found: re.Match[str]) -> float:
    """Return the number that the groups of `found` stand for."""
    part = found.groupdict()
    if part["below"]:
        if not int(part["below"]):
            raise NumeralError("Write a fraction with a number other than 0 below the line, such as 1/4.")
        size = int(part["whole"] or 0) + int(part["above"]) / int(part["below"])
    elif part["vulgar"]:
        size = int(part["before"] or 0) + _VULGAR[part["vulgar"]]
    else:
        size = float(part["decimal"].replace(",", "."))
    return -size if part["sign"] == "-" else size


def _why_no_number(written: str) -> str:
    if not written:
        return "Type an amount, such as 2.5 g or 1 1/4 tsp."
    if written.lstrip("+-")[:1].isnumeric():
        return "Write the number with the digits 0 to 9."
    return "Begin with a number, such as 2.5 or 1 1/4, and put the unit behind it."


def _refuse_more(rest: str) -> None:
    """Refuse what can stand behind a number but is no unit: more digits, an exponent, a sum."""
    first, second = rest[:1], rest[1:2]
    if first.isnumeric() and not first.isdecimal():
        raise NumeralError("Write one number only, such as 1 1/4.")
    if first.isdecimal() and not first.isascii():
        raise NumeralError("Write the number with the digits 0 to 9.")
    if first.isdecimal() or (first and first in ".,'_’"):
        raise NumeralError("Write one number without thousands marks or gaps, such as 1234.5.")
    if first in ("e", "E") and (second.isdecimal() or (second and second in "+-")):
        raise NumeralError("Write the number out in full, such as 0.002, without an exponent.")
    if first and first in "+-*/^=":
        raise NumeralError("Write one number and its unit, not a sum or a range.")
