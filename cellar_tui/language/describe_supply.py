"""The shelf in words, for both front ends: what is on hand, what is needed of it, what is to be got."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from cellar_tui.language import describe_entry
from cellar_tui.ledger.materials import material
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.needs_ahead import Need
from cellar_tui.planning.shopping import Supply


def on_hand(one: Supply, units: str) -> str:
    """Return what is on hand: amount left, strength, when it was opened, and whether it is too old to be trusted."""
    if one.stock is None:
        return "not counted yet"
    parts = [] if one.left is None else [describe_entry.amount(one.left, one.unit, units)]
    if one.left is not None and one.left != one.stock.amount:
        parts.append(f"{describe_entry.amount(one.stock.amount or 0.0, one.unit, units)} when last counted")
    if one.stock.strength is not None:
        parts.append(f"strength {one.stock.strength:g} (default {material(one.material).strength:g})")
    if one.stock.opened is not None:
        parts.append(f"opened {short_day(date.fromisoformat(one.stock.opened))}")
    if one.old:
        parts.append(f"old: opened {one.opened_days} d ago, it may have lost strength")
    return ", ".join(parts) or "on hand, amount not counted"


def needed(one: Supply, units: str) -> str:
    """Return how much is needed and how much of it is to be got; what is not known yet is said."""
    if not one.needs:
        return "not needed"
    found = [f"needs {describe_entry.amount(one.need, one.unit, units)}"] if one.need > 0 else []
    if one.to_get > 0:
        found.append(f"to get {describe_entry.amount(one.to_get, one.unit, units)}")
    if one.unknown:
        wines = "1 wine" if len(one.unknown) == 1 else f"{len(one.unknown)} wines"
        found.append(f"{wines}{' more' if found else ' may need it'}, not known yet how much")
    return ", ".join(found)


def need(one: Need, unit: str, units: str) -> str:
    """Return what one wine needs, from when, and why."""
    amount = "not known yet" if one.amount is None else describe_entry.amount(one.amount, unit, units)
    return f"{short_day(one.on)} · {one.vessel} · {one.wine}: {amount} ({one.because.reason})"


def shopping(found: Iterable[Supply], last: date, units: str) -> str:
    """Return the shopping list in a sentence."""
    listed = list(found)
    short = [one for one in listed if one.to_get > 0]
    missing = [
        f"{describe_entry.words(one.material)} {describe_entry.amount(one.to_get, one.unit, units)}" for one in short
    ]
    told = f"To get until {short_day(last)}: {', '.join(missing) or 'nothing'}."
    unknown = [describe_entry.words(one.material) for one in listed if one.unknown]
    return f"{told} Not known yet: {', '.join(unknown)}." if unknown else told
