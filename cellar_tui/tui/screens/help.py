"""The page of keys: the letters on the screen, the keys of every day, then those of the place, then the practice."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import zip_longest

from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import column, wrapped
from cellar_tui.planning.rules.table import RULES
from cellar_tui.tui.keys import EVERY_DAY, KEYS, WINES, Key, Place, keys_of
from cellar_tui.tui.screens.about import STATES

LETTERS = "Y yeast · B bacteria · A air (oxidation) · C crystals (tartrates) · H haze"
"""What the five letters over the list stand for."""
TWO_COLUMNS = 72
"""Width [cells] from which the keys stand in two columns."""
KEY = 9
"""Cells of a key before what it does."""


def _line(one: Key, width: int) -> list[str]:
    """Return a key with what it does, in a width."""
    first, *rest = wrapped(one.help, max(12, width - KEY))
    return [f"{column(one.shown, KEY)}{first}", *(" " * KEY + text for text in rest)]


def _keys(head: str, found: Iterable[Key], width: int) -> list[str]:
    return [head, *(text for one in found for text in _line(one, width))]


def _columns(left: Sequence[str], right: Sequence[str], width: int) -> list[str]:
    """Return two lists side by side where there is room, else one below the other."""
    if width < TWO_COLUMNS:
        return [*left, "", *right]
    half = max(width // 2, max(map(cells, left)) + 2)
    return [f"{column(a, half)}{b}".rstrip() for a, b in zip_longest(left, right, fillvalue="")]


def help_page(place: Place, width: int) -> list[str]:
    """Return the lines of the page of keys in a width: letters first, then the keys of every day, then the others."""
    signs = " · ".join(f"{sign} {word}" for sign, word in STATES.items())
    half = width if width < TWO_COLUMNS else width // 2 - 1
    own = keys_of(place)
    form = _keys("IN A FORM", keys_of("form"), half)
    if place in WINES:
        daily = [one for name in EVERY_DAY for one in KEYS if one.id == name]
        more = [one for one in own if one.id not in EVERY_DAY]
        keys = _columns(_keys("EVERY DAY", daily, half), _keys("MORE HERE", more, half), width)
    else:
        keys = _columns(_keys("HERE", own, half), form, width)
        form = []
    return [
        *wrapped(LETTERS, width),
        *wrapped(signs, width),
        *wrapped("L litres · Free, Mol. free and molecular SO2, mg/L · ~ an estimate", width),
        "",
        *keys,
        "",
        *(form and [*form, ""]),
        "WHAT THE PLANNER ASKS FOR",
        *(text for rule in RULES for text in wrapped(f"{rule.title}. {rule.teaches}", width)),
    ]
