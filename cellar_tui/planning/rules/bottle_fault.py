"""A kept bottle that fails asks at once what is to become of the others: chill, drink, recork, or back to bulk."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger.history import checks, decisions
from cellar_tui.ledger.kinds import DECISIONS
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.rules.kept_bottle_check import bottled
from cellar_tui.planning.subject import Subject

ID = "bottle_fault"
CHOICES = DECISIONS[ID]
CARE = {
    "pressure": "cool the whole lot where it stands before anybody touches it; then uncork one by one outdoors, under "
    "a cloth",
    "lactic_spot": "it may build pressure yet: keep the lot cold until that is decided",
    "crystals": "cream of tartar is harmless: pour gently, and say so to whoever drinks it",
    "haze": "it is safe to drink; back in bulk it could be fined",
    "film": "air got in: look at the corks and drink it soon",
    "browning": "air got in: look at the corks and drink it soon",
    "vinegar": "nothing takes vinegar out: keep it away from other wine",
    "mouse": "it has no cure: keep it away from other wine",
    "rotten_egg": "it goes back to bulk, to be racked with air and tried with copper, or waits for air in the glass",
}
"""What to do with a lot that shows a fault; common practice."""


def due(s: Subject) -> Iterator[Due]:
    """Yield the decision about the bottles of a lot that has failed."""
    begun = bottled(s)
    if begun is None:
        return
    answered = max((index for index, _ in decisions(s.c, ID, *CHOICES)), default=begun.index)
    failed = [check for check in checks(s.c, "kept_bottle", after=answered) if check[1].result == "fail"]
    for evidence, check in failed[:1]:
        fault = check.fault or "a fault"
        fact = Fact("retained bottle failed", fault.replace("_", " "), "", evidence.entries, evidence.on)
        reason = f"a retained bottle showed {fault.replace('_', ' ')}"
        care = CARE.get(check.fault or "", "open one under a cloth and name the fault")
        pressure = check.fault == "pressure"
        yield window(ID, evidence.on, None, evidence.entry, f"{reason}: {care}", (fact,), urgent=pressure)


RULE = Rule(
    ID,
    "faulty bottles: decide",
    "Chill the lot, drink it soon, recork it, or return it to bulk under gas and stabilise it.",
    due,
    tuple(ResponseForm("decide", ("reason",), (("about", ID), ("choice", choice))) for choice in CHOICES),
    kit="a lamp",
    hard=True,
    cautions=(cautions.LIVE,),
)
