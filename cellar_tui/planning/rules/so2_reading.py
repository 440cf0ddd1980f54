"""How a free SO2 reading is recorded: by any method, or by two strips of one visit, whose mean counts."""

from __future__ import annotations

from cellar_tui.planning import sulfur
from cellar_tui.planning.rules.base import ResponseForm
from cellar_tui.planning.subject import Subject

STRIPS = (("method", "strip"),)


def by_strip(s: Subject) -> bool:
    """Return whether its last free SO2 was read by strip, as the next will be."""
    return bool(sulfur.reads(s)) and sulfur.reads(s)[-1].method == "strip"


def by_another(s: Subject) -> bool:
    """Return whether its last free SO2 was read otherwise, or never."""
    return not by_strip(s)


USUAL = (
    ResponseForm("reading", ("free_so2", "second_strip"), STRIPS, by_strip),
    ResponseForm("reading", ("free_so2", "method")),
)
"""The way it was read last comes first."""

STRIPS_INSTEAD = ResponseForm("reading", ("free_so2", "second_strip"), STRIPS, by_another)
"""Two strips, where it was read otherwise until now."""
