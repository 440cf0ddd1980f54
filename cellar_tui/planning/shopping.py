"""The shelf and the shopping list: what is on hand of each material, what the wines will need, what is missing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from cellar_tui.ledger import shelf
from cellar_tui.ledger.house import House, Stock
from cellar_tui.ledger.materials import material
from cellar_tui.planning.consider import CellarState
from cellar_tui.planning.needs_ahead import Need, needs
from cellar_tui.planning.subject import Subject

WITHIN = 90
"""Days ahead that the list looks by default; common practice: a season's order."""


@dataclass(frozen=True, slots=True)
class Supply:
    """One material: what is on hand and what is needed, in its unit.

    Attributes:
        material: its name.
        unit: g, mL or L.
        stock: as it was last counted, None where it never was.
        left: what is left of that, None where no amount was counted.
        opened_days: days since it was opened, None where that is not known.
        old: a bag of sulfite opened too long ago to be trusted.
        needs: what each wine needs, soonest first.
    """

    material: str
    unit: str
    stock: Stock | None
    left: float | None
    opened_days: int | None
    old: bool
    needs: tuple[Need, ...]

    @property
    def need(self) -> float:
        """What the wines need, as far as it is known."""
        return sum(need.amount or 0.0 for need in self.needs)

    @property
    def unknown(self) -> tuple[Need, ...]:
        """The needs whose amount is not known yet."""
        return tuple(need for need in self.needs if need.amount is None)

    @property
    def to_get(self) -> float:
        """What is needed and not on hand; nothing is on hand where no amount was counted."""
        return max(0.0, self.need - (self.left or 0.0))


def supplies(base: CellarState, today: date, within: int = WITHIN) -> tuple[Supply, ...]:
    """Return every material on hand or needed within so many days of `today`: what is to be got first.

    Args:
        base: the whole cellar.
        today: the day to look from.
        within: days ahead, 0 or more.
    """
    cellar, last = base.cellar, today + timedelta(days=within)
    found: dict[str, list[Need]] = {name: [] for name in cellar.house.stock}
    for number, plan in base.plans.items():
        subject = Subject(cellar.holds[number], cellar.vessels[number], cellar.house)
        for need in needs(subject, plan, today, last):
            found.setdefault(need.material, []).append(need)
    left = shelf.left(base.ordered, cellar.house.stock)
    made = [_supply(name, wanted, cellar.house, left.get(name), today) for name, wanted in found.items()]
    return tuple(sorted(made, key=lambda entry: (entry.to_get <= 0, not entry.needs, entry.material.casefold())))


def _supply(name: str, wanted: list[Need], house: House, left: float | None, today: date) -> Supply:
    stock, known = house.stock.get(name), material(name)
    days = None
    if stock is not None and stock.opened is not None:
        days = (today - date.fromisoformat(stock.opened)).days
    old = known.sort == "so2" and days is not None and days > house.days("bag_days")
    needed = tuple(sorted(wanted, key=lambda one: (one.on, one.wine, one.vessel)))
    return Supply(name, known.unit, stock, left, days, old, needed)
