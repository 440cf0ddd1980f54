"""Guards on what a vessel can hold and give."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar import Cellar
from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.ledger.entry import Entry
from cellar_tui.planning.guards.base import Act, Finding

NEVER = {"no_volume": "volume", "no_wine": "no_wine", "not_empty": "not_empty"}
"""Problems of the fold that no reason can pass, with the guard that names them."""

TOLERANCES = ("volume_tolerance", "total_tolerance")
"""House rules of how far a measured value may differ from the ledger."""


def guard(act: Act) -> Iterator[Finding]:
    """Stop volume that does not exist (never waivable) and more wine than the vessel holds (waivable)."""
    for problem in act.problems:
        if problem.code in NEVER:
            told = problem.problem
            if not isinstance(act.entry.body, k.Cleaning):
                told += " Measure again, or correct the entry before it."
            yield Finding(NEVER[problem.code], told, False)
        elif problem.code == "overfull":
            yield Finding("overfull", f"{problem.problem} Draw some off first, or use a larger vessel.", True)
        elif problem.code == "differs":
            told = f"{problem.problem[:1].upper()}{problem.problem[1:]}"
            yield Finding("differs", told, None, tuple(map(act.fact, TOLERANCES)))


def filled_later(entry: Entry, old: Cellar, new: Cellar) -> Iterator[Finding]:
    """Stop a move into a vessel that another wine fills later, which would then have no room to come in.

    Args:
        entry: the move, or the start of a wine, at its own place in time.
        old, new: the whole cellar without and with it.
    """
    target = entry.vessel if isinstance(entry.body, WineStart) else getattr(entry.body, "to", None)
    known = {(problem.entry, problem.code) for problem in old.problems}
    later = [
        problem
        for problem in new.problems
        if problem.code == "not_empty" and (problem.entry, problem.code) not in known
    ]
    for one in later:
        if one.vessel == target and one.entry != entry.root:
            told = f"another wine fills {new.name(target)} later, by entry {one.entry}: it would find it full. "
            why = f"{told}Choose another vessel, or first record how this wine leaves it again."
            yield Finding("filled_later", why, True)
            return
