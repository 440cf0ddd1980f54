"""Yeast goes into the must 24 hours after SO2, the same day where there is none; a restart asks for it at once."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger.history import decisions
from cellar_tui.planning.plan import Because, Dose, Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "yeast"


def _dose(s: Subject, setting: str, note: str) -> Dose:
    facts = (s.fact(setting), Fact("volume", round(s.volume, 2), "L"))
    grams = s.house.number(setting) * s.volume / 100
    return Dose(ID, grams, "g", note, Because(ID, note, facts, "dose x volume / 100"))


def _restart(s: Subject) -> Iterator[Due]:
    decided = decisions(s.c, "ferment_stuck", "restart", "finish_here")[-1:]
    for index, event in decided:
        if getattr(event.body, "choice", "") == "finish_here" or any(place > index for place, _ in running.yeasts(s)):
            return
        fact = needs.moment((index, event)).fact("restart decided")
        yield window(
            ID,
            event.on,
            None,
            event.entry,
            "the stuck ferment is to be restarted",
            (fact,),
            dose=_dose(s, "yeast_restart", "a strain that bears alcohol, fed with the wine in rising parts"),
            task="build up fresh yeast on part of the wine and pitch it",
        )


def due(s: Subject) -> Iterator[Due]:
    """Yield the yeast."""
    if s.c.store:
        return
    if running.must(s):
        day, anchor, facts, formula = running.after_sulfite(s, "yeast_after_so2")
        yield window(
            ID,
            day,
            None,
            anchor,
            "wild yeast takes a must that waits; fresh sulfite harms the yeast put in",
            facts,
            formula=formula,
            dose=_dose(s, "yeast_dose", "where the packet says nothing else"),
        )
    yield from _restart(s)


RULE = Rule(
    ID,
    "add yeast",
    "Pitch 24 h after sulfite, or the same day if none was added, with the starter within 10 C of the must.",
    due,
    (ResponseForm("addition", ("amount",), (("material", ID),)),),
    kit="scales",
    cautions=(cautions.FOAM, cautions.GAS, cautions.AIRLOCK),
)
