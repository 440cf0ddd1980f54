"""One reading over time, drawn as text: readings as dots, the line between them, a target and a forecast band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from cellar_tui.language.layout import column

Part = tuple[str, str]
"""Text with its tone: plain, quiet, warn, good."""
SCALE = 7
"""Cells of the numbers beside the axis."""
FEET = 2
"""Lines below the drawing: the axis and its days."""
CROWD = 3
"""Cells that a reading needs: of more readings than fit so only the last are drawn."""
DOT, PATH, TARGET, BAND = "●", "·", "╌", "░"


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
    """

    title: str
    digits: int
    points: Sequence[tuple[date, float]]
    today: date
    target: float | None = None
    band: Sequence[tuple[date, float, float, float]] = ()
    from_zero: bool = False

    @property
    def days(self) -> tuple[date, date]:
        """First and last day of the axis."""
        every = [day for day, _ in self.points] + [one[0] for one in self.band]
        first, last = min(every), max(*every, self.today)
        return first, max(last, first + timedelta(days=1))

    @property
    def span(self) -> tuple[float, float]:
        """Lowest and highest value of the axis."""
        every = [value for _, value in self.points] + [value for one in self.band for value in one[1:]]
        every += [] if self.target is None else [self.target]
        low, high = (0.0 if self.from_zero else min(every)), max(every)
        room = max((high - low) * 0.08, 0.5 * 10**-self.digits)
        return (low if self.from_zero else low - room), high + room


class Drawing:
    """A field of cells with the days along it and the values up it."""

    def __init__(self, series: Series, width: int, height: int) -> None:
        self.series = series
        self.width = width
        self.height = height
        self.cells: dict[tuple[int, int], Part] = {}
        self.first, self.last = series.days
        self.low, self.high = series.span

    def across(self, day: date) -> float:
        """Return where a day lies, 0 to 1."""
        return (day - self.first).days / (self.last - self.first).days

    def x(self, day: date) -> int:
        """Return the column of a day."""
        return round(self.across(day) * (self.width - 1))

    def y(self, value: float) -> int:
        """Return the row of a value, 0 at the top."""
        share = (value - self.low) / (self.high - self.low)
        return min(max(round((1 - share) * (self.height - 1)), 0), self.height - 1)

    def band(self) -> None:
        """Shade what is to come between its edges."""
        for (day, low, _, high), (then, low2, _, high2) in zip(self.series.band, self.series.band[1:], strict=False):
            begin, end = self.x(day), max(self.x(then), self.x(day) + 1)
            for x in range(begin, min(end + 1, self.width)):
                part = min((x - begin) / (end - begin), 1.0)
                top, foot = self.y(high + (high2 - high) * part), self.y(low + (low2 - low) * part)
                for y in range(top, foot + 1):
                    self.cells[x, y] = (BAND, "quiet")

    def target(self) -> None:
        """Draw the level not to fall under."""
        if self.series.target is not None:
            y = self.y(self.series.target)
            self.cells |= {(x, y): (TARGET, "warn") for x in range(self.width)}

    def line(self) -> None:
        """Draw the line between readings."""
        for (day, value), (then, value2) in zip(self.series.points, self.series.points[1:], strict=False):
            begin, end = self.x(day), self.x(then)
            steps = max(1, end - begin, abs(self.y(value2) - self.y(value)))
            for step in range(steps + 1):
                part = step / steps
                place = round(begin + (end - begin) * part), self.y(value + (value2 - value) * part)
                self.cells[place] = (PATH, "plain")

    def dots(self) -> None:
        """Mark each reading."""
        self.cells |= {(self.x(day), self.y(value)): (DOT, "good") for day, value in self.series.points}

    def row(self, y: int) -> list[Part]:
        """Return one row of the field."""
        return [self.cells.get((x, y), (" ", "plain")) for x in range(self.width)]


def draw(series: Series, width: int, height: int) -> list[list[Part]]:
    """Return the lines of a chart, each as parts of text with their tones."""
    if not series.points:
        return [[(f"{series.title}: not read yet", "quiet")]]
    room = max(8, width - SCALE - 1)
    shown = replace(series, points=series.points[-max(2, room // CROWD) :])
    left_out = len(series.points) - len(shown.points)
    field = Drawing(shown, room, max(3, height - FEET - 1))
    field.band()
    field.target()
    field.line()
    field.dots()
    marks = {0: field.high, field.height - 1: field.low}
    if series.target is not None:
        marks[field.y(series.target)] = series.target
    title = f"{series.title}, last {len(shown.points)} readings" if left_out else series.title
    lines: list[list[Part]] = [[(f"{'':<{SCALE + 1}}{column(title, room)}", "plain")]]
    for y in range(field.height):
        mark = column(f"{marks[y]:.{series.digits}f}" if y in marks else "", SCALE - 1, "right")
        lines.append([(f"{mark} {'┤' if y in marks else '│'}", "quiet"), *field.row(y)])
    return [*lines, [(_axis(field), "quiet")], [(_days(field), "quiet")]]


def _axis(field: Drawing) -> str:
    line = ["─"] * field.width
    line[field.x(field.series.today)] = "┴"
    return f"{'':<{SCALE}}└{''.join(line)}"


def _days(field: Drawing) -> str:
    """Return the days at both ends of the axis, and today between them where there is room."""
    first, today = _day(field.first), "today"
    last = today if field.last == field.series.today else _day(field.last)
    line = f"{first}{last:>{max(0, field.width - len(first))}}"
    place = field.x(field.series.today) - len(today) // 2
    if last != today and place > len(first) and place + len(today) < field.width - len(last):
        line = f"{line[:place]}{today}{line[place + len(today) :]}"
    return f"{'':<{SCALE + 1}}{line[: field.width]}"


def _day(day: date) -> str:
    return f"{day.day} {day:%b} {day:%y}"
