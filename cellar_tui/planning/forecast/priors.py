"""What is taken of a wine before its own readings say better: house rules of its kind of vessel and of its sulfite."""

from __future__ import annotations

from cellar_tui.ledger.house import House
from cellar_tui.planning import sulfur
from cellar_tui.planning.forecast.belief import Prior
from cellar_tui.planning.subject import Subject

MATERIALS = ("steel", "glass", "oak", "plastic")
"""Kinds of vessel with a daily loss of their own."""


def loss_rule(material: str) -> str:
    """Return the house rule of the daily loss in vessels of a material."""
    return f"loss_{material}" if material in MATERIALS else "loss_glass"


def prior(house: House, material: str) -> Prior:
    """Return what vessels of a material do in this cellar."""
    return Prior(house.number(loss_rule(material)), house.number("loss_spread"))


def pace(house: House, temperature: float) -> float:
    """Return by how much faster free SO2 fades at a temperature [C] than at the warmth the house rules are for.

    Equation: Q10^((T - T0) / 10).
    """
    return float(house.number("loss_q10") ** ((temperature - house.number("loss_warmth")) / 10))


def share_rule(s: Subject) -> str:
    """Return the house rule of the share of the next sulfite that stays free."""
    cloudy = bool(s.clarity) and s.clarity[-1].value < 1
    if s.alive_by_cold:
        return "share_sweet"
    if sulfur.sulfited(s) is not True:
        return "share_first"
    return "share_sweet" if s.sweetened or cloudy or about_to_be_sweetened(s) else "share_later"


def about_to_be_sweetened(s: Subject) -> bool:
    """Return whether its sorbate is in and its sugar comes next: what is dosed now must serve the sweet wine."""
    return s.intents.sweet and not s.sweetened and s.sorbate > 0
