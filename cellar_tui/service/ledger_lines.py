"""The lines of a ledger as they are shown: newest first, each with what became of it."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from cellar_tui.ledger.cellar_kinds import Void
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.standing import chains
from cellar_tui.service.views import Written


def listed(
    entries: Sequence[Entry],
    names: Mapping[int, str],
    problems: Mapping[int, str],
    vessel: int | None,
    also: Collection[int] = (),
) -> list[Written]:
    """Return the entries of a vessel (None for all of them) newest first; `also` names others to be kept with them.

    `names` are those of the vessels, `problems` what cannot be right of an entry.
    """
    found = []
    for chain in chains(entries).values():
        for link in chain.links:
            if not (vessel is None or chain.root.seq in also or _concerns(link, vessel)):
                continue
            root_says = problems.get(chain.root.seq, "") if chain.standing is not None else ""
            state = _state(link, chain.standing)
            found.append(
                Written(link, names.get(link.vessel or 0, ""), state, root_says if state == "standing" else "")
            )
    return sorted(found, key=lambda one: (one.entry.on, one.entry.seq), reverse=True)


def governing(entries: Sequence[Entry], kind: str, name: str) -> list[Written]:
    """Return every entry on a house rule or a material (`kind` rule or material), newest first."""
    lines = [
        Written(link, "", _state(link, chain.standing))
        for chain in chains(entries).values()
        if chain.root.body.kind == kind and getattr(chain.root.body, "name", None) == name
        for link in chain.links
    ]
    return sorted(lines, key=lambda line: line.entry.seq, reverse=True)


def _concerns(entry: Entry, vessel: int) -> bool:
    body = entry.body
    return vessel in (entry.vessel, entry.root, getattr(body, "to", None), getattr(body, "source", None))


def _state(link: Entry, alive: Entry | None) -> str:
    if isinstance(link.body, Void):
        return "withdrawal"
    if alive is None:
        return "withdrawn"
    return "standing" if alive.seq == link.seq else "corrected" if alive.seq > link.seq else "withdrawn"
