"""What goes on paper, before it is printed or written as text: titles, sentences, boxes to tick, tables, curves."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Head:
    """The head of a part."""

    text: str


@dataclass(frozen=True, slots=True)
class Say:
    """A sentence, `indent` steps in; a strong one stands out."""

    text: str
    indent: int = 0
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Box:
    """Something to do and to tick, with a line to write its result on."""

    text: str
    blank: str = "result"


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under heads; the last column takes the room there is. `widths` are shares of the page of the others."""

    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """Readings over time: what they are, their unit, and a line they should not fall under."""

    name: str
    unit: str
    points: tuple[tuple[date, float], ...]
    target: float | None = None


Part = Head | Say | Box | Table | Curve


@dataclass(frozen=True, slots=True)
class Paper:
    """Everything on paper: each page names cellar, subject and day, and which page it is of how many."""

    cellar: str
    subject: str
    day: date
    parts: tuple[Part, ...]
