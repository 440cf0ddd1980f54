"""Caution where wine goes into wood that stood dry, or that smelled of mould."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.rules.wood_soak import dry_from, smelled_bad
from cellar_tui.planning.subject import house_fact


def guard(act: Act) -> Iterator[Finding]:
    """Caution of the vessel that an entry fills."""
    body, house = act.entry.body, act.before.house
    into = act.entry.vessel if isinstance(body, WineStart) else getattr(body, "to", None)
    info = act.before.vessels.get(into or 0)
    care = act.before.care.get(into or 0)
    if info is None or care is None or info.material != "oak" or into in act.before.holds:
        return
    if smelled_bad(care) is not None:
        yield Finding("bad_barrel", f"{info.name} smelled of mould or vinegar: it gives that to the wine for good.")
    dry = dry_from(care, house)
    if dry is not None and act.entry.on >= dry[0]:
        days = house.number("dry_wood_days")
        told = f"{info.name} stood empty for {days:g} d or more without sulfur: smell it and soak it first."
        yield Finding("dry_barrel", told, None, (house_fact(house, "dry_wood_days"),))
