"""Cautions stand beside the form of the work they belong to, and beside no other."""

from __future__ import annotations

from cellar_tui.care import care
from cellar_tui.planning.rules import cautions


def test_the_cap_and_the_press_warn_of_carbon_dioxide() -> None:
    assert cautions.GAS in care("check", {"test": "cap", "result": "pass"})
    assert cautions.GAS in care("press", {"volume": "18"})
    assert cautions.AIRLOCK in care("press", {"volume": "18"})


def test_spirit_warns_of_its_vapour_and_of_the_licence() -> None:
    shown = care("addition", {"material": "spirit", "amount": "2.4"})
    assert cautions.FLAME in shown
    assert cautions.LICENCE in shown


def test_warming_a_stuck_ferment_tells_what_it_costs() -> None:
    shown = care("decide", {"about": "ferment_stuck", "choice": "warm", "reason": "cold room"})
    assert cautions.WARMING in shown
    assert cautions.STUCK in shown


def test_a_wish_warns_only_where_it_answers_the_work() -> None:
    assert cautions.COOLING in care("intent", {"finish_sg": "1.020"})
    assert care("intent", {"bottling": "2027-05-01"}) == []
