"""The page of keys: every key of a place, what the letters on the screen say, and what the planner asks for."""

from __future__ import annotations

from cellar_tui.planning.plan import STABILITIES
from cellar_tui.planning.rules.table import RULES
from cellar_tui.tui.keys import Place, help_lines
from cellar_tui.tui.screens.about import STATES


def help_page(place: Place) -> list[str]:
    """Return the lines of the page of keys."""
    letters = ", ".join(f"{kind[0].upper()} {kind}" for kind in STABILITIES)
    signs = ", ".join(f"{sign} {word}" for sign, word in STATES.items())
    return [
        *help_lines(place),
        "",
        "While a form is open",
        *help_lines("form"),
        "",
        "The letters",
        f"Stability against: {letters}.",
        f"{signs}.",
        "L litres, Free and Mol. free and molecular SO2 in mg/L.",
        "",
        "What the planner asks for",
        *(f"{rule.title}. {rule.teaches}" for rule in RULES),
    ]
