"""The kinds of entry made by commands of their own: vessels, wines, house rules, materials, withdrawals, rebuilds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from cellar_tui.ledger import fields as f
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.styles import COLOURS, STYLES

VESSEL_MATERIALS = ("glass", "steel", "oak", "plastic")


@dataclass(frozen=True, slots=True)
class Vessel(k.Body):
    """A container of the cellar; its number is the number of this entry. Stands outside time.

    `made` is the year of a barrel, `fills` how often it was filled before it came into this cellar. Inside measures
    [cm] make litres of a dip or an ullage: `shape`, `diameter` and `length` of a tank, `bung_diameter`,
    `head_diameter` and `length` of a barrel.
    """

    kind: ClassVar[str] = "vessel"
    name: str | None = f.text(f.NAME_LIMIT)
    capacity: float | None = f.number("L", 0.1, k.VOLUME_MOST)
    material: str | None = f.choice(*VESSEL_MATERIALS)
    place: str | None = f.text(f.NAME_LIMIT)
    lid: str | None = f.choice("fixed", "floating")
    retired: bool | None = f.yes_no()
    made: float | None = f.number("", 1900, 2200)
    fills: float | None = f.number("", 0, 200)
    shape: str | None = f.choice("upright", "cone", "lying", "sphere")
    diameter: float | None = f.number("cm", 5, 2000)
    bung_diameter: float | None = f.number("cm", 10, 300)
    head_diameter: float | None = f.number("cm", 10, 300)
    length: float | None = f.number("cm", 10, 3000)


@dataclass(frozen=True, slots=True)
class WineStart(k.Body):
    """A wine that begins in an empty vessel, or in bottles, with what is known of its past as stated by that person.

    In bottles it has `count` of `size` and opens a store of its own, whose name `store` is fixed when it is recorded.
    """

    kind: ClassVar[str] = "wine"
    name: str | None = f.text(f.NAME_LIMIT)
    style: str | None = f.choice(*STYLES)
    volume: float | None = f.number("L", 0.1, k.VOLUME_MOST)
    skins: bool | None = f.yes_no()
    source: str | None = f.choice("grape", "fruit", "juice", "concentrate", "honey")
    fruit: str | None = f.text(f.NAME_LIMIT)
    colour: str | None = f.choice(*COLOURS)
    sg: float | None = f.number("SG", 0.97, 1.2)
    harvested: date | None = f.day()
    bottling: date | None = f.day()
    finished: bool | None = f.yes_no()
    malolactic: str | None = f.choice("done", "running", "none")
    alcohol: float | None = f.number("% vol", 0, 25)
    sugar: float | None = f.number("g/L", 0, 500)
    total_so2: float | None = f.number("mg/L", 0, 800)
    sorbate: float | None = f.number("mg/L", 0, 2000)
    count: float | None = f.number("", 1, 1_000_000)
    size: float | None = f.number("mL", 50, 20_000)
    lot: str | None = f.text(f.NAME_LIMIT)
    got: str | None = f.choice("bought", "given")
    store: str | None = None


@dataclass(frozen=True, slots=True)
class HouseRule(k.Body):
    """One house rule set, or without a value put back to its default; it governs the whole plan, also backwards."""

    kind: ClassVar[str] = "rule"
    name: str | None = f.text(f.NAME_LIMIT)
    value: str | None = f.text(f.NAME_LIMIT)


@dataclass(frozen=True, slots=True)
class MaterialOnHand(k.Body):
    """A bag or bottle on the shelf: its strength, when it was opened, how much is left."""

    kind: ClassVar[str] = "material"
    name: str | None = f.text(f.NAME_LIMIT)
    strength: float | None = f.number("", 0, 2000)
    opened: date | None = f.day()
    amount: float | None = f.number("", 0, 1_000_000)
    lot: str | None = f.text(f.NAME_LIMIT)


@dataclass(frozen=True, slots=True)
class Void(k.Body):
    """The withdrawal of an entry and of every correction of it."""

    kind: ClassVar[str] = "void"
    of: int = 0


@dataclass(frozen=True, slots=True)
class Rebuild(k.Body):
    """The plan of every wine worked out again by a newer program."""

    kind: ClassVar[str] = "rebuild"
    version: int = 0


RECORDED: dict[str, type[k.Body]] = {
    kind.kind: kind
    for kind in (
        k.Reading,
        k.LabReport,
        k.Tasting,
        k.Addition,
        k.Racking,
        k.Press,
        k.Topping,
        k.Split,
        k.Blend,
        k.Filter,
        k.Loss,
        k.Gas,
        k.Chill,
        k.Check,
        k.Cleaning,
        k.Trial,
        k.Intent,
        k.Decide,
        k.Waive,
        k.Postpone,
        k.Skip,
        k.Bottle,
        k.Bottles,
        k.Harvest,
        k.Note,
    )
}
"""The kinds that `record` takes."""

KINDS: dict[str, type[k.Body]] = RECORDED | {
    kind.kind: kind for kind in (k.Series, Vessel, WineStart, HouseRule, MaterialOnHand, Void, Rebuild)
}
"""Every kind of entry."""

OUTSIDE_TIME = (Vessel, HouseRule, MaterialOnHand, Rebuild)
"""Kinds that govern the whole derivation, whatever day they carry."""
