"""One reading over time, drawn as text: readings, the line between them, what was done, a target and a forecast band.

A pure function of what is drawn and of the room there is.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import column, wrapped
from cellar_tui.tui.widgets.chart_marks import BLOCKS, Marks
from cellar_tui.tui.widgets.chart_scale import Levels, levels, ticks

Part = tuple[str, str]
"""Text with its role."""
LONGEST = timedelta(days=183)
"""Time between two readings over which no line is drawn: nobody knows what the wine did in half a year."""
LEAST_ROWS, LEAST_COLUMNS = 3, 8
"""Cells of the smallest field."""
DID = "did"
TODAY = "today"
COUNTED = 9
"""Cells that the name of a counted day takes, with the space around it."""


@dataclass(frozen=True, slots=True)
class Deed:
    """Something that was done to the wine.

    Attributes:
        on: day.
        mark: its letter.
        name: what the letter means.
        follows: where it moved the value that is drawn, so that the line breaks there: how many of the readings were
            taken before it; None where it did not.
    """

    on: date
    mark: str
    name: str
    follows: int | None = None


@dataclass(frozen=True, slots=True)
class Series:
    """What is drawn.

    Attributes:
        title: name and unit.
        digits: figures after the point on the axis.
        points: day and value of each reading, oldest first.
        today: marked on the axis.
        target: a level not to fall under, None where there is none.
        band: day, low, middle and high of a forecast.
        from_zero: the axis begins at nothing.
        deeds: what was done; of two in one cell the first is shown.
        window: first and last day of the axis, None for all that there is.
        zooms: names of the windows to choose from, and the one that is shown.
        before: the last reading before the window, from which the line comes in; worked out by `cut`.
        over: other series laid over it, of the same days.
        chosen: a day that is marked over the whole height.
        zero: the day that the axis counts from, where it names no dates.
    """

    title: str
    digits: int
    points: Sequence[tuple[date, float]]
    today: date
    target: float | None = None
    band: Sequence[tuple[date, float, float, float]] = ()
    from_zero: bool = False
    deeds: Sequence[Deed] = ()
    window: tuple[date, date] | None = None
    zooms: tuple[Sequence[str], str] = ((), "")
    before: Sequence[tuple[date, float]] = ()
    over: Sequence[Series] = ()
    chosen: date | None = None
    zero: date | None = None

    @property
    def days(self) -> tuple[date, date]:
        """First and last day of the axis."""
        every = [day for day, _ in self.points] + [one[0] for one in self.band]
        first, last = self.window or (min(every), max(*every, self.today))
        return first, max(last, first + timedelta(days=1))

    @property
    def aim(self) -> str:
        """The target as it stands beside its line."""
        return "" if self.target is None else f" {self.target:.{self.digits}f}"

    def cut(self) -> Series:
        """Return what of it lies in its window; the band ends at the edge of it, the line comes in from before."""
        first, last = self.days
        begin = sum(1 for day, _ in self.points if day < first)
        broken = any(deed.follows == begin for deed in self.deeds if deed.on < first)
        before = [] if broken else self.points[max(0, begin - 1) : begin]
        return replace(
            self,
            points=[point for point in self.points if first <= point[0] <= last],
            before=before,
            deeds=[
                deed if deed.follows is None else replace(deed, follows=deed.follows - begin + len(before))
                for deed in self.deeds
                if first <= deed.on <= last
            ],
            band=_within(self.band, last),
            over=[replace(one, window=(first, last)).cut() for one in self.over],
        )

    def levels(self, rows: int) -> Levels:
        """Return the scale of its values in so many rows."""
        every = [value for _, value in self.points] + [value for one in self.band for value in one[1:]]
        every += [] if self.target is None else [self.target]
        every += [value for one in self.over for _, value in one.points]
        for (day, value), (then, value2) in zip(self.before, self.points[:1], strict=False):
            every.append(value + (value2 - value) * ((self.days[0] - day) / (then - day)))
        return levels(0.0 if self.from_zero else min(every), max(every), self.digits, rows)


def _within(band: Sequence[tuple[date, float, float, float]], last: date) -> list[tuple[date, float, float, float]]:
    """Return a band up to a day, its edges on that day worked out between the days that are forecast."""
    kept = [one for one in band if one[0] <= last]
    after = next((one for one in band if one[0] > last), None)
    if kept and after is not None and kept[-1][0] < last:
        (day, *edges), (then, *later) = kept[-1], after
        part = (last - day) / (then - day)
        low, middle, high = (one + (other - one) * part for one, other in zip(edges, later, strict=True))
        kept.append((last, low, middle, high))
    return kept


class Drawing:
    """A field of cells with the days along it and the values up it."""

    def __init__(self, series: Series, scale: Levels, size: tuple[int, int], marks: Marks, side: int) -> None:
        self.series = series
        self.scale = scale
        self.marks = marks
        self.side = side
        self.width, self.height = size
        self.cells: dict[tuple[int, int], Part] = {}
        self.first, self.last = series.days

    def x(self, day: date, points: int = 1) -> int:
        """Return the column of a day, of so many points in a cell; outside of the field before its first day."""
        share = (day - self.first) / (self.last - self.first)
        return math.floor((share * (self.width - 1) + 0.5) * points)

    def y(self, value: float, points: int = 1) -> int:
        """Return the row of a value, 0 at the top, of so many points in a cell; outside of the field off its scale."""
        share = (self.scale.high - value) / (self.scale.high - self.scale.low)
        return math.floor((share * (self.height - 1) + 0.5) * points)

    def fill(self) -> None:
        """Draw all of it, what matters most over the rest."""
        self._chosen()
        self._band()
        self._target()
        for mark, one in zip(self.marks.others, self.series.over, strict=False):
            self._line(one, "quiet")
            self.cells |= {self._cell(day, value): (mark, "accent") for day, value in one.points}
        self._line(self.series, "plain")
        self.cells |= {self._cell(day, value): (self.marks.reading, "proven") for day, value in self.series.points}

    def _chosen(self) -> None:
        """Mark the chosen day where nothing else is drawn."""
        if self.series.chosen is not None:
            x = self.x(self.series.chosen)
            self.cells |= {(x, y): (self.marks.chosen, "accent") for y in range(self.height)}

    def _cell(self, day: date, value: float) -> tuple[int, int]:
        """Return the cell in which the point of a reading lies."""
        across, down = self.marks.across, self.marks.down
        return self.x(day, across) // across, self.y(value, down) // down

    def _band(self) -> None:
        """Shade what is to come between its edges."""
        for (day, low, _, high), (then, low2, _, high2) in zip(self.series.band, self.series.band[1:], strict=False):
            begin, end = self.x(day), max(self.x(then), self.x(day) + 1)
            for x in range(begin, min(end + 1, self.width)):
                part = min((x - begin) / (end - begin), 1.0)
                top, foot = self.y(high + (high2 - high) * part), self.y(low + (low2 - low) * part)
                self.cells |= {(x, y): (self.marks.band, "quiet") for y in range(top, foot + 1)}

    def _target(self) -> None:
        """Draw the level not to fall under."""
        if self.series.target is not None:
            y = self.y(self.series.target)
            self.cells |= {(x, y): (self.marks.target, "accent") for x in range(self.width)}

    def _line(self, series: Series, tone: str) -> None:
        """Draw the line between readings, broken where something was done; the rise after that is quiet."""
        lit: dict[tuple[int, int], int] = {}
        loud: set[tuple[int, int]] = set()
        readings = [*series.before, *series.points]
        for at, ((day, value), (then, value2)) in enumerate(itertools.pairwise(readings), 1):
            broken = max((deed.on for deed in series.deeds if deed.follows == at), default=None)
            if (broken is None and then - day >= LONGEST) or (broken is not None and then - broken >= LONGEST):
                continue
            for x, y in self._points((broken or day, value), (then, value2)):
                cell = x // self.marks.across, y // self.marks.down
                if not (0 <= cell[0] < self.width and 0 <= cell[1] < self.height):
                    continue
                place = (y % self.marks.down) * self.marks.across + x % self.marks.across
                lit[cell] = lit.get(cell, 0) | 1 << place
                loud |= set() if broken else {cell}
        self.cells |= {
            cell: (self.marks.glyph(points), tone if cell in loud else "quiet") for cell, points in lit.items()
        }

    def _points(self, one: tuple[date, float], other: tuple[date, float]) -> list[tuple[int, int]]:
        """Return the points of a straight line between two days and values."""
        across, down = self.marks.across, self.marks.down
        x, y, x2, y2 = self.x(one[0], across), self.y(one[1], down), self.x(other[0], across), self.y(other[1], down)
        steps = max(1, abs(x2 - x), abs(y2 - y))
        return [(round(x + (x2 - x) * at / steps), round(y + (y2 - y) * at / steps)) for at in range(steps + 1)]

    def lines(self) -> list[list[Part]]:
        """Return it row by row, with its scale at the left and its target at the right."""
        self.fill()
        scale, marks, found = self.scale, self.marks, []
        numbers = {self.height - 1 - at: f"{value:.{scale.digits}f}" for at, value in scale.named}
        aim = None if self.series.target is None else self.y(self.series.target)
        for y in range(self.height):
            edge = f"{numbers.get(y, ''):>{self.side - 1}} {marks.tick_up if y in numbers else marks.up}"
            row = [self.cells.get((x, y), (" ", "plain")) for x in range(self.width)]
            found.append([(edge, "quiet"), *row, *([(self.series.aim, "accent")] if y == aim else [])])
        return found


def draw(
    series: Series, width: int, height: int, marks: Marks = BLOCKS, below: Series | None = None
) -> list[list[Part]]:
    """Return the lines of a chart, each as parts of text with their tones.

    Args:
        series: what is drawn.
        width, height: room [cells].
        marks: what it is drawn with.
        below: another reading over the same days, in a field of its own under it, where there is room: two scales
            beside one field would lie.
    """
    if not series.points:
        return [[(f"{series.title}: not tested yet", "quiet")]]
    shown = series.cut()
    head = _head(series, width)
    if not shown.points:
        day = series.points[-1][0]
        said = f"Not tested in this time, last on {_day(day)} {day:%y}."
        return [head, [], *([(one, "quiet")] for one in wrapped(said, width))]
    legend = _legend(shown, width) if height >= LEGEND_FROM else ""
    rows = max(LEAST_ROWS, height - 3 - bool(shown.deeds) - bool(legend))
    under = below.cut() if below is not None and height >= TWO_FROM else None
    parts = [(shown, rows)]
    if under is not None and under.points:
        parts = [(shown, rows - rows // 3 - 1), (under, rows // 3)]
    fields = _fields(parts, width, marks)
    lines = [head]
    for field in fields:
        if field.series is under:
            lines.append([(under.title, "plain")])
        lines += field.lines()
    return [*lines, *_foot(fields[0]), *([[(legend, "quiet")]] if legend else [])]


def _fields(parts: Sequence[tuple[Series, int]], width: int, marks: Marks) -> list[Drawing]:
    """Return a field for each series with its rows, all with the same days in the same columns."""
    scales = [one.levels(rows) for one, rows in parts]
    numbers = [f"{value:.{scale.digits}f}" for scale in scales for _, value in scale.named]
    side = max(cells(DID), *(cells(number) for number in numbers)) + 1
    aim = max(cells(one.aim) for one, _ in parts)
    columns = max(LEAST_COLUMNS, width - side - 1 - aim)
    return [Drawing(one, scale, (columns, rows), marks, side) for (one, rows), scale in zip(parts, scales, strict=True)]


TWO_FROM = 16
"""Height of a chart [cells] from which two readings stand one above the other."""
LEGEND_FROM = 14
"""Height of a chart [cells] that names what its letters mean."""


def _head(series: Series, width: int) -> list[Part]:
    """Return the title and the window: where there is room every window, the one that is shown in brackets."""
    names, shown = series.zooms
    every = "  ".join(f"[{name}]" if name == shown else name for name in names)
    for choice in (f"{every}   z", f"{shown}  z"):
        if names and cells(series.title) + 2 + cells(choice) <= width:
            return [(series.title, "plain"), (f"{choice:>{width - cells(series.title)}}", "quiet")]
    return [(column(series.title, width), "plain")]


def _foot(field: Drawing) -> list[list[Part]]:
    """Return what was done, the axis and its days."""
    did, axis = [" "] * field.width, [field.marks.along] * field.width
    for deed in reversed(field.series.deeds):
        did[field.x(deed.on)] = deed.mark
    zero = field.series.zero
    days = ticks(field.first, field.last, field.width) if zero is None else _counted(field, zero)
    today = [field.series.today] if field.first <= field.series.today <= field.last else []
    for day in (*days, *today):
        axis[field.x(day)] = field.marks.tick_along
    side = field.side
    done = f"{DID:>{side - 1}} {field.marks.up}{''.join(did)}"
    named = f"{'':<{side + 1}}{_names(field, days, today)}"
    lines = [f"{'':<{side}}{field.marks.corner}{''.join(axis)}", named.rstrip()]
    return [[(line, "quiet")] for line in ([done, *lines] if field.series.deeds else lines)]


def _names(field: Drawing, days: Sequence[date], today: Sequence[date]) -> str:
    """Return the names of the days under their ticks; today first, then as many as find room."""
    line = [" "] * field.width
    last = 0
    for day in (*today, *days):
        year = day.year != last or (day.month == 1 and day.day <= 7)
        name = TODAY if day in today else f"{_day(day)} {day:%y}" if year else _day(day)
        if field.series.zero is not None and day not in today:
            name = f"day {(day - field.series.zero).days}"
        begin = min(max(field.x(day) - len(name) // 2, 0), field.width - len(name))
        if begin >= 0 and not "".join(line[max(0, begin - 1) : begin + len(name) + 1]).strip():
            line[begin : begin + len(name)] = name
            last = last if day in today else day.year
    return "".join(line)


def _counted(field: Drawing, zero: date) -> list[date]:
    """Return every seventh day from the first one on, or of a long time every so many weeks."""
    room = max(1, field.width // COUNTED)
    step = 7 * max(1, math.ceil((field.last - zero).days / 7 / room))
    last = (field.last - zero).days
    return [zero + timedelta(days=at) for at in range(0, last + 1, step)]


def _legend(series: Series, width: int) -> str:
    """Return what the letters mean, as many as find room."""
    line = ""
    for mark, name in {deed.mark: deed.name for deed in series.deeds}.items():
        more = f"{line}  {mark} {name}" if line else f"{mark} {name}"
        line = more if cells(more) <= width else line
    return line


def _day(day: date) -> str:
    return f"{day.day} {day:%b}"
