"""A logger's series: recorded as one entry, its rows kept beside the ledger under their hash."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.kinds import Series
from cellar_tui.planning.consider import CellarState
from cellar_tui.service import build_entries, series_rows
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.records import Names, plainly
from cellar_tui.service.views import CellarError, Request, SaveResult
from storage.tx import Tx

PART = 400_000
"""Characters after which a text that is kept beside the ledger ends, and the next begins."""


@dataclass(frozen=True, slots=True)
class Logged:
    """A logger's file as it was read: the entry's body, the civil time of its last row, and its rows as texts."""

    body: Series
    at: datetime
    texts: tuple[str, ...]


def record(
    cellar: OpenCellar, vessel: str, logged: Logged, *, waive: str | None = None, preview: bool = False
) -> SaveResult:
    """Record a series of a vessel's wine as one entry at the time of its last row; the same rows are kept once.

    Raises:
        CellarError: there is no such vessel, or it could not be kept.
    """
    body, at = logged.body, logged.at.isoformat(timespec="minutes")
    number = cellar._records.number(vessel)
    key = hashlib.blake2b(f"series {number} {body.digest}".encode(), digest_size=16).digest()

    def build(read: Names, base: CellarState) -> list[Entry]:
        stamp = cellar._saving.stamp(at, key, "")
        return [stamp.entry(read.next_seq(), body, number, waived=build_entries.reason(waive))]

    request = Request(vessel, "series", {}, key=key)
    weighed = cellar._saving.save([number], build, request, preview=True)
    if preview or weighed.stopped:
        return weighed
    # The rows go before the entry, which is never without them, and not before it is known to pass.
    with plainly(), cellar._records.file.write() as tx:
        for part, text in enumerate(logged.texts):
            tx.set_meta(series_rows.name(body.digest, part), text)
    return cellar._saving.save([number], build, request)


def kept(cellar: OpenCellar, entries: Sequence[Entry]) -> dict[str, list[str]]:
    """Return the rows of every series among these entries by their hash.

    Raises:
        CellarError: rows are not what was recorded.
    """
    found: dict[str, list[str]] = {}
    for entry in entries:
        body = entry.body
        if not isinstance(body, Series):
            continue
        with plainly():
            texts = series_rows.kept(cellar._records.file, body)
        if texts is None:
            told = f"the rows of the series of entry {entry.seq} are not what was recorded: restore the newest backup."
            raise CellarError(told, code="damaged")
        found[body.digest] = texts
    return found


def put_back(tx: Tx, body: Mapping[str, Any], rows_of: Callable[[str], str | None]) -> None:
    """Put the rows of a series that comes in with a ledger beside it.

    Args:
        tx: the save.
        body: what the entry says.
        rows_of: hash -> the rows, None where they are not at hand.

    Raises:
        CellarError: they are missing or are not what was recorded.
    """
    digest = str(body["digest"])
    rows = rows_of(digest)
    if rows is None or series_rows.digest_of([rows]) != digest:
        told = "is missing or is not what was exported: put it beside the ledger. Nothing was imported."
        raise CellarError(f"series-{digest}.csv {told}", field="file")
    for part, text in enumerate(_cut(rows)):
        tx.set_meta(series_rows.name(digest, part), text)


def _cut(rows: str) -> Iterator[str]:
    """Yield rows as the texts in which they are kept."""
    lines: list[str] = []
    length = 0
    for line in rows.splitlines(keepends=True):
        lines.append(line)
        length += len(line)
        if length > PART:
            yield "".join(lines)
            lines, length = [], 0
    if lines:
        yield "".join(lines)
