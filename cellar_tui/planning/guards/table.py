"""Every guard, in the order in which they speak."""

from __future__ import annotations

from cellar_tui.planning.guards import bottling, care, dose, finished, sorbate, sugar, volume
from cellar_tui.planning.guards.base import Act, Finding

GUARDS = (
    volume.guard, sugar.guard, sorbate.guard, dose.guard, sorbate.total_so2, bottling.guard, care.guard,
    finished.guard,
)  # fmt: skip


def judge(act: Act) -> list[Finding]:
    """Return what the guards say of an entry: stops first, then cautions."""
    found = [finding for guard in GUARDS for finding in guard(act)]
    return sorted(found, key=lambda one: (not one.stops, one.waivable is True))
