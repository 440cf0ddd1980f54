"""Fruit must takes its pectic enzyme at crush, 12 hours after any SO2; a failed pectin test asks for more, at once.

Late, the dose is 2 to 4 times the first one, at 15 to 25 C, because alcohol slows it; never together with bentonite.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger.history import additions, checks
from cellar_tui.planning.plan import Because, Dose, Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.table import settled

ID = "pectic_enzyme"


def _enzyme(s: Subject, after: int = -1) -> list[int]:
    return [index for index, _, _ in additions(s.c, lambda name: name == ID, after)]


def _first(s: Subject) -> tuple[float, Fact]:
    """Return the dose at crush [g/hL] and where it is from: what this wine was given, else the house rule."""
    for index, event, _ in additions(s.c, lambda name: name == ID):
        given = 100 * (getattr(event.body, "amount", None) or 0.0) / max(event.after.volume, 0.001)
        if index < s.end_index and given > 0:
            return given, Fact("pectic enzyme at crush", round(given, 1), "g/hL", (event.entry,), event.on)
    return s.house.number("enzyme_dose"), s.fact("enzyme_dose")


def _crush(s: Subject) -> Iterator[Due]:
    if not running.must(s) or not running.fruit(s) or _enzyme(s):
        return
    day, anchor, facts, formula = running.after_sulfite(s, "enzyme_after_so2")
    grams, volume = s.house.number("enzyme_dose") * s.volume / 100, Fact("volume", round(s.volume, 2), "L")
    note = "where the label says nothing else"
    because = Because(ID, note, (s.fact("enzyme_dose"), volume), "dose x volume / 100")
    yield window(
        ID,
        day,
        None,
        anchor,
        "enzyme frees juice and keeps pectin out of the wine; sulfite hinders it",
        facts,
        formula=formula,
        dose=Dose(ID, grams, "g", note, because),
    )


def _failed(s: Subject) -> bool:
    """Return whether the last pectin test failed, no enzyme went in since, and no bentonite lies in the wine."""
    found = checks(s.c, "pectin_test")
    if not found or found[-1][1].result == "pass" or _enzyme(s, found[-1][0].index) or settled(s, "haze"):
        return False
    return not needs.on_bentonite(s)


def _late(s: Subject) -> Iterator[Due]:
    since = needs.came_true(s, _failed)
    if since is None:
        return
    (first, fact), volume = _first(s), Fact("volume", round(s.volume, 2), "L")
    least, most = s.house.number("enzyme_late_from"), s.house.number("enzyme_late_to")
    grams = least * first * s.volume / 100
    note = f"{least:g} to {most:g} times the first dose: up to {grams / least * most:.3g} g"
    warm = (s.fact("enzyme_warm_from"), s.fact("enzyme_warm_to"))
    times = (fact, s.fact("enzyme_late_from"), s.fact("enzyme_late_to"), volume)
    because = Because(ID, note, times, "multiple x first dose x volume / 100", "source not verified")
    yield window(
        ID,
        since.on,
        None,
        since.entry,
        "the pectin test failed; alcohol slows the enzyme, so it takes more of it",
        (since.fact("pectin test failed, off bentonite since"), *warm),
        source="source not verified",
        dose=Dose(ID, grams, "g", note, because),
        task=f"add pectic enzyme at {warm[0].value:g} to {warm[1].value:g} C, never with bentonite",
    )


def due(s: Subject) -> Iterator[Due]:
    """Yield the pectic enzyme, at crush or late."""
    if not s.c.store:
        yield from _crush(s)
        yield from _late(s)


RULE = Rule(
    ID,
    "add pectic enzyme",
    (
        "Add pectic enzyme at crush, 12 h after any sulfite. Once alcohol is present it needs 2 to 4 times "
        "the dose and 15 to 25 C."
    ),
    due,
    (ResponseForm("addition", ("amount",), (("material", ID),)),),
    kit="scales",
    cautions=(cautions.ENZYME,),
)
