"""Is the ledger still what was recorded? SQLite's own check says nothing about content: the chain does."""

from __future__ import annotations

from itertools import count
from typing import Literal

from storage.chain import GENESIS, is_json
from storage.errors import Corrupt
from storage.reads import holds
from storage.store import Store

Tip = tuple[int, bytes]
"""How many entries a ledger has, and the hash of the last one (GENESIS for none)."""

_STRETCH = 5_000


def tip(store: Store) -> Tip:
    """What to keep elsewhere, so that a ledger whose end is missing is noticed."""
    with store.snapshot():
        return store.count(), store.last_hash() or GENESIS


def verify(store: Store, level: Literal["quick", "full"] = "quick", *, known: Tip | None = None) -> list[str]:
    """Check file, references, numbering and hash chain, all in one state of the file.

    Args:
        level: 'full' also compares every index with its table.
        known: the tip of an earlier copy; the ledger must still contain it.

    Returns:
        One sentence for each thing that is wrong; empty when all is well.

    Raises:
        Busy, DiskFailed: it could not be read.
    """
    try:
        with store.snapshot():
            found = [f"The file is damaged: {said}." for said in store.integrity(full=level == "full")]
            found += _chain(store)
            found += [f"Vessel {vessel}: the entry kept as its last is not its last." for vessel in store.wrong_heads()]
            return found + (rewritten(store, known) if known else [])
    except Corrupt as error:
        return [str(error)]


def _chain(store: Store) -> list[str]:
    before = GENESIS
    numbers = count(1)
    last = 0
    while stretch := store.ledger(last, _STRETCH):
        for entry, vessels in stretch:
            if entry.seq != next(numbers):
                return [f"Entry {entry.seq}: the entries before it are not all there."]
            if not (is_json(entry.body) and holds(before, entry, vessels)):
                return [f"Entry {entry.seq}: it, or its link to a vessel, is not what was recorded."]
            before, last = entry.hash, entry.seq
    return []


def rewritten(store: Store, known: Tip) -> list[str]:
    """Whether the ledger still goes on from an earlier tip; a sentence where it does not."""
    number, digest = known
    if number == 0:
        return []
    if number > store.count():
        return [f"The ledger ends at entry {store.count()}, but entry {number} was recorded once."]
    return [] if store.hash_of(number) == digest else [f"Entry {number} is not the one that was recorded once."]
