"""A malolactic fermentation that is wanted begins at dryness, or 1 to 2 days after the yeast in a very ripe must."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger.ferment import potential_alcohol, yeast_index
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "malolactic_start"


def _awaited(s: Subject) -> bool:
    return s.intents.encouraged and s.ml.state == "none"


def _dry(s: Subject) -> bool:
    return s.end is not None and _awaited(s)


def _early(s: Subject) -> Iterator[Due]:
    place, strength = yeast_index(s.c), potential_alcohol(s.c)
    if place is None or strength is None or round(strength, 1) < s.house.number("coinoculation"):
        return
    yeast = s.c.log[place]
    facts = (
        Fact("yeast added", yeast.on.isoformat(), "", (yeast.entry,), yeast.on),
        Fact("potential alcohol", round(strength, 1), "% vol"),
        s.fact("coinoculation"),
        s.fact("coinoculation_from"),
        s.fact("coinoculation_to"),
    )
    yield window(
        ID,
        yeast.on + s.days("coinoculation_from"),
        yeast.on + s.days("coinoculation_to"),
        yeast.entry,
        "bacteria find it easier before the alcohol is there",
        facts,
        formula=f"yeast + {s.figure('coinoculation_from')} to {s.figure('coinoculation_to')} d",
        task="add the culture beside the yeast",
    )


def due(s: Subject) -> Iterator[Due]:
    """Yield the start of a wanted malolactic fermentation."""
    if s.c.store or not _awaited(s):
        return
    dry = needs.came_true(s, _dry)
    if dry is not None:
        yield window(
            ID,
            dry.on,
            None,
            dry.entry,
            "malolactic fermentation is wanted and the sugar is gone",
            (dry.fact("ferment finished, malolactic wanted"),),
        )
    yield from _early(s)


RULE = Rule(
    ID,
    "start MLF",
    "Inoculate at dryness, after a malic test: MLF may already be finished. No sulfite until it is.",
    due,
    (
        ResponseForm("addition", ("amount",), (("material", "malolactic_culture"),)),
        ResponseForm("decide", ("reason",), (("about", "malolactic_start"), ("choice", "by_itself"))),
    ),
    kit="scales",
    cautions=(cautions.AIRLOCK, cautions.GAS),
)
