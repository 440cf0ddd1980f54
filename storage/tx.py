"""What can be changed in a cellar file, all of it inside one save."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from storage.chain import COLUMNS, GENESIS, is_json, next_hash, stored
from storage.connection import Connection
from storage.errors import AlreadyCorrected, HeadMoved, Rejected
from storage.reads import Reads
from storage.rows import CELLAR, OWN, ActionRow, EntryRow, FillingRow, NewEntry, ProblemRow


def _insert(table: str, columns: Sequence[str]) -> str:
    return f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join('?' * len(columns))})"


_INSERT_ENTRY = _insert("entry", COLUMNS)
_BOARD = {
    "filling": _insert("filling", FillingRow._fields),
    "action": _insert("action", ActionRow._fields),
    "problem": _insert("problem", ProblemRow._fields),
}


class Tx(Reads):
    """An open save: everything the store reads, and what changes it. It ends with the `with` of Store.write.

    Attributes:
        keys: the keys of the entries appended so far.
    """

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._changed: set[int] = set()
        self.keys: list[bytes] = []

    @property
    def _db(self) -> Connection:
        return self._connection

    def expect(self, heads: Mapping[int, int]) -> None:
        """Make sure that each vessel's last entry is still the one a form was opened on.

        Args:
            heads: vessel id -> seq, 0 for none.

        Raises:
            HeadMoved: another one stands there.
        """
        for vessel, seen in heads.items():
            if (now := self.head(vessel)) != seen:
                raise HeadMoved(vessel, now)

    def append(self, rows: Sequence[NewEntry]) -> list[EntryRow]:
        """Put entries at the end of the ledger, link them to their vessels, move heads, merge components.

        Returns:
            The entries as stored, with seq and hash.

        Raises:
            AlreadyCorrected: one supersedes an entry that was superseded before.
            Rejected: a value or a vessel does not fit.
        """
        seq, last = self.count(), self.last_hash() or GENESIS
        appended = []
        for row in rows:
            seq += 1
            entry = self._append_one(row, seq, last)
            last = entry.hash
            appended.append(entry)
            self.keys.append(entry.key)
        return appended

    def _append_one(self, row: NewEntry, seq: int, last: bytes) -> EntryRow:
        if row.supersedes is not None and (earlier := self.correction_of(row.supersedes)):
            raise AlreadyCorrected(row.supersedes, earlier.seq)
        vessels = _resolved(row.vessels, seq)
        joins = _resolved(row.joins, seq)
        named = row._replace(vessel=_own(row.vessel, seq), batch=_own(row.batch, seq))
        self._check_vessels(named, vessels, joins, seq)
        values = [seq, *(stored(column, getattr(named, column)) for column in COLUMNS[1:-1])]
        if not is_json(row.body):
            raise Rejected("Not recorded: the entry's body is not JSON.")
        try:
            digest = next_hash(last, values, vessels)
        except UnicodeEncodeError as error:
            raise Rejected(f"Not recorded: a text holds characters that cannot be stored ({error.reason}).") from error
        entry = EntryRow._make((*values, digest))
        self._db.rows(_INSERT_ENTRY, entry)
        self._move_heads(vessels, seq)
        self._db.run_many("INSERT INTO entry_vessel (vessel, seq) VALUES (?, ?)", [(v, seq) for v in sorted(vessels)])
        if len(joins) > 1:
            self._merge(joins)
        return entry

    def _check_vessels(self, row: NewEntry, vessels: set[int], joins: set[int], seq: int) -> None:
        named = joins if row.vessel is None else joins | {row.vessel}
        if not vessels or not named <= vessels or CELLAR in joins:
            raise Rejected("Not recorded: an entry must be linked to each vessel it names, and to one at least.")
        known = self._db.rows(
            "SELECT id FROM vessel WHERE id IN (SELECT value FROM json_each(?))", (json.dumps(sorted(vessels)),)
        )
        strange = vessels - {vessel for (vessel,) in known} - {seq}
        if strange:
            raise Rejected(f"Not recorded: there is no vessel {min(strange)} in this cellar.")

    def _move_heads(self, vessels: Collection[int], seq: int) -> None:
        self._changed.update(vessels)
        self._db.run_many(
            "INSERT INTO vessel (id, component, head) VALUES (?1, ?1, ?2) ON CONFLICT (id) DO UPDATE SET head = ?2",
            [(vessel, seq) for vessel in vessels],
        )

    def _merge(self, joins: Collection[int]) -> None:
        whole = self.component(joins)
        self._changed.update(whole)
        self._db.rows(
            "UPDATE vessel SET component = ? WHERE id IN (SELECT value FROM json_each(?))",
            (min(whole), json.dumps(sorted(whole))),
        )

    def replace(
        self,
        vessels: Collection[int],
        fillings: Iterable[FillingRow],
        actions: Iterable[ActionRow],
        problems: Iterable[ProblemRow],
    ) -> None:
        """Write the board lines of these vessels anew. Problems of the whole cellar belong to `replace_all`.

        Raises:
            Rejected: a line belongs to another vessel.
        """
        board: dict[str, list[Any]] = {"filling": [*fillings], "action": [*actions], "problem": [*problems]}
        strange = {line.vessel for lines in board.values() for line in lines} - set(vessels)
        if strange:
            raise Rejected(f"Not recorded: the board lines of vessel {strange.pop()} were not to be changed.")
        self._changed.update(vessels)
        among = json.dumps(sorted(vessels))
        for table, lines in board.items():
            self._db.rows(f"DELETE FROM {table} WHERE vessel IN (SELECT value FROM json_each(?))", (among,))
            self._db.run_many(_BOARD[table], lines)

    def replace_all(
        self,
        fillings: Iterable[FillingRow],
        actions: Iterable[ActionRow],
        problems: Iterable[ProblemRow],
        components: Mapping[int, int] | None = None,
    ) -> None:
        """Write the whole board anew; with `components` (vessel id -> any vessel id of its component) those too,
        and the last entry of each vessel.

        A vessel that `components` does not name stands alone.
        """
        if components is not None:
            self._rewrite_components(components)
        for table, lines in (("filling", fillings), ("action", actions), ("problem", problems)):
            self._db.rows(f"DELETE FROM {table}")
            self._db.run_many(_BOARD[table], lines)
        self._db.rows("DELETE FROM seal")
        self._changed.update(vessel for (vessel,) in self._db.rows("SELECT id FROM vessel"))

    def seal(self) -> None:
        """Write the seals of the vessels of which anything was changed; the store does so as the save ends."""
        fresh = self._seals(self._changed)
        self._db.run_many(
            "INSERT INTO seal (vessel, digest) VALUES (?1, ?2) ON CONFLICT (vessel) DO UPDATE SET digest = ?2",
            sorted(fresh.items()),
        )

    def _rewrite_components(self, components: Mapping[int, int]) -> None:
        lowest: dict[int, int] = {}
        for vessel, number in components.items():
            lowest[number] = min(vessel, lowest.get(number, vessel))
        linked = "SELECT max(seq) FROM entry_vessel WHERE entry_vessel.vessel = vessel.id"
        self._db.rows("INSERT OR IGNORE INTO vessel (id, component) SELECT DISTINCT vessel, vessel FROM entry_vessel")
        self._db.rows(f"UPDATE vessel SET component = id, head = ({linked})")
        self._db.run_many(
            "UPDATE vessel SET component = ? WHERE id = ?",
            [(lowest[number], vessel) for vessel, number in components.items()],
        )

    def set_meta(self, name: str, value: str) -> None:
        """Keep a note with the file."""
        self._db.rows(
            "INSERT INTO meta (name, value) VALUES (?1, ?2) ON CONFLICT (name) DO UPDATE SET value = ?2", (name, value)
        )


def _own(number: int | None, seq: int) -> int | None:
    return seq if number == OWN else number


def _resolved(vessels: Iterable[int], seq: int) -> set[int]:
    return {seq if vessel == OWN else vessel for vessel in vessels}
