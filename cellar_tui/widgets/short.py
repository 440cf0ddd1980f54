"""Names short enough for a column, and the footer of a place."""

from __future__ import annotations

from cellar_tui.keys import Place, keys_of
from cellar_tui.say import words
from cellar_tui.text import cells

ACTIONS = {
    "gravity_check": "gravity", "malolactic_start": "malo start", "malolactic_check": "malic",
    "so2_recheck": "read SO2",
    "ph_check": "read pH", "sugar_test": "sugar test", "top_up": "top up", "level_look": "level",
    "cold_hold_start": "chill", "cold_hold_check": "hold temp", "cold_hold_end": "end hold", "haze_test": "haze test",
    "clarity_check": "clarity", "refermentation_watch": "watch", "final_so2": "final SO2",
}  # fmt: skip
"""Names of actions for a narrow column."""


def action(rule: str) -> str:
    """Return an action's name for a narrow column."""
    return ACTIONS.get(rule, words(rule))


def footer(place: Place, width: int, *, read_only: bool = False) -> str:
    """Return the keys of a place on one line; where not all fit a mark says that there are more."""
    text = ""
    shown = [one for one in keys_of(place) if one.footer and not (read_only and one.writes)]
    for index, one in enumerate(shown):
        more = f"{'  ' if text else ''}{one.shown} {one.label}"
        room = width - (2 if index < len(shown) - 1 else 0)
        if cells(text + more) > room:
            return text + " …"
        text += more
    return text
