"""A laboratory's values stand before those that the cellar read on the same day of the same wine."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Contents

CHANGING = (k.Addition, k.Racking, k.Press, k.Topping, k.Split, k.Blend, k.Filter, k.Bottle)
"""Work after which a wine is no longer the one that was sampled."""
FOLLOWS = {"sg": ("sg", "brix"), "free_so2": ("free_so2", "second_strip")}
"""Fields of a reading behind a value that has more than its own."""


def _since(contents: Contents, on: date) -> int:
    """Return the place in the log from which the wine of that day is the same, unchanged, up to now."""
    place = len(contents.log)
    while place and contents.log[place - 1].on == on and not isinstance(contents.log[place - 1].body, CHANGING):
        place -= 1
    return place


def counted(body: k.Reading, contents: Contents, on: date) -> k.Reading:
    """Return a reading less what a laboratory has said of the same wine on that day."""
    if isinstance(body, k.LabReport):
        return body
    told = {
        name
        for event in contents.log[_since(contents, on) :]
        if isinstance(event.body, k.LabReport)
        for name in event.values
    }
    left_out = {field: None for name in told for field in FOLLOWS.get(name, (name,))}
    return replace(body, **left_out) if left_out else body


def overruled(body: k.Reading, contents: Contents, on: date) -> Contents:
    """Return a wine whose own readings of that day leave out what a laboratory's report says of it."""
    begin = _since(contents, on)
    if not isinstance(body, k.LabReport) or begin == len(contents.log):
        return contents
    names = {name for event in contents.log[begin:] for name in event.values if getattr(body, name, None) is not None}
    names |= {"sg"} if body.brix is not None else set()
    log = list(contents.log)
    for place in range(begin, len(log)):
        event = log[place]
        if not isinstance(event.body, k.LabReport) and names & set(event.values):
            left = {name: value for name, value in event.values.items() if name not in names}
            log[place] = replace(event, values=left)
    return contents.with_log(tuple(log))
