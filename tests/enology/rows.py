"""The rows of check_values.csv, and reading their inputs."""

from __future__ import annotations

import csv
import importlib
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

TABLE = Path(__file__).with_name("check_values.csv")


@dataclass(frozen=True)
class Row:
    """One published or computed figure: what it is of, the wine it holds for, its tolerance and where it comes from."""

    topic: str
    quantity: str
    inputs: str
    expected: str
    unit: str
    tolerance: str
    source: str
    seen_or_memory: str

    @property
    def figure(self) -> float:
        """The figure expected; the first where a row states two, such as kJ and kcal."""
        found = re.search(r"-?[0-9]+(?:[.][0-9]+)?(?:e-?[0-9]+)?", self.expected)
        if found is None:
            raise ValueError(f"no figure in {self.title}")
        return float(found.group())

    @property
    def key(self) -> tuple[str, str, str]:
        """What tells a row from every other: quantity, inputs and the figure expected."""
        return self.quantity, self.inputs, self.expected

    @property
    def title(self) -> str:
        return f"{self.topic[:2]} {self.quantity} [{self.inputs}]"

    def text(self, key: str) -> str:
        """The text of an input, to the end of its part."""
        for part in self.inputs.split(";"):
            name, _, value = part.partition("=")
            if name == key:
                return value
        raise KeyError(f"{key} in {self.title}")

    def number(self, key: str) -> float:
        """The number of an input, its unit left off."""
        return float(self.text(key).split()[0])

    def litres(self) -> float:
        """The volume of the row [L], from litres or US or imperial gallons."""
        value, unit = self.text("volume").split(" ", 1)
        return float(value) * {"L": 1.0, "US gal": 3.785411784, "imp gal": 4.54609}[unit]


def rows() -> list[Row]:
    """Every row of the table, in order."""
    with TABLE.open(newline="", encoding="utf-8") as file:
        return [Row(**line) for line in csv.DictReader(file)]


def topic(name: str) -> Any:
    """A module of the chemistry, looked up anew so that a planted fault is seen."""
    return importlib.import_module(f"cellar_tui.enology.{name}")


def calc(name: str, result: str, **inputs: object) -> Any:
    """One value of a calculation."""
    return topic("calculations").run(name, **inputs).values[result].value


def cautions(name: str, **inputs: object) -> str:
    """Everything a calculation warns of, as one text."""
    return " | ".join(topic("calculations").run(name, **inputs).cautions)


Check = Callable[[Row], float]
"""The program's figure for a row."""


def number(name: str, result: str, **inputs: str | float) -> Check:
    """A check of a calculation; a text names an input of the row, `@text` stands for itself, a number for itself."""

    def value(row: Row) -> float:
        given: dict[str, object] = {}
        for key, wanted in inputs.items():
            if isinstance(wanted, str):
                given[key] = wanted[1:] if wanted.startswith("@") else row.number(wanted)
            else:
                given[key] = wanted
        return float(calc(name, result, **given))

    return value
