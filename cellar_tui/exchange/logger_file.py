"""A temperature logger's file, of any length, as one reading with its series.

The rows are read one by one: in memory stands the warmest of each hour, and the text that is kept beside the ledger.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from pathlib import Path

from cellar_tui.exchange import columns, dates, sheet_file
from cellar_tui.exchange.sheet_file import Row
from cellar_tui.language import numerals, quantities
from cellar_tui.ledger.fields import specs
from cellar_tui.ledger.kinds import Series
from cellar_tui.service.series import PART, Logged
from cellar_tui.service.series_rows import digest_of
from cellar_tui.service.views import CellarError

DAYS = ("date", "datetime", "date_time", "timestamp", "time_stamp", "day")
HOURS = ("time", "hour")
WARMTHS = ("temperature", "temp", "temperature_c", "temp_c", "celsius", "temperature_f", "temp_f", "value")
"""Heads that loggers commonly write; common practice."""

MOST_POINTS = 1500
"""Most points of a series in the ledger: two months by the hour; a longer one gets longer stretches."""

EACH = 20_000
"""Rows after which progress is told."""

_SPEC = dict(specs(Series))["temperature"]


@dataclass(slots=True)
class _Gathered:
    """What has been read so far."""

    first: datetime | None = None
    last: datetime | None = None
    warmth: float = 0.0
    lowest: float = float("inf")
    highest: float = float("-inf")
    count: int = 0
    hours: dict[int, float] = field(default_factory=dict)
    lines: list[str] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)
    length: int = 0

    def add(self, at: datetime, warmth: float) -> None:
        """Take one row in."""
        if self.first is None or at < self.first:
            self.first = at
        if self.last is None or at >= self.last:
            self.last, self.warmth = at, warmth
        self.lowest, self.highest = min(self.lowest, warmth), max(self.highest, warmth)
        self.count += 1
        hour = at.toordinal() * 24 + at.hour
        self.hours[hour] = max(warmth, self.hours.get(hour, warmth))
        line = f"{at.isoformat(timespec='minutes')},{warmth:g}\n"
        self.lines.append(line)
        self.length += len(line)
        if self.length > PART:
            self.close()

    def close(self) -> None:
        """Put the lines gathered so far into a text."""
        if self.lines:
            self.texts.append("".join(self.lines))
        self.lines, self.length = [], 0


def read(
    path: Path,
    said: Mapping[str, str],
    order: str | None,
    bare: str | None,
    progress: Callable[[int], None] = lambda rows: None,
) -> Logged:
    """Read a logger's file.

    Args:
        path: the file.
        said: head -> `date`, `time`, `temperature` or `-`, where the heads do not say it.
        order: DMY, MDY or YMD, None where nothing is said.
        bare: unit of temperatures whose head names none; None where that has to be said.
        progress: handed the number of rows read so far.

    Raises:
        CellarError: it cannot be read, or a row is no temperature of a wine at a time.
    """
    gathered = _Gathered()
    with sheet_file.opened(path, lambda row: _places(row, said) is not None) as sheet:
        places = _places(sheet.heads, said)
        if places is None:
            told = f"Say which columns are the time and the temperature; there are: {', '.join(sheet.heads)}."
            example = '--map "COLUMN=date" --map "COLUMN=temperature"'
            raise CellarError(f"{told} {example}", field="map")
        scale = _scale(sheet.heads[places[2]], bare)
        known: dates.Order | None = dates.order_of((), order)
        for count, row in enumerate(sheet.rows, 1):
            gathered.add(*_row(row, places, known, scale))
            if count % EACH == 0:
                progress(count)
    gathered.close()
    if gathered.first is None or gathered.last is None:
        raise CellarError("There is no temperature in that file.", field="file")
    return Logged(_body(gathered, gathered.first, gathered.last), gathered.last, tuple(gathered.texts))


def _places(heads: Sequence[str], said: Mapping[str, str]) -> tuple[int, int | None, int] | None:
    """Return the places of day, hour (None where the day's cell holds it) and temperature; None where unclear."""
    mapped = {columns.key(head): name for head, name in said.items()}
    names = [mapped.get(columns.key(head), columns.key(head)) for head in heads]

    def place(known: Sequence[str]) -> int | None:
        return next((index for index, name in enumerate(names) if name in known), None)

    day, hour, warmth = place(DAYS), place(HOURS), place(WARMTHS)
    if day is None:
        day, hour = hour, None
    return None if day is None or warmth is None else (day, hour, warmth)


def _scale(head: str, bare: str | None) -> tuple[float, float]:
    """Return slope and offset from the head's unit to Celsius."""
    name = columns.key(head)
    unit = columns.unit(head) or ("F" if name.endswith("_f") else "C" if name.endswith(("_c", "celsius")) else bare)
    if unit is None:
        raise CellarError(f"{head} names no unit: write it as {head} (C) or {head} (F).", field="map")
    try:
        zero, hundred = (quantities.parse(f"{size} {unit}", "C").value for size in (0, 100))
    except quantities.QuantityError as error:
        raise CellarError(f"{head}: {error}", field="map") from error
    return (hundred - zero) / 100, zero


def _row(
    row: Row, places: tuple[int, int | None, int], order: dates.Order | None, scale: tuple[float, float]
) -> tuple[datetime, float]:
    try:
        written, hour = dates.parts(row.cells[places[0]])
        on: date = dates.day(written, order)
        minute = dates.minute(hour if places[1] is None else row.cells[places[1]])
        if minute is None:
            raise dates.DayError("The hour is missing.")
        size, rest = numerals.split(row.cells[places[2]])
        if rest.strip():
            raise numerals.NumeralError(f"{row.cells[places[2]]} is no number alone.")
    except (dates.DayError, numerals.NumeralError) as error:
        asked = " Say it with --dates DMY, MDY or YMD." if "which number" in str(error) else ""
        raise CellarError(f"Row {row.number}: {error}{asked} Nothing was recorded.", field="file") from error
    warmth = round(scale[0] * size + scale[1], 2)
    if not _SPEC.low <= warmth <= _SPEC.high:
        told = f"{warmth:g} C cannot be right: it must lie between {_SPEC.low:g} and {_SPEC.high:g} C"
        raise CellarError(f"Row {row.number}: {told}. Nothing was recorded.", field="file")
    return datetime.combine(on, time()) + timedelta(minutes=minute), warmth


def _body(gathered: _Gathered, first: datetime, last: datetime) -> Series:
    stretch = -(-len(gathered.hours) // MOST_POINTS)
    warmest: dict[int, float] = {}
    for hour, warmth in gathered.hours.items():
        place = hour // stretch * stretch
        warmest[place] = max(warmth, warmest.get(place, warmth))
    points: list[float] = []
    for place, warmth in sorted(warmest.items()):
        begin = datetime.fromordinal(place // 24) + timedelta(hours=place % 24)
        points += [(last - max(begin, first)) / timedelta(minutes=1), warmth]
    return Series(
        temperature=gathered.warmth,
        count=float(gathered.count),
        lowest=gathered.lowest,
        highest=gathered.highest,
        digest=digest_of(gathered.texts),
        parts=len(gathered.texts),
        points=tuple(points),
    )
