"""The bottles of a store as text."""

from __future__ import annotations

from datetime import date

from cellar_tui.ledger.bottle_stock import Stock


def line(stock: Stock, today: date) -> str:
    """Return what is left, what became of the rest, the lots, and how long it lasts at the present rate."""
    left = ", ".join(f"{count} of {size:g} mL" for size, count in stock.left.items()) or "none"
    parts = [f"{left} left"]
    parts += [f"{count} {_became(how)}" for how, count in stock.moved.items()]
    parts += [f"lot {lot}" for lot in stock.lots]
    days = stock.days_left(today)
    if days is not None:
        parts.append(f"about {days:.0f} days at the present rate")
    return "; ".join(parts)


def _became(how: str) -> str:
    return {"kept": "kept back", "returned": "came back", "checked": "opened to look"}.get(how, how)
