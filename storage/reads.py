"""Everything that can be read from a cellar file, inside a save and outside."""

from __future__ import annotations

from collections.abc import Collection

from storage.board_reads import BoardReads, listed
from storage.chain import GENESIS, next_hash
from storage.errors import RESTORE, Corrupt
from storage.rows import EntryRow

_ENTRY = (
    f"SELECT {', '.join(EntryRow._fields)},"
    " (SELECT hash FROM entry AS earlier WHERE earlier.seq = entry.seq - 1),"
    " (SELECT group_concat(vessel) FROM entry_vessel WHERE entry_vessel.seq = entry.seq)"
    " FROM entry"
)
_AMONG = "IN (SELECT value FROM json_each(?))"


class Reads(BoardReads):
    """The questions that can be asked. Each is one statement, fetched whole."""

    # --- the ledger

    def count(self) -> int:
        """How many entries the ledger has, which is also the seq of the last one."""
        return self._whole("SELECT coalesce(max(seq), 0) FROM entry")

    def next_seq(self) -> int:
        """The seq the next entry gets."""
        return self.count() + 1

    def last_hash(self) -> bytes | None:
        """The hash of the last entry: with the count it shows later whether the ledger's end is missing."""
        found: bytes | None = self._db.value("SELECT hash FROM entry ORDER BY seq DESC LIMIT 1")
        return found

    def hash_of(self, seq: int) -> bytes | None:
        """The hash of an entry as it is kept, None where there is no such entry."""
        found: bytes | None = self._db.value("SELECT hash FROM entry WHERE seq = ?", (seq,))
        return found

    def latest(self) -> tuple[str, str] | None:
        """When the newest entry was recorded (UTC) and by whom; None in an empty ledger.

        Raises:
            Corrupt: it is not what was recorded.
        """
        found = self._entries("ORDER BY seq DESC LIMIT 1")
        return (found[0].recorded_at, found[0].by) if found else None

    def entry(self, seq: int) -> EntryRow | None:
        """The entry of that number."""
        return self._one_entry("seq = ?", seq)

    def by_key(self, key: bytes) -> EntryRow | None:
        """The entry that a form's key has made already."""
        return self._one_entry("key = ?", key)

    def correction_of(self, seq: int) -> EntryRow | None:
        """The entry that corrects or withdraws another one."""
        return self._one_entry("supersedes = ?", seq)

    def entries(self, vessels: Collection[int] | None = None) -> list[EntryRow]:
        """The entries linked to any of the vessels or to the whole cellar, by seq; None gives all.

        Raises:
            Corrupt: an entry is not what was recorded.
        """
        if vessels is None:
            return self._entries("ORDER BY seq")
        among = f"SELECT seq FROM entry_vessel WHERE vessel {_AMONG}"
        return self._entries(f"WHERE seq IN ({among}) ORDER BY seq", listed({0, *vessels}))

    def batch(self, number: int) -> list[EntryRow]:
        """The entries made together under that number (the seq of the first of them), by seq."""
        return self._entries("WHERE batch = ? ORDER BY seq", number)

    def after(self, day: str) -> list[int]:
        """The entries dated after a day, by seq."""
        return sorted(seq for (seq,) in self._db.rows("SELECT seq FROM entry WHERE on_day > ?", (day,)))

    def latest_by(self, by: str, limit: int) -> list[EntryRow]:
        """The last entries that one person made, newest first."""
        return self._entries("WHERE by = ? ORDER BY seq DESC LIMIT ?", by, limit)

    def newest(self, limit: int) -> list[EntryRow]:
        """The last entries that anybody made, newest first."""
        return self._entries("ORDER BY seq DESC LIMIT ?", limit)

    def vessels_of(self, seq: int) -> tuple[int, ...]:
        """The vessel ids that an entry touches."""
        found = self._db.rows("SELECT vessel FROM entry_vessel WHERE seq = ? ORDER BY vessel", (seq,))
        return tuple(vessel for (vessel,) in found)

    def ledger(self, after: int, limit: int) -> list[tuple[EntryRow, tuple[int, ...]]]:
        """A stretch of the ledger as it stands, sound or not: each entry with the vessels it touches."""
        found = self._db.rows(f"{_ENTRY} WHERE seq > ? ORDER BY seq LIMIT ?", (after, limit))
        return [(EntryRow._make(columns), linked(links)) for *columns, _, links in found]

    # --- components

    def head(self, vessel: int) -> int:
        """The seq of the last entry that touches the vessel, 0 when there is none."""
        return self._whole("SELECT coalesce((SELECT head FROM vessel WHERE id = ?), 0)", (vessel,))

    def last_entries(self) -> dict[int, int]:
        """The seq of the last entry that touches each vessel, from the entries themselves."""
        return dict(self._db.rows("SELECT vessel, max(seq) FROM entry_vessel GROUP BY vessel"))

    def component(self, vessels: Collection[int]) -> frozenset[int]:
        """Every vessel that the given ones were ever joined with, directly or through others, and themselves."""
        found = self._db.rows(
            f"SELECT id FROM vessel WHERE component IN (SELECT component FROM vessel WHERE id {_AMONG})",
            (listed(vessels),),
        )
        return frozenset(vessels) | {vessel for (vessel,) in found}

    def components(self) -> dict[int, int]:
        """The component number of every vessel: the lowest vessel id in it."""
        return dict(self._db.rows("SELECT id, component FROM vessel WHERE id > 0 ORDER BY id"))

    def _one_entry(self, condition: str, value: int | bytes) -> EntryRow | None:
        found = self._entries(f"WHERE {condition}", value)
        return found[0] if found else None

    def _entries(self, which: str, *parameters: object) -> list[EntryRow]:
        """Entries, each of them as it was recorded: its own hash and its links prove it."""
        found = []
        for *columns, before, links in self._db.rows(f"{_ENTRY} {which}", parameters):
            entry = EntryRow._make(columns)
            if not holds(before or GENESIS, entry, linked(links)):
                raise Corrupt(f"{self._db.path} is damaged (entry {entry.seq} is not what was recorded): {RESTORE}.")
            found.append(entry)
        return found

    def _whole(self, sql: str, parameters: tuple[object, ...] = ()) -> int:
        found = self._db.value(sql, parameters)
        if type(found) is not int:
            raise Corrupt(f"{self._db.path} is damaged (a number in it cannot be read): {RESTORE}.")
        return found

    # --- the file

    def integrity(self, *, full: bool) -> list[str]:
        """What SQLite finds wrong with the file's structure and with references between tables.

        Args:
            full: also compare every index with its table (seven times as long).
        """
        found = [str(said) for (said,) in self._db.rows(f"PRAGMA {'integrity' if full else 'quick'}_check")]
        strays = self._db.rows("PRAGMA foreign_key_check")
        return [said for said in found if said != "ok"] + [
            f"line {line} of table {table} names something in {parent} that is not there"
            for table, line, parent, _ in strays
        ]

    def wrong_heads(self) -> list[int]:
        """The vessels whose last entry is not the one kept for them."""
        found = self._db.rows(
            "SELECT id FROM vessel WHERE head IS NOT (SELECT max(seq) FROM entry_vessel WHERE vessel = vessel.id)"
            " ORDER BY id"
        )
        return [vessel for (vessel,) in found]

    def meta(self, name: str) -> str | None:
        """A note that the program keeps with the file."""
        found: str | None = self._db.value("SELECT value FROM meta WHERE name = ?", (name,))
        return found


def linked(links: object) -> tuple[int, ...]:
    """The vessels of an entry as SQLite lists them; none where damage made them something else than numbers."""
    try:
        return tuple(sorted(map(int, str(links).split(",")))) if links else ()
    except ValueError:
        return ()


def holds(before: bytes, entry: EntryRow, vessels: tuple[int, ...]) -> bool:
    """Whether an entry is the one that was recorded after the entry with the hash `before`."""
    try:
        return bool(vessels) and next_hash(before, entry[:-1], vessels) == entry.hash
    except (TypeError, ValueError, AttributeError):  # damage made a value of another type of it
        return False
