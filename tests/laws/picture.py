"""Everything that follows from a ledger, as plain values that two ledgers can be compared by."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any

from cellar_tui.ledger.entry import Entry
from cellar_tui.planning.consider import CellarState

NUMBERED = ("entry", "entries", "anchor", "filling", "vessel", "parents", "to", "source", "into", "number")
"""Fields that hold numbers of entries, or of the vessels and fillings named after them."""

MARKS = ("poured_mark",)
"""Fields that stand for others of the same line, hashed with the numbers of their entries."""

Numbers = Mapping[int, int]

_NUMBER = re.compile(r"(?<=vessel )[0-9]+")
"""The number by which a problem calls a store that was not yet there."""


def plain(value: Any, old: Numbers, numbered: bool = False) -> Any:
    """Return a value as plain data, with the number of each entry put back to what it was in another ledger."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        parts = {
            one.name: plain(getattr(value, one.name), old, one.name in NUMBERED)
            for one in dataclasses.fields(value)
            if one.compare and one.name not in MARKS
        }
        return type(value).__name__, parts
    if isinstance(value, Mapping):
        return {old.get(key, key) if isinstance(key, int) else key: plain(one, old) for key, one in value.items()}
    if isinstance(value, int) and numbered:
        return old.get(value, value)
    if isinstance(value, Collection) and not isinstance(value, str):
        items = [plain(one, old, numbered) for one in value]
        # Entries that a fact rests on are named in the order of their numbers.
        return sorted(items) if numbered else items
    return value


def _told(old: Numbers) -> Callable[[re.Match[str]], str]:
    return lambda found: str(old.get(int(found[0]), int(found[0])))


def picture(entries: Sequence[Entry], old: Numbers | None = None) -> dict[str, Any]:
    """Return contents, plans and problems of a ledger."""
    found = CellarState(list(entries))
    names = old or {}
    return {
        "holds": plain(found.cellar.holds, names),
        "plans": plain(found.plans, names),
        "problems": sorted(_NUMBER.sub(_told(names), repr(plain(one, names))) for one in found.cellar.problems),
    }
