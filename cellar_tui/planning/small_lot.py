"""Small lots: a reading costs wine and a pinch of powder cannot be weighed, so sulfite goes in as a 10 % solution."""

from __future__ import annotations

from cellar_tui.enology.sulfite import SO2_SHARE, STOCK
from cellar_tui.ledger.materials import amount_for_dose
from cellar_tui.planning import measure
from cellar_tui.planning.plan import Because, Dose
from cellar_tui.planning.subject import Subject

POWDER = "potassium_metabisulfite"
SOLUTION = "so2_solution"
STOCK_STRENGTH = round(STOCK * SO2_SHARE[POWDER], 2)
"""SO2 in a solution of 10 g metabisulfite made up to 100 mL [% w/v] [computed: 10 x 0.576]."""

STEPS = 10
"""Least steps of a balance that a dose is weighed by: one step is then a tenth of it; common practice."""


def small(s: Subject) -> bool:
    """Return whether it is a small lot by the house rule."""
    return s.volume < s.house.number("small_lot")


def on_the_shelf(s: Subject) -> bool:
    """Return whether a solution of known strength is on hand; else one is made up at 10 %."""
    return SOLUTION in s.house.stock and bool(s.house.stock[SOLUTION].strength)


def weighed(s: Subject, raised: float) -> tuple[str, float, str, str]:
    """Return material, amount, unit and what to know of the sulfite that raises total SO2 by `raised` [mg/L].

    It is powder, where there is as much as ten steps of the balance; a small lot always takes a solution.
    """
    strength = s.house.stock[POWDER].strength if POWDER in s.house.stock else None
    grams = amount_for_dose(POWDER, raised, s.volume, strength)
    if not small(s) and grams >= STEPS * s.house.number("balance_step"):
        return POWDER, grams, "g", ""
    if on_the_shelf(s):
        strength = s.house.stock[SOLUTION].strength
        return SOLUTION, amount_for_dose(SOLUTION, raised, s.volume, strength), "mL", f"{strength:g} % SO2"
    note = f"{STOCK:g} g metabisulfite made up to 100 mL with water"
    return SOLUTION, amount_for_dose(SOLUTION, raised, s.volume, STOCK_STRENGTH), "mL", note


def with_room(s: Subject, amount: float, unit: str, note: str) -> str:
    """Return the note of a dose, before it what to draw off where a solution finds no room [mL].

    A few millilitres do not go into a vessel that is full to the stopper.
    """
    off = measure.draw_off(s.volume, s.volume + amount / 1000, s.vessel.capacity) if unit == "mL" else 0.0
    return f"draw off {measure.litres(off)} first; {note}" if off else note


def standing_dose(s: Subject) -> Dose:
    """Return the sulfite offered to a small lot in place of a reading."""
    raised = s.house.number("standing_dose")
    stuff, amount, unit, made = weighed(s, raised)
    note = with_room(s, amount, unit, f"+{raised:g} mg/L total in place of a reading; {made}")
    because = Because(
        "so2_recheck",
        note,
        (s.fact("small_lot"), s.fact("standing_dose")),
        "rise x volume / (10 x strength)",
        "common practice; arithmetic",
    )
    return Dose(stuff, amount, unit, note, because)
