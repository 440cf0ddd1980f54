"""Days as spreadsheets write them. Which of two numbers is the month is asked, never guessed."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import date, time
from typing import Literal

from cellar_tui.service.views import CellarError

Order = Literal["DMY", "MDY", "YMD"]
ORDERS: tuple[Order, ...] = ("DMY", "MDY", "YMD")

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_YEAR_FIRST = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})\.?")
_NUMBERS = re.compile(r"(\d{1,4})[-/. ]+(\d{1,2})[-/. ]+(\d{1,4})\.?")
_NAMED = re.compile(r"(\d{1,2})[-/. ]*([A-Za-z]{3,9})\.?,?[-/. ]*(\d{4}|\d{2})")
_NAMED_FIRST = re.compile(r"([A-Za-z]{3,9})\.? (\d{1,2}),? (\d{4})")
_HOUR = re.compile(r"(\d{1,2})[:.](\d{2})(?:[:.]\d{2}(?:\.\d+)?)?\s*([AaPp]\.?[Mm]\.?)?")
_AT = re.compile(r"(?P<day>.*?\d)(?:[T\s]+(?P<hour>\d{1,2}[:.]\d{2}(?:[:.]\d{2}(?:\.\d+)?)?\s*(?:[AaPp]\.?[Mm]\.?)?))?")

CENTURY = 2000
"""Century of a year of two figures: a cellar's sheets are of this one."""


class DayError(ValueError):
    """A cell that is no day, or no hour; the message is a sentence."""


def parts(cell: str) -> tuple[str, str]:
    """Return the day and the hour that stand in one cell, the hour "" where there is none."""
    found = _AT.fullmatch(cell.strip())
    return (found["day"].strip(), found["hour"] or "") if found else (cell.strip(), "")


def day(written: str, order: Order | None) -> date:
    """Read a day; `order` decides where numbers alone could be day or month, and None refuses those.

    >>> day("26/11/2026", "DMY"), day("11/26/26", "MDY"), day("2026-11-26", None), day("26 Nov 2026", None)
    (datetime.date(2026, 11, 26), datetime.date(2026, 11, 26), datetime.date(2026, 11, 26), datetime.date(2026, 11, 26))

    Raises:
        DayError: it is no day, or it is not said which number is the month.
    """
    if found := _YEAR_FIRST.fullmatch(written):
        return _made(int(found[1]), int(found[2]), int(found[3]), written)
    if found := _NAMED.fullmatch(written):
        return _made(_year(found[3]), _month(found[2], written), int(found[1]), written)
    if found := _NAMED_FIRST.fullmatch(written):
        return _made(_year(found[3]), _month(found[1], written), int(found[2]), written)
    found = _NUMBERS.fullmatch(written)
    if found is None:
        raise DayError(f"{written} is no day; write it as 2026-11-26." if written else "The day is missing.")
    if order is None:
        raise DayError(f"{written}: which number is the day?")
    place = {letter: found[index + 1] for index, letter in enumerate(order)}
    return _made(_year(place["Y"]), int(place["M"]), int(place["D"]), written)


def minute(written: str) -> int | None:
    """Read an hour of the day as its minute, None where nothing is written.

    >>> minute("14:30"), minute("2:30 PM"), minute("")
    (870, 870, None)

    Raises:
        DayError: it is no hour.
    """
    if not written.strip():
        return None
    found = _HOUR.fullmatch(written.strip())
    if found is None:
        raise DayError(f"{written} is no hour; write it as 14:30.")
    hour, half = int(found[1]), (found[3] or "").casefold()[:1]
    if half:
        hour = hour % 12 + (12 if half == "p" else 0) if 1 <= hour <= 12 else 99
    try:
        time(hour, int(found[2]))
    except ValueError as error:
        raise DayError(f"{written} is no hour; write it as 14:30.") from error
    return hour * 60 + int(found[2])


def order_of(cells: Iterable[str], said: str | None) -> Order | None:
    """Return the order in which the days of a sheet are to be read; None where none is needed.

    Raises:
        CellarError: a day can be read in two ways and nothing is said, or what is said is no order.
    """
    if said is not None:
        named = said.upper()
        for order in ORDERS:
            if named == order:
                return order
        raise CellarError("--dates is DMY, MDY or YMD: the order of day, month and year.", field="dates")
    unclear = [one for cell in cells if (one := parts(cell)[0]) and _unclear(one)]
    if not unclear:
        return None
    # A day that is none in any order is an error of its own row and decides nothing.
    days = [ways for one in unclear if (ways := {order for order in ORDERS if _fits(one, order)})]
    fitting = [order for order in ORDERS if days and all(order in ways for ways in days)]
    only = f" Only --dates {fitting[0]} fits every row." if len(fitting) == 1 else ""
    told = f"{unclear[0]}: which number is the day and which the month? Say it with --dates DMY, MDY or YMD.{only}"
    raise CellarError(told, field="dates")


def _unclear(written: str) -> bool:
    return _YEAR_FIRST.fullmatch(written) is None and _NUMBERS.fullmatch(written) is not None


def _fits(written: str, order: Order) -> bool:
    try:
        day(written, order)
    except DayError:
        return False
    return True


def _year(written: str) -> int:
    return int(written) + (CENTURY if len(written) <= 2 else 0)


def _month(written: str, whole: str) -> int:
    name = written.casefold()[:3]
    if name not in _MONTHS:
        raise DayError(f"{whole} is no day; write it as 2026-11-26.")
    return _MONTHS.index(name) + 1


def _made(year: int, month: int, number: int, written: str) -> date:
    try:
        if not 1900 <= year <= 2199:
            raise ValueError(year)
        return date(year, month, number)
    except ValueError as error:
        raise DayError(f"{written} is no day of the calendar; write it as 2026-11-26.") from error
