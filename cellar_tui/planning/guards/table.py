"""Every guard, in the order in which they speak."""

from __future__ import annotations

from dataclasses import replace

from cellar_tui.planning.guards import bottling, care, dose, finished, must, slips, sorbate, sugar, volume, wood
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.plan import changed_rules

GUARDS = (
    volume.guard,
    sugar.guard,
    sorbate.guard,
    dose.guard,
    sorbate.total_so2,
    bottling.guard,
    must.guard,
    care.guard,
    slips.guard,
    finished.guard,
    wood.guard,
)


def _named(found: Finding) -> Finding:
    """Return what a guard says with the house rules that this cellar has changed in its sentence."""
    return replace(found, why=f"{found.why}{changed_rules(found.facts)}")


def judge(act: Act) -> list[Finding]:
    """Return what the guards say of an entry: stops first, then cautions."""
    found = [_named(finding) for guard in GUARDS for finding in guard(act)]
    return sorted(found, key=lambda one: (not one.stops, one.waivable is True))
