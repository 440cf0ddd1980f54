"""A ledger written entry by entry, beside a second account of what stands in it.

The account is kept another way than the program's: each link remembers how its chain stood before it was made, and a
withdrawal puts that back. The laws compare the two.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import fields, replace
from datetime import UTC, date, datetime
from typing import Any

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import OUTSIDE_TIME, Void
from cellar_tui.ledger.entry import Entry

WRITTEN = datetime(2027, 6, 1, 12, tzinfo=UTC)
START = date(2026, 9, 1)


class Book:
    """Entries as they were made, what stands of each chain, and how often each kind of act was drawn."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []
        self.account: dict[int, Entry | None] = {}
        self.chain_of: dict[int, int] = {}
        self.tips: dict[int, int] = {}
        self.acts: Counter[str] = Counter()
        self._before: dict[int, tuple[Entry | None, frozenset[int]]] = {}
        self._dead: frozenset[int] = frozenset()

    def make(
        self, on: date, minute: int | None, body: k.Body, vessel: int | None, supersedes: int | None = None
    ) -> int:
        """Write an entry at the end and return its number."""
        seq = len(self.entries) + 1
        made = Entry(seq, seq.to_bytes(16, "big"), on, minute, WRITTEN, "Ada", body, vessel, supersedes)
        root = seq if supersedes is None else self.chain_of[supersedes]
        self._before[seq] = (self.account.get(root), self._dead)
        self.entries.append(made)
        self.chain_of[seq] = root
        self.tips[root] = seq
        if isinstance(body, Void):
            self.account[root], dead = self._before[body.of]
            self._dead = dead | {one for one, own in self.chain_of.items() if own == root and body.of <= one < seq}
        else:
            self.account[root] = replace(made, root=root)
        return seq

    def __repr__(self) -> str:
        """Return the ledger as lines, for the report of a law that does not hold."""
        return "\n" + "\n".join(
            f"{one.seq}{f' for {one.supersedes}' if one.supersedes else ''}: {one.on} {one.minute or ''} "
            f"vessel {one.vessel} {_said(one.body)}"
            for one in self.entries
        )

    def alive(self, seq: int) -> bool:
        """Return whether a link still has effect, so that it can be withdrawn."""
        return seq not in self._dead

    @property
    def stands(self) -> list[Entry]:
        """What stands, one entry for each chain, in the order in which they were first made."""
        return [one for _, one in sorted(self.account.items()) if one is not None]

    def rightly(self) -> list[Entry]:
        """Return the ledger in which everything was made rightly the first time and nothing was withdrawn."""
        return [replace(one, seq=one.root, supersedes=None, root=0) for one in self.stands]


def made_in_order(entries: Iterable[Entry], key: Callable[[Entry], Any]) -> tuple[list[Entry], dict[int, int]]:
    """Return sound entries numbered as if they had been made in the order of `key`, and new number -> old number.

    What governs the whole derivation keeps its number; entries of one moment keep their order among themselves.
    """
    everything = list(entries)
    fixed = [one for one in everything if isinstance(one.body, OUTSIDE_TIME)]
    timed = sorted((one for one in everything if not isinstance(one.body, OUTSIDE_TIME)), key=lambda one: one.seq)
    at_once: dict[tuple[date, int], list[Entry]] = {}
    for one in timed:
        at_once.setdefault(one.position[:2], []).append(one)
    wanted = [at_once[one.position[:2]].pop(0) for one in sorted(timed, key=key)]
    renamed = {one.seq: number for one, number in zip(wanted, sorted(one.seq for one in timed), strict=True)}
    moved = [_renumbered(one, renamed) for one in wanted]
    return sorted([*fixed, *moved], key=lambda one: one.seq), {new: old for old, new in renamed.items()}


def _said(body: k.Body) -> str:
    stated = {one.name: value for one in fields(body) if (value := getattr(body, one.name)) not in (None, 0.0)}
    return f"{body.kind} {stated}"


def _renumbered(entry: Entry, renamed: dict[int, int]) -> Entry:
    body = entry.body
    named = {
        name: renamed.get(one, one)
        for name in ("to", "source", "into")
        if isinstance(one := getattr(body, name, None), int)
    }
    vessel = None if entry.vessel is None else renamed.get(entry.vessel, entry.vessel)
    return replace(entry, seq=renamed[entry.seq], body=replace(body, **named) if named else body, vessel=vessel)
