"""The cellar as the fold leaves it: vessels, what each holds, and what in the ledger cannot be right."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from cellar_tui.ledger.care import Care
from cellar_tui.ledger.cellar_kinds import HouseRule, MaterialOnHand, Vessel
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.house import SETTINGS, House, Stock

if TYPE_CHECKING:
    from cellar_tui.ledger.contents import Contents

GAUGE = ("shape", "diameter", "bung_diameter", "head_diameter", "length")
"""Fields of a vessel that hold its inside measures."""


@dataclass(frozen=True, slots=True)
class VesselInfo:
    """A container of the cellar, or a store of bottles.

    Attributes:
        number: number of the entry that made it.
        name: what it is called.
        capacity: litres to the stopper, None for a store of bottles.
        material: glass, steel, oak, plastic, or bottles.
        place: where it stands.
        floating: its lid lies on the wine.
        retired: it is no longer used.
        made: year in which a barrel was made, None where nobody said.
        fills: how often it was filled before it came into this cellar.
        gauge: inside measures [cm] by name, and the shape of a tank: what makes litres of a dip or an ullage.
    """

    number: int
    name: str
    capacity: float | None
    material: str
    place: str = ""
    floating: bool = False
    retired: bool = False
    made: int | None = None
    fills: int = 0
    gauge: Mapping[str, float | str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Problem:
    """Something in the ledger that cannot be right, shown beside the entry concerned.

    `code` is one of no_wine, not_empty, no_volume, overfull, differs.
    """

    vessel: int | None
    entry: int | None
    problem: str
    code: str = ""


@dataclass(slots=True)
class Cellar:
    """Vessels by number, the contents of those that hold wine or bottles, and how each was kept while empty."""

    house: House
    vessels: dict[int, VesselInfo] = field(default_factory=dict)
    holds: dict[int, Contents] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    care: dict[int, Care] = field(default_factory=dict)

    def blame(self, entry: Entry, vessel: int | None, text: str, code: str) -> None:
        """Note what cannot be right about an entry."""
        self.problems.append(Problem(vessel, entry.root, text, code))

    def name(self, vessel: int | None) -> str:
        """Return the name of a vessel."""
        info = self.vessels.get(vessel or 0)
        return info.name if info else f"vessel {vessel}"


def house_of(entries: Iterable[Entry]) -> House:
    """Return the house rules and materials on hand that the standing entries set; the newest of a name governs."""
    values: dict[str, float | str] = {}
    changed: dict[str, int] = {}
    stock: dict[str, Stock] = {}
    for entry in sorted(entries, key=lambda entry: entry.root):
        body = entry.body
        if isinstance(body, HouseRule) and body.name in SETTINGS:
            values.pop(body.name, None)
            changed.pop(body.name, None)
            if body.value is not None:
                setting = SETTINGS[body.name]
                values[body.name] = body.value if setting.words else float(body.value)
                changed[body.name] = entry.root
        elif isinstance(body, MaterialOnHand) and body.name:
            opened = body.opened.isoformat() if body.opened else None
            stock[body.name] = Stock(body.strength, opened, body.amount, entry.root, body.lot)
    return House(values, changed, stock)


def vessels_of(entries: Iterable[Entry]) -> dict[int, VesselInfo]:
    """Return the vessels that the standing entries made."""
    found = {}
    for entry in entries:
        body = entry.body
        if isinstance(body, Vessel):
            found[entry.root] = VesselInfo(
                entry.root,
                body.name or "",
                body.capacity,
                body.material or "glass",
                body.place or "",
                body.lid == "floating",
                bool(body.retired),
                None if body.made is None else int(body.made),
                int(body.fills or 0),
                {name: value for name in GAUGE if (value := getattr(body, name)) is not None},
            )
    return found
