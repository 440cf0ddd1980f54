"""Sequences of keys drawn for every place in which something is typed, and the ways in which they may arrive."""

from __future__ import annotations

import random
from collections.abc import Sequence

from tests.terminal.hand import GAPS, Cut, sent

FORMS = {
    "addition": ("a",),
    "reading": ("r",),
    "racking": ("m",),
    "check": ("c",),
    "note": ("n",),
    "topping": ("t",),
    "intent": ("i",),
    "chill": ("h",),
    "vessel": ("e",),
}
OTHERS = {
    "find": ("/",),
    "a past day": ("p",),
    "new vessel": ("v",),
    "new wine": ("y",),
    "reading sheet": ("R",),
    "workbench": ("b", "Enter"),
    "workbench filter": ("b", "/"),
    "bench trial": ("b", "t"),
    "due round": ("d", "Enter"),
    "house rule": ("o", "Down", "Enter"),
    "wine, then a reading": ("Enter", "r"),
}
PLACES = {**FORMS, **OTHERS}
EDITING = ("Backspace", "Delete", "Left", "Right", "Home", "End", "Ctrl+U")
MOVING = ("Tab", "Tab", "Shift+Tab", "Up", "Down", "Enter")
SELDOM = ("Escape", "F9", "F5", "F6", "F7", "F8", "Ctrl+Y", "Ctrl+O")
# Not drawn: q and Ctrl+Q, which end the program, and u, which takes back only when it is pressed alone.
SIGNS = "0123456789" * 3 + "..,, -/" + "gmpesayrioltbö"
PASTED = ("3.31", "pear and smoke", "12 g", "2 a\n3 b", "yesterday")


def keys(draw: random.Random, place: str, longest: int = 14) -> list[str]:
    """Return the keys that open a place and then type in it; no Enter follows an Enter."""
    found = list(PLACES[place])
    for _ in range(draw.randint(4, longest)):
        sort = draw.random()
        pool: Sequence[str] = SIGNS
        if sort > 0.95:
            pool = SELDOM
        elif sort > 0.92:
            pool = PASTED
        elif sort > 0.75:
            pool = MOVING
        elif sort > 0.6:
            pool = EDITING
        key = draw.choice(pool)
        if key == found[-1] == "Enter":
            key = "Tab"
        found.append(key)
    return found


def cut(draw: random.Random, typed: Sequence[str]) -> Cut:
    """Return a way in which the bytes arrive: in one piece, key by key, or cut anywhere, at one of four paces."""
    size = sum(len(sent(key)) for key in typed)
    pieces = draw.choice((1, 1, 2, 4, 8))
    places = tuple(draw.randrange(1, size) for _ in range(pieces - 1))
    return Cut(places, tuple(draw.choice(GAPS) for _ in range(4)))
