"""How a field of an entry is declared: its unit or choices and the physical range it must lie in."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Literal

Sort = Literal["number", "text", "choice", "yes_no", "date", "vessel", "list", "words"]

NAME_LIMIT = 80
TEXT_LIMIT = 4000


@dataclass(frozen=True, slots=True)
class Spec:
    """What one field may hold.

    Attributes:
        sort: how the text a person types is to be read.
        unit: canonical unit of a number, "" for a bare one.
        low, high: physical range of a number, both ends allowed.
        choices: the words a choice may take, or out of which several may be named.
        limit: most characters of a text.
    """

    sort: Sort
    unit: str = ""
    low: float = 0.0
    high: float = float("inf")
    choices: tuple[str, ...] = ()
    limit: int = TEXT_LIMIT


def number(unit: str, low: float, high: float) -> Any:
    """Declare a number in `unit` between `low` and `high`."""
    return field(default=None, metadata={"spec": Spec("number", unit, low, high)})


def choice(*words: str) -> Any:
    """Declare one word out of `words`."""
    return field(default=None, metadata={"spec": Spec("choice", choices=words)})


def text(limit: int = TEXT_LIMIT) -> Any:
    """Declare free text of at most `limit` characters."""
    return field(default=None, metadata={"spec": Spec("text", limit=limit)})


def several(*words: str) -> Any:
    """Declare any of `words`, as many as fit."""
    return field(default=None, metadata={"spec": Spec("words", choices=words)})


def yes_no() -> Any:
    """Declare yes or no."""
    return field(default=None, metadata={"spec": Spec("yes_no")})


def day() -> Any:
    """Declare a civil date."""
    return field(default=None, metadata={"spec": Spec("date")})


def vessel() -> Any:
    """Declare another vessel of the cellar, held by its number."""
    return field(default=None, metadata={"spec": Spec("vessel")})


def numbers(unit: str, low: float, high: float) -> Any:
    """Declare a list of numbers in `unit`."""
    return field(default=None, metadata={"spec": Spec("list", unit, low, high)})


def specs(kind: type[Any]) -> Iterator[tuple[str, Spec]]:
    """Yield name and declaration of each field of a kind of entry, in the order of its docstring."""
    for item in dataclasses.fields(kind):
        if "spec" in item.metadata:
            yield item.name, item.metadata["spec"]
