"""Every rule, in the order of a wine's life."""

from __future__ import annotations

from cellar_tui.planning.rules import (
    bottle,
    bottle_fault,
    clarity_check,
    cold_hold_check,
    cold_hold_end,
    cold_hold_start,
    cold_test,
    final_so2,
    fine,
    fining_trial,
    gravity_check,
    haze_test,
    kept_bottle_check,
    level_look,
    malolactic_check,
    malolactic_conditions,
    malolactic_overdue,
    malolactic_start,
    malolactic_unwanted,
    oak_taste,
    ph_check,
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
)
from cellar_tui.planning.rules.base import Rule

RULES: tuple[Rule, ...] = tuple(
    module.RULE
    for module in (
        gravity_check, sugar_test, rack, malolactic_start, malolactic_conditions, malolactic_check, malolactic_overdue,
        malolactic_unwanted, ph_check, sulfite, so2_recheck, total_so2, top_up, level_look, smell_check, oak_taste,
        clarity_check, haze_test, fining_trial, fine, cold_hold_start, cold_hold_check, cold_test, cold_hold_end,
        sorbate, sweeten, refermentation_watch, final_so2, bottle, kept_bottle_check, bottle_fault,
    )
)  # fmt: skip
"""The rules in walking order."""

RULE_BY_ID: dict[str, Rule] = {rule.id: rule for rule in RULES}
"""Every rule by the name of its action."""
