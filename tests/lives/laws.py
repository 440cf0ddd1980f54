"""The laws of drawn lives, and what came of a life."""

from __future__ import annotations

from dataclasses import dataclass

from tests.lives.account import Fault
from tests.lives.life import Life

LAWS = (
    "nothing due before its wine",
    "answered is gone that day",
    "the list of a day ends",
    "asked 4 times a month at most",
    "no advice that a guard stops",
    "no dose over a limit",
    "no dose into a full vessel",
    "no dose too small to weigh",
    "SO2 asked within 60 d",
    "what is left says why",
)


@dataclass(frozen=True)
class Told:
    """What came of a life: its entries, wines bottled and left in bulk, and laws that did not hold."""

    number: int
    style: str
    attentive: bool
    entries: int
    bottled: int
    left: int
    faults: tuple[Fault, ...]


def lived(number: int, days: int) -> Told:
    """Live a life."""
    life = Life(number)
    account = life.live(days)
    for vessel in life.wines:
        found = life.plan(vessel)
        open_still = [one for one in found.verdicts.values() if one.state not in ("shown", "waived")]
        # Aged, stable and still in bulk: the path or the list has to name what it waits for.
        said = all(one.because.reason for one in open_still) and (found.path or found.actions)
        if not said or not all(step.why for step in found.path):
            account.fault("what is left says why", life.today, vessel, ", ".join(one.state for one in open_still))
    bottled, left = len(account.bottlings), len(life.wines)
    return Told(number, life.style, life.manner.attentive, len(life.entries), bottled, left, tuple(account.faults))
