"""Which entries stand: corrections and withdrawals resolved over the whole ledger, then put in time order.

The chain of an entry is linear (one entry may be superseded once). A correction carries the whole new content and
keeps the place of what it replaces; a withdrawal takes out the entry it names and every correction of it; the
withdrawal of a withdrawal brings them back.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from cellar_tui.ledger.cellar_kinds import Void
from cellar_tui.ledger.entry import Entry


@dataclass(frozen=True, slots=True)
class Chain:
    """One entry with its corrections and withdrawals, oldest first; `standing` is the version in force, if any."""

    links: tuple[Entry, ...]
    standing: Entry | None

    @property
    def root(self) -> Entry:
        """The entry as it was first made."""
        return self.links[0]

    @property
    def tip(self) -> Entry:
        """The newest link: what the next correction supersedes."""
        return self.links[-1]


def _in_force(links: Sequence[Entry]) -> Entry | None:
    """Return the content version that stands at the end of a chain, None where it is withdrawn."""
    position = {link.seq: index for index, link in enumerate(links)}
    dead: set[int] = set()
    # From the newest link back: a withdrawal that is itself withdrawn does nothing.
    for index in range(len(links) - 1, -1, -1):
        body = links[index].body
        if index in dead or not isinstance(body, Void):
            continue
        start = position[body.of]
        dead.update(range(start, index))
    alive = [link for index, link in enumerate(links) if index not in dead and not isinstance(link.body, Void)]
    return alive[-1] if alive else None


def chains(entries: Iterable[Entry]) -> dict[int, Chain]:
    """Group entries by the root of their chain; every entry of a chain must be among `entries`."""
    root_of: dict[int, int] = {}
    links: dict[int, list[Entry]] = {}
    for entry in sorted(entries, key=lambda item: item.seq):
        root = entry.seq if entry.supersedes is None else root_of[entry.supersedes]
        root_of[entry.seq] = root
        links.setdefault(root, []).append(entry)
    result = {}
    for root, chain in links.items():
        alive = _in_force(chain)
        result[root] = Chain(tuple(chain), None if alive is None else replace(alive, root=root))
    return result


def standing_entries(entries: Iterable[Entry]) -> list[Entry]:
    """Return the entries in force, in the order they happened, each with the root of its chain."""
    alive = [chain.standing for chain in chains(entries).values() if chain.standing is not None]
    return sorted(alive, key=lambda entry: entry.position)
