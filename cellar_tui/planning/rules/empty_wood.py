"""Empty wood is kept from moulding: burned sulfur or a holding solution, again every four weeks.

What is asked of an empty vessel follows from how it was kept (`ledger/care.py`); a vessel with wine in it is asked for
none of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.care import Care
from cellar_tui.ledger.cellar import VesselInfo
from cellar_tui.ledger.house import House
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions
from cellar_tui.planning.rules.base import ResponseForm, Rule, nothing, window
from cellar_tui.planning.subject import house_fact, span

ID = "empty_wood"
BURN = (
    "Burning sulfur makes sulfur dioxide: light it outdoors, keep out of the smoke, let none drip into the barrel.",
    "Never burn it in a barrel that held spirit, or is wet with it: the vapour explodes.",
)


def kept_since(care: Care) -> tuple[date, int, str] | None:
    """Return since when wood stands as it is, the entry, and why; None where it never held wine and was never kept."""
    treated = care.last(*k.KEEPS_WOOD)
    found = [] if care.emptied is None else [(care.emptied, care.by, "emptied")]
    found += [] if treated is None else [(treated.on, treated.entry, "last kept from moulding")]
    return max(found, default=None)


def asked(info: VesselInfo, care: Care, house: House) -> Iterator[Due]:
    """Yield the next sulfur or holding solution of an empty barrel."""
    since = kept_since(care) if info.material == "oak" and not info.retired else None
    if since is None:
        return
    on, entry, what = since
    yield window(
        ID,
        on + span(house, "empty_wood_days"),
        None,
        entry,
        "empty wood goes mouldy and sour within weeks",
        (Fact(what, on.isoformat(), "", (entry,), on), house_fact(house, "empty_wood_days")),
        formula=f"{what} + {house.number('empty_wood_days'):g} d",
    )


RULE = Rule(
    ID,
    "sulfur the empty barrel",
    (
        "Rinse an empty barrel, drain it, burn a sulfur stick in it and bung it, or fill it with holding solution; "
        "again every 4 weeks."
    ),
    nothing,
    (
        ResponseForm("cleaning", ("agent",), (("how", "sulfur_stick"),)),
        ResponseForm("cleaning", ("agent",), (("how", "holding_solution"),), cautions=cautions.SULFITE),
    ),
    kit="sulfur sticks",
    cautions=BURN,
)
