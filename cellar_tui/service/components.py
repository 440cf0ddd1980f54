"""Which vessels an entry touches and joins, as the store keeps them."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cellar_tui.ledger.cellar_kinds import HouseRule, MaterialOnHand, Rebuild
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.standing import chains
from cellar_tui.service import build_entries
from storage.rows import CELLAR, OWN


def links(entry: Entry, vessels_of: Callable[[int], tuple[int, ...]]) -> tuple[set[int], set[int]]:
    """Return the vessels of an entry's row and those it joins; a correction keeps those of what it replaces."""
    own = entry.root or OWN
    seen, joins = build_entries.touched(entry, own)
    if isinstance(entry.body, HouseRule | MaterialOnHand | Rebuild) or entry.vessel is None:
        seen = {CELLAR}
    if entry.supersedes is not None:
        earlier = set(vessels_of(entry.supersedes))
        if not earlier <= seen:
            # Moved to another vessel: whoever reads the one must find what was corrected in the other.
            joins |= seen | earlier
        seen |= earlier
    return seen, joins


def components(entries: Sequence[Entry]) -> dict[int, int]:
    """Join every vessel with those it was ever joined to by a transfer or a correction, a withdrawn one too."""
    parent: dict[int, int] = {}

    def find(one: int) -> int:
        while parent.setdefault(one, one) != one:
            one = parent[one]
        return one

    for chain in chains(entries).values():
        moved = {link.vessel for link in chain.links if link.vessel is not None}
        for joins in (*(build_entries.touched(link, chain.root.seq)[1] for link in chain.links), moved):
            roots = {find(join) for join in joins}
            for one in roots:
                parent[one] = min(roots)  # a component bears the number of its lowest vessel
    return {one: find(one) for one in parent}
