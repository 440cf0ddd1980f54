"""Every rule, in the order of a wine's life."""

from __future__ import annotations

from cellar_tui.planning.rules import (
    arrest,
    bottle,
    bottle_fault,
    cap,
    clarity_check,
    cold_hold_check,
    cold_hold_end,
    cold_hold_start,
    cold_test,
    ferment_decision,
    final_so2,
    fine,
    fining_trial,
    fortify,
    gravity_check,
    haze_test,
    kept_bottle_check,
    level_look,
    malolactic_check,
    malolactic_conditions,
    malolactic_overdue,
    malolactic_start,
    malolactic_unwanted,
    nutrient,
    oak_taste,
    pectic_enzyme,
    ph_check,
    press,
    rack,
    refermentation_watch,
    smell_check,
    so2_recheck,
    sorbate,
    sugar_test,
    sulfite,
    sweeten,
    top_up,
    total_so2,
    warm,
    yeast,
)
from cellar_tui.planning.rules.base import Rule

RULES: tuple[Rule, ...] = tuple(
    module.RULE
    for module in (
        pectic_enzyme, yeast, gravity_check, cap, press, warm, nutrient, ferment_decision, arrest, fortify,
        sugar_test, rack, malolactic_start, malolactic_conditions, malolactic_check, malolactic_overdue,
        malolactic_unwanted, ph_check, sulfite, so2_recheck, total_so2, top_up, level_look, smell_check, oak_taste,
        clarity_check, haze_test, fining_trial, fine, cold_hold_start, cold_hold_check, cold_test, cold_hold_end,
        sorbate, sweeten, refermentation_watch, final_so2, bottle, kept_bottle_check, bottle_fault,
    )
)  # fmt: skip
"""The rules in walking order."""

RULE_BY_ID: dict[str, Rule] = {rule.id: rule for rule in RULES}
"""Every rule by the name of its action."""
