"""Days and hours as people type them, read against a day that is handed in; nothing here knows what day it is."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta

FORMS = "YYYY-MM-DD, today, yesterday, tomorrow, -3d or +3d"
"""The forms in which a day may be typed."""

_WORDS = {"yesterday": -1, "today": 0, "tomorrow": 1}
_DAYS_AWAY = re.compile(r"([+-])([0-9]{1,5})d")
_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_HOUR = re.compile(r"(?P<day>.+?)(?:[tT]|\s+)(?P<hour>[0-9]{2}):(?P<minute>[0-9]{2})(?P<rest>.*)")
_OFFSET = re.compile(r"\s*(?:[zZ]|[+-][0-9]{2}(?::?[0-9]{2})?|UTC|GMT)")
_FIRST_YEAR, _LAST_YEAR = 1900, 2199

_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


class WhenError(ValueError):
    """The text is no day or hour that is understood; the message is one sentence naming what is."""


@dataclass(frozen=True, slots=True)
class When:
    """A civil day of the cellar and, where one was given, the minute of that day.

    Attributes:
        day: as written on the barrel tag, in the zone of the house rules.
        minute: 0 to 1439, None where no hour was given.
    """

    day: date
    minute: int | None = None


def parse_when(text: str, today: date) -> When:
    """Read a day with or without an hour: any of FORMS, an ISO day or a word also with `THH:MM` or ` HH:MM`.

    >>> parse_when("2026-11-26T14:30", date(2026, 11, 26))
    When(day=datetime.date(2026, 11, 26), minute=870)

    Raises:
        WhenError: anything else, an offset or zone among it: the zone is a house rule.
    """
    written = text.strip().replace("\u2212", "-")
    timed = _HOUR.fullmatch(written)
    if timed is None:
        return When(_day(written, today, hours=True))
    if _OFFSET.fullmatch(timed["rest"]):
        raise WhenError("Leave out the offset: the zone is a house rule, so type the cellar's own time as HH:MM.")
    hour, minute = int(timed["hour"]), int(timed["minute"])
    if timed["rest"] or hour > 23 or minute > 59:
        raise WhenError("Type the hour as HH:MM between 00:00 and 23:59.")
    return When(_day(timed["day"], today, hours=True), 60 * hour + minute)


def parse_date(text: str, today: date) -> date:
    """Read a day without an hour, in any of FORMS.

    Raises:
        WhenError: anything else, an hour among it.
    """
    return _day(text.strip().replace("\u2212", "-"), today, hours=False)


def echo(when: When | date) -> str:
    """Return a day, with its hour where it has one, as it is said back to whoever typed it.

    >>> echo(date(2026, 11, 26)), echo(When(date(2026, 11, 26), 870))
    ('Thu 26 Nov 2026', 'Thu 26 Nov 2026 14:30')
    """
    day, minute = (when.day, when.minute) if isinstance(when, When) else (when, None)
    said = f"{_WEEKDAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]} {day.year}"
    return said if minute is None else f"{said} {minute // 60:02d}:{minute % 60:02d}"


def _day(written: str, today: date, *, hours: bool) -> date:
    """Return the day that `written` names; `hours` tells whether the forms named in a refusal include an hour."""
    word = written.casefold()
    if word in _WORDS:
        return today + timedelta(days=_WORDS[word])
    if away := _DAYS_AWAY.fullmatch(word):
        return _days_from(today, int(away[2]) * (-1 if away[1] == "-" else 1))
    if spelled := _DAY.fullmatch(word):
        return _calendar_day(int(spelled[1]), int(spelled[2]), int(spelled[3]))
    raise WhenError(f"Type a day as {FORMS}{', or with the hour behind it: THH:MM' if hours else ', without an hour'}.")


def _days_from(today: date, days: int) -> date:
    try:
        return today + timedelta(days=days)
    except OverflowError:
        raise WhenError("That day lies outside the calendar; type fewer days.") from None


def _calendar_day(year: int, month: int, day: int) -> date:
    if not _FIRST_YEAR <= year <= _LAST_YEAR:
        raise WhenError(f"Type a year between {_FIRST_YEAR} and {_LAST_YEAR}.")
    try:
        return date(year, month, day)
    except ValueError:
        raise WhenError(f"There is no day {year}-{month:02d}-{day:02d} in the calendar; check month and day.") from None
