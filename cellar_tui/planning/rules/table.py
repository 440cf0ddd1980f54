"""Every rule, in the order of a wine's life."""

from __future__ import annotations

from cellar_tui.planning.rules import (
    bottle,
    clarity_check,
    cold_hold_check,
    cold_hold_end,
    cold_hold_start,
    cold_test,
    final_so2,
    gravity_check,
    haze_test,
    level_look,
    malolactic_check,
    malolactic_start,
    ph_check,
    rack,
    refermentation_watch,
    so2_recheck,
    sorbate,
    sugar_test,
    sulfite,
    sweeten,
    top_up,
)
from cellar_tui.planning.rules.base import Rule

RULES: tuple[Rule, ...] = tuple(
    module.RULE
    for module in (
        gravity_check, sugar_test, rack, malolactic_start, malolactic_check, ph_check, sulfite, so2_recheck, top_up,
        level_look, clarity_check, haze_test, cold_hold_start, cold_hold_check, cold_test, cold_hold_end, sorbate,
        sweeten, refermentation_watch, final_so2, bottle,
    )
)  # fmt: skip
"""The rules in walking order."""

RULE_BY_ID: dict[str, Rule] = {rule.id: rule for rule in RULES}
"""Every rule by the name of its action."""
