"""What an entry changes, as text: the wine before and after, the rise of a sulfite, the dates and doses that move."""

from __future__ import annotations

from typing import Final

from cellar_tui.language import describe_entry
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.entry import Entry
from cellar_tui.planning.day_text import day_and_month, short_day
from cellar_tui.planning.plan import Action
from cellar_tui.planning.wine_figures import WineFigures

FIGURES: Final = (
    ("volume", "volume_l", "L"),
    ("free SO2", "free_so2", "mg/L"),
    ("molecular", "molecular_so2", "mg/L"),
    ("total SO2", "total_so2", "mg/L"),
    ("sorbate", "sorbate", "mg/L"),
    ("sugar", "sugar", "g/L"),
    ("alcohol", "alcohol", "% vol"),
    ("pH", "ph", "pH"),
)
"""The figures that stand before and after: label, name in `WineFigures`, unit."""

NO_LONGER_DUE = "no longer due"
NOT_DUE = "not due"


def estimated(figures: WineFigures, name: str) -> bool:
    """Return whether a figure is worked out from others and bears the mark of an estimate."""
    return name == "sugar" and figures.sugar_band is not None


def rise(entry: Entry, after: WineFigures | None, share: tuple[float, float] | None) -> str:
    """Return what a sulfite raises, total and free; "" for anything else.

    `share` is the range of what stays free of it in this wine, None where it is not known.
    """
    body = entry.body
    if not isinstance(body, k.Addition) or body.so2_mg <= 0 or after is None or after.volume_l <= 0:
        return ""
    total = body.so2_mg / after.volume_l
    if share is None:
        return f"+{total:.0f} mg/L total SO2"
    low, high = (f"{total * part:.0f}" for part in share)
    return f"+{total:.0f} mg/L total SO2, of which {low if low == high else f'{low} to {high}'} mg/L stays free"


def moved(action: str, was: Action | None, now: Action | None, units: str, arrow: str = "→") -> str:
    """Return what moves of an action: its day, else its dose, else the last day of its window."""
    before = NOT_DUE if was is None else short_day(was.show)
    after = NO_LONGER_DUE if now is None else short_day(now.show)
    if was is not None and now is not None:
        if before == after:
            before, after = _dose(was, units), _dose(now, units)
            if before == after:
                before, after = (f"until {short_day(one.latest)}" for one in (was, now))
        elif was.show.year == now.show.year:
            before = day_and_month(was.show)
    return f"{describe_entry.action(action)}: {before} {arrow} {after}"


def _dose(one: Action, units: str) -> str:
    return "no dose" if one.dose is None else describe_entry.amount(one.dose.amount, one.dose.unit, units)
