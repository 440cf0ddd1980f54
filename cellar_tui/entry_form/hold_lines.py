"""What is served of a cold hold, as lines above a preview."""

from __future__ import annotations

from datetime import date

from cellar_tui.enology import cold
from cellar_tui.language.layout import wrapped
from cellar_tui.planning import coldhold
from cellar_tui.planning.day_text import day_and_month, short_day
from cellar_tui.planning.subject import Subject

EXAMPLES = (-2.8, 0.0, 4.0)
"""Temperatures of the wine [C] for which the days of a hold are named: the coldest that counts, ice, a fridge."""
OWN = "Only the wine's own measured temperature counts."
BAR = 24
"""Most cells of the bar of what is served."""


def hold_lines(s: Subject, today: date, width: int) -> list[tuple[str, str]]:
    """Return what is served of the hold that runs and when it ends, or how long one would take."""
    hold = coldhold.holding(s)
    if hold is None:
        factor = s.house.number("hold_factor")
        days = ", ".join(f"{cold.hold_days(one) * factor:.0f} d at {one:g} C" for one in EXAMPLES)
        return [(text, "quiet") for text in wrapped(f"It would take {days}, by the wine's own temperature.", width)]
    served = min(1.0, hold.credit)
    cells = min(BAR, max(10, width - 15))
    full = round(served * cells)
    bar = "█" * full + "░" * (cells - full)
    end = "is served" if hold.credit >= 1 else f"ends {short_day(hold.end)}" if hold.end else "is too warm to count"
    days = f"Since {day_and_month(hold.started)}, {(today - hold.started).days} d; {end}"
    last = f"last {hold.temperature:g} C on {day_and_month(hold.last)}"
    told = [(f"Credited {bar} {100 * served:.0f} %", "plain")]
    return told + [(text, "quiet") for text in wrapped(f"{days}; {last}. {OWN}", width)]
