"""What a calculation is: named inputs with units, one function, and a result that carries its working."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Final

from cellar_tui.enology.errors import CalcError, Range
from cellar_tui.enology.references import cite


class Needed(Enum):
    """Stands where a default would, for an input that has none."""

    REQUIRED = "required"


REQUIRED: Final = Needed.REQUIRED
"""The input must be given."""

Value = float | bool | str | tuple[float, ...] | None
Default = float | str | None | Needed


@dataclass(frozen=True)
class Quantity:
    """A value and its unit; text and yes/no have the empty unit."""

    value: Value
    unit: str

    @property
    def number(self) -> float:
        """The value as a number; 0 where it is none."""
        return float(self.value) if isinstance(self.value, int | float) else 0.0


@dataclass(frozen=True)
class Input:
    """An input: unit, default (`REQUIRED`, a value, or None for "may be left out"), help, choices of a text, limits.

    With `many` it takes a list of numbers, each within the limits.
    """

    name: str
    unit: str
    default: Default
    help: str
    choices: tuple[str, ...] = ()
    limits: Range | None = None
    many: bool = False

    def read(self, value: object) -> float | str | tuple[float, ...]:
        """The value in usable form; CalcError or OutOfRange, naming this input, when it cannot be used."""
        if self.choices:
            return self._chosen(value)
        if self.many:
            return tuple(map(self._number, value if isinstance(value, list | tuple) else [value]))
        return self._number(value)

    def _number(self, value: object) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise CalcError(f"{self.name} must be a number{self._in_unit()}", self.name)
        return self.limits.check(float(value), self.name) if self.limits else float(value)

    def _chosen(self, value: object) -> str:
        text = str(value).strip().lower()
        if text not in self.choices and text.endswith("_acid"):
            text = text.removesuffix("_acid")
        if text not in self.choices:
            raise CalcError(f"{self.name} {value!r} is not known: use {', '.join(self.choices)}", self.name)
        return text

    def missing(self) -> CalcError:
        """The error for this input not being given."""
        options = f", one of {', '.join(self.choices)}" if self.choices else ""
        return CalcError(f"{self.name} is missing: give {self.help}{self._in_unit()}{options}", self.name)

    def _in_unit(self) -> str:
        return f" in {self.unit}" if self.unit else ""


class Given:
    """The inputs of one run, read and defaulted."""

    def __init__(self, values: Mapping[str, float | str | tuple[float, ...] | None]) -> None:
        self._values = values

    def has(self, name: str) -> bool:
        """Whether the input was given or has a default."""
        return self._values.get(name) is not None

    def number(self, name: str) -> float:
        """The number of an input; CalcError when it was left out."""
        value = self._values.get(name)
        if not isinstance(value, float):
            raise CalcError(f"{name} is missing: give it as well", name)
        return value

    def text(self, name: str) -> str:
        """The text of an input; CalcError when it was left out."""
        value = self._values.get(name)
        if not isinstance(value, str):
            raise CalcError(f"{name} is missing: give it as well", name)
        return value

    def numbers(self, name: str) -> tuple[float, ...]:
        """The list of numbers of an input; CalcError when it was left out."""
        value = self._values.get(name)
        if not isinstance(value, tuple):
            raise CalcError(f"{name} is missing: give it as well", name)
        return value

    def one_of(self, *names: str) -> str:
        """The one input given among several that exclude each other; CalcError for none or more than one."""
        given = [name for name in names if self.has(name)]
        if len(given) == 1:
            return given[0]
        wish = " or ".join(names)
        if given:
            raise CalcError(f"{' and '.join(given)} exclude each other: give {wish}, not both", given[1])
        raise CalcError(f"{names[0]} is missing: give {wish}", names[0])


@dataclass(frozen=True)
class Outcome:
    """What a calculation's function hands back: the values by name, the formula used, and what to beware of.

    `unused` names inputs with a default that played no part.
    """

    values: dict[str, Quantity]
    formula: str
    cautions: tuple[str, ...] = ()
    unused: tuple[str, ...] = ()


@dataclass(frozen=True)
class Result:
    """A finished calculation with all that is needed to check it by hand."""

    values: dict[str, Quantity]
    formula: str
    inputs: dict[str, Quantity]
    source: str
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class Calculation:
    """A named calculation: title, inputs in the order they are asked for, the function and the keys of its sources."""

    name: str
    title: str
    inputs: tuple[Input, ...]
    sources: tuple[str, ...]
    compute: Callable[[Given], Outcome]

    @property
    def docstring(self) -> str:
        """What the calculation does, with range and pitfalls."""
        return self.compute.__doc__ or self.title

    def run(self, inputs: Mapping[str, object]) -> Result:
        """Read the inputs, compute, and hand back the result with its working.

        Raises CalcError, or OutOfRange, with `field` set, for an input unknown, missing or unusable.
        """
        values = self._read(inputs)
        outcome = self.compute(Given(values))
        shown = {
            item.name: Quantity(values[item.name], item.unit)
            for item in self.inputs
            if values[item.name] is not None and item.name not in outcome.unused
        }
        return Result(outcome.values, outcome.formula, shown, cite(*self.sources), outcome.cautions)

    def _read(self, inputs: Mapping[str, object]) -> dict[str, float | str | tuple[float, ...] | None]:
        names = [item.name for item in self.inputs]
        for name in inputs:
            if name not in names:
                raise CalcError(f"{self.name} has no input {name!r}: it takes {', '.join(names)}", name)
        values: dict[str, float | str | tuple[float, ...] | None] = {}
        for item in self.inputs:
            value = inputs.get(item.name)
            if value is None:
                if isinstance(item.default, Needed):
                    raise item.missing()
                value = item.default
            values[item.name] = None if value is None else item.read(value)
        return values


def calculation(
    name: str, title: str, inputs: tuple[Input, ...], sources: tuple[str, ...]
) -> Callable[[Callable[[Given], Outcome]], Calculation]:
    """Turn a function of the given inputs into a calculation of that name."""

    def made(compute: Callable[[Given], Outcome]) -> Calculation:
        return Calculation(name, title, inputs, sources, compute)

    return made


def kept(*cautions: str) -> tuple[str, ...]:
    """The cautions that say something."""
    return tuple(caution for caution in cautions if caution)
