"""The ledger as a file of JSON lines, and such a file taken into an empty cellar with every entry proven on the way.

A line holds what the store keeps of an entry, and the hash that proves it: numbers, keys, corrections and the chain
of hashes come back as they were, so that both cellars have one and the same plan.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path
from typing import Any

from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.kinds import Series
from cellar_tui.ledger.standing import standing_entries
from cellar_tui.service import rows, series, soundness, tips
from cellar_tui.service.open import FIRST_KEY, OpenCellar
from cellar_tui.service.records import plainly
from cellar_tui.service.soundness import Tip, tip_text
from cellar_tui.service.views import CellarError
from storage import filling
from storage.errors import Missing, StorageError
from storage.reads import Reads
from storage.rows import EntryRow, NewEntry
from storage.store import Store
from storage.tx import Tx

STRETCH = 1000
"""Entries read or appended at a time."""

LONGEST_LINE = 1_000_000
"""Most characters of a line: an entry's body has at most 200,000."""

_COLUMNS = tuple(name for name in EntryRow._fields if name not in ("seq", "key", "body", "hash"))
_NEEDED = {"seq", "key", "body", "vessels", "hash"}


def everything(service: OpenCellar) -> tuple[list[str], list[Entry]]:
    """Return every entry as a line, and the standing entries in the order in which they happened, of one moment."""
    with plainly(), service._records.store.snapshot():
        written = list(lines(service._records.store))
        return written, standing_entries([rows.entry_of(row) for row in service._records.store.entries(None)])


def end(written: Sequence[str]) -> str:
    """Return the number and the hash of the last line as text, as `check` takes them."""
    last = json.loads(written[-1])
    return tip_text((last["seq"], bytes.fromhex(last["hash"])))


@dataclass(frozen=True, slots=True)
class Reached:
    """How far a ledger has come: what tells it from every other, its number of entries, when the last was recorded."""

    cellar: str
    entries: int
    recorded: datetime


def reached(cellar: OpenCellar) -> Reached:
    """Return how far the ledger has come. A cellar without an entry begins with the epoch."""
    with plainly(), cellar._records.store.snapshot():
        first, last = cellar._records.store.entry(1), cellar._records.store.entry(cellar._records.store.count())
    if first is None or last is None:
        return Reached("empty", 0, datetime.fromtimestamp(0, UTC))
    return Reached(first.hash.hex(), last.seq, rows.entry_of(last).recorded_at)


def lines(read: Reads) -> Iterator[str]:
    """Yield every entry of the ledger as one line of JSON, in order."""
    after = 0
    while stretch := read.ledger(after, STRETCH):
        for entry, vessels in stretch:
            yield _line(entry, vessels)
        after = stretch[-1][0].seq


def _line(entry: EntryRow, vessels: Iterable[int]) -> str:
    said: dict[str, Any] = {"seq": entry.seq, "key": entry.key.hex()}
    said |= {name: value for name in _COLUMNS if (value := getattr(entry, name)) is not None}
    body = json.loads(entry.body)
    # The hash is of the text as it was kept: where it would come back as another text, the text itself is written.
    said["body"] = body if _packed(body) == entry.body else entry.body
    said |= {"vessels": list(vessels), "hash": entry.hash.hex()}
    return _packed(said)


def _packed(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _entry(number: int, line: str) -> tuple[NewEntry, int, bytes]:
    """Read one line: the entry, its number and its hash.

    Raises:
        CellarError: it is no entry that this program knows.
    """
    try:
        if len(line) > LONGEST_LINE:
            raise ValueError("it is too long")
        said = json.loads(line, parse_constant=_no_number)
        if not isinstance(said, dict) or not said.keys() >= _NEEDED or said.keys() - _NEEDED - {*_COLUMNS}:
            raise ValueError("its fields are not those of an entry")
        body = said["body"] if isinstance(said["body"], str) else _packed(said["body"])
        values = [said.get(name) for name in _COLUMNS]
        entry = NewEntry._make((bytes.fromhex(said["key"]), *values, body, tuple(map(int, said["vessels"])), ()))
        rows.entry_of(EntryRow._make((int(said["seq"]), *entry[:-2], b"")))
        return entry, int(said["seq"]), bytes.fromhex(said["hash"])
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError, StorageError) as error:
        told = f"Line {number} is no entry of a ledger that this program knows ({error}): nothing was imported."
        raise CellarError(told, field="file") from error


def _no_number(word: str) -> None:
    raise ValueError(f"{word} is no number")


def take_in(
    path: Path,
    written: Iterable[str],
    rows_of: Callable[[str], str | None],
    progress: Callable[[int], None] = lambda count: None,
) -> Tip:
    """Make the cellar at `path` out of a ledger's lines; it must be missing, or have no entry of its own yet.

    The cellar is made beside its place, proven, and put there only when it is whole.

    Args:
        path: where the cellar is to lie.
        written: the lines, in order.
        rows_of: hash of a logger's series -> its rows, None where they are not at hand.
        progress: handed the number of entries taken in so far.

    Returns:
        The number of entries, and the hash of the last.

    Raises:
        CellarError: the cellar has entries, or a line is not what was written: nothing is changed.
    """
    with plainly():
        empty(path)
        with filling.beside(path) as partial:
            with Store.create(partial) as store:
                with store.write() as tx:
                    _append(tx, written, rows_of, progress)
                    soundness.rebuild(tx)
                if damaged := soundness.faults(store)[0]:
                    raise CellarError(f"The ledger is not sound: {damaged[0]} Nothing was imported.", field="file")
                tip = store.count(), store.last_hash() or b""
            empty(path)
            filling.put(partial, path)
    tips.remember(path, tip)
    return tip


def empty(path: Path) -> None:
    """Refuse a cellar that has entries of its own.

    Raises:
        CellarError: it has.
    """
    try:
        with Store.open(path, read_only=True) as store:
            found = store.ledger(0, 2)
    except Missing:
        return
    if len(found) > 1 or any(entry.key != FIRST_KEY for entry, _ in found):
        told = "has entries of its own: a ledger goes into an empty cellar, so name a new file with --db."
        raise CellarError(f"{path} {told}", field="db")


def _append(
    tx: Tx, written: Iterable[str], rows_of: Callable[[str], str | None], progress: Callable[[int], None]
) -> None:
    count, lines = 0, iter(written)
    while stretch := list(islice(lines, STRETCH)):
        read = [_entry(count + place, line) for place, line in enumerate(stretch, 1)]
        try:
            kept = tx.append([entry for entry, _, _ in read])
        except StorageError as error:
            told = f"Lines {count + 1} to {count + len(read)} cannot be entries of one ledger ({error})"
            raise CellarError(f"{told}: nothing was imported.", field="file") from error
        for row, (_, seq, digest) in zip(kept, read, strict=True):
            if (row.seq, row.hash) != (seq, digest):
                told = f"Line {row.seq} is not what was exported, or one before it is missing"
                raise CellarError(f"{told}: nothing was imported.", field="file")
            if row.kind == Series.kind:
                series.put_back(tx, json.loads(row.body)["says"], rows_of)
        count += len(stretch)
        progress(count)
    if not count:
        raise CellarError("There is no entry in that file: nothing was imported.", field="file")
