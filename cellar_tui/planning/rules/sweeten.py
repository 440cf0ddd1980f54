"""Sugar follows 1 to 7 days after the sorbate, up to the sweetness of the bench trial, with sulfite the same day."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.planning import arrested, measure
from cellar_tui.planning import sorbate as chemistry
from cellar_tui.planning.plan import Because, Dose, Due, Fact
from cellar_tui.planning.rules import cautions, needs, sorbate
from cellar_tui.planning.rules.base import OPEN_DAYS, ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "sweeten"
LEAST_RISE = 1.0
"""Sugar that no bench trial tells apart [g/L]; common practice."""


def _dose(s: Subject) -> tuple[Dose | None, str]:
    """Return the sugar and what to do first; no dose while the sweetness is not known."""
    if sorbate.sweetness_unknown(s):
        return None, "say first how sweet it is to be: record the intent sweetness"
    will = chemistry.as_it_will_be(s)
    note = f"to {s.intents.sweetness:g} g/L in {will.volume:.3g} L; sulfite for the new volume the same day"
    task = "sweeten"
    if will.draw_off > 0:
        note = f"draw off {measure.litres(will.draw_off)} first; {note}"
        task = f"draw off {measure.litres(will.draw_off)}, then sweeten"
    because = Because(ID, note, will.facts, "rise x volume that stays / (1 - 0.00062 x rise)", "computed")
    return Dose("sugar", will.sugar, "g", note, because), task


def _sweet_enough(s: Subject) -> bool:
    """Return whether less is missing than anyone tastes: the rounding of an addition asks for no other."""
    will = chemistry.as_it_will_be(s)
    return will.sugar < LEAST_RISE * will.volume


def _on_target(s: Subject) -> bool:
    return not needs.under_target(s)


def _sterile_ready(s: Subject) -> bool:
    return s.intents.sterile_filtration and s.end is not None and needs.to_be_sweetened(s) and sorbate.stable(s)


def _held(s: Subject) -> chemistry.Effective | None:
    """Return the sorbate that holds its yeast for the sugar still to come, None where there is none."""
    fit = None if s.intents.sterile_filtration else arrested.effective(s)
    if fit is None or sorbate.short(s) or (any(index > fit.index for index, _ in s.sweetenings) and _sweet_enough(s)):
        return None
    return fit


def waits_for_so2(s: Subject) -> bool:
    """Return whether its sugar waits for nothing but free SO2 on target."""
    return not s.c.store and s.intents.sweet and _held(s) is not None and not s.sweetened and needs.under_target(s)


def due(s: Subject) -> Iterator[Due]:
    """Yield the sweetening."""
    if s.c.store or not s.intents.sweet or (_sweet_enough(s) and not sorbate.sweetness_unknown(s)):
        return
    dose, task = _dose(s)
    facts = dose.because.facts if dose else (Fact("target sweetness", "not said"),)
    fit = _held(s)
    filtered = needs.came_true(s, _sterile_ready)
    if filtered is not None:
        yield window(
            ID,
            filtered.on,
            filtered.on + timedelta(days=OPEN_DAYS),
            filtered.entry,
            "clear and stable, its yeast left to the sterile filter",
            facts,
            dose=dose,
            task=task,
        )
    elif fit is not None and s.free is not None and not needs.under_target(s):
        event = s.c.log[fit.index]
        anchor = needs.last_of(needs.moment((fit.index, event)), sorbate.sweetness_said(s)).entry
        # Sugar waits for the target: a reading later than the sorbate that found it puts the window off.
        ready = needs.came_true(s, _on_target)
        met = event.on + s.days("sweeten_from")
        yield window(
            ID,
            met if ready is None else max(met, ready.on),
            event.on + s.days("sweeten_to"),
            anchor,
            "the sorbate is in and stirred, free SO2 on target",
            (*fit.facts, needs.free_fact(s.free), s.fact("sweeten_from"), s.fact("sweeten_to"), *facts),
            formula=f"sorbate + {s.figure('sweeten_from')} to {s.figure('sweeten_to')} d",
            dose=dose,
            task=task,
        )


RULE = Rule(
    ID,
    "sweeten",
    "Sweeten only once yeast is under control, to the level chosen in a bench trial; then watch the wine.",
    due,
    (
        ResponseForm("intent", ("sweetness",), (), sorbate.sweetness_unknown),
        ResponseForm("addition", ("amount",), (("material", "sugar"),)),
    ),
    kit="scales",
    cautions=(cautions.AIRLOCK, cautions.LIVE),
)
