"""Guards on what a vessel can hold and give."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.planning.guards.base import Act, Finding

NEVER = {"no_volume": "volume", "no_wine": "no_wine", "not_empty": "not_empty"}
"""Problems of the fold that no reason can pass, with the guard that names them."""

TOLERANCES = ("volume_tolerance", "total_tolerance")
"""House rules of how far a measured value may differ from the ledger."""


def guard(act: Act) -> Iterator[Finding]:
    """Stop volume that does not exist (never waivable) and more wine than the vessel holds (waivable)."""
    for problem in act.problems:
        if problem.code in NEVER:
            told = f"{problem.problem} Measure again, or correct the entry before it."
            yield Finding(NEVER[problem.code], told, False)
        elif problem.code == "overfull":
            yield Finding("overfull", f"{problem.problem} Draw some off first, or use a larger vessel.", True)
        elif problem.code == "differs":
            told = f"{problem.problem[:1].upper()}{problem.problem[1:]}"
            yield Finding("differs", told, None, tuple(map(act.fact, TOLERANCES)))
