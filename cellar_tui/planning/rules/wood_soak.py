"""Wood that stood empty for 60 days without sulfur or holding solution is smelled at and soaked before wine goes in."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.care import Care
from cellar_tui.ledger.cellar import VesselInfo
from cellar_tui.ledger.house import House
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules.base import OPEN_DAYS, ResponseForm, Rule, nothing, window
from cellar_tui.planning.rules.empty_wood import kept_since
from cellar_tui.planning.subject import house_fact, span

ID = "wood_soak"


def dry_from(care: Care, house: House) -> tuple[date, int] | None:
    """Return the day from which wood counts as dried out, and the entry behind it; None where it was soaked."""
    since, soaked = kept_since(care), care.last("soaked")
    if since is None or (soaked is not None and soaked.on >= since[0] + span(house, "dry_wood_days")):
        return None
    return since[0] + span(house, "dry_wood_days"), since[1]


def smelled_bad(care: Care) -> int | None:
    """Return the entry of the last smelling at an empty vessel where it found mould or vinegar."""
    last = care.last("smelled")
    bad = last is not None and isinstance(last.body, k.Cleaning) and last.body.result == "fail"
    return last.entry if last is not None and bad else None


def asked(info: VesselInfo, care: Care, house: House) -> Iterator[Due]:
    """Yield the soaking of a barrel that stood dry."""
    dry = dry_from(care, house) if info.material == "oak" and not info.retired else None
    if dry is None:
        return
    day, entry = dry
    facts = (Fact("dry from", day.isoformat(), "", (entry,), day), house_fact(house, "dry_wood_days"))
    reason = "wood that stood dry leaks, and may smell of mould or vinegar"
    yield window(
        ID, day, day + timedelta(days=OPEN_DAYS), entry, reason, facts, formula=f"+ {house.number('dry_wood_days'):g} d"
    )


RULE = Rule(
    ID,
    "smell the dry barrel, soak it",
    "Wood left dry for 60 days: smell it, keep a barrel that smells of vinegar from wine, soak the others until tight.",
    nothing,
    (
        ResponseForm("cleaning", ("agent",), (("how", "soaked"),)),
        ResponseForm("cleaning", ("result",), (("how", "smelled"),)),
    ),
    kit="hoses",
)
