"""How long one save takes in a large cellar, as a ratio to the syncs of the same save."""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Request
from storage.connection import Connection
from tests.bench import cellar

SAVES = 16
"""Vessels into which a measurement records, spread over the cellar."""

ENTRIES = (("reading", {"free_so2": "31", "method": "aspiration"}), ("addition", {"material": "tannin", "amount": "1"}))


@dataclass(frozen=True, slots=True)
class Taken:
    """One save: the whole of it and its COMMIT alone [s], and the entries it read."""

    whole: float
    commit: float
    read: int


@contextmanager
def _watched() -> Iterator[dict[str, float]]:
    """Note how long COMMIT takes and how many entries are read."""
    seen = {"commit": 0.0, "read": 0.0}
    plain = Connection.rows

    def rows(self: Connection, sql: str, values: object = ()) -> object:
        begin = time.perf_counter()
        found = plain(self, sql, values)  # type: ignore[arg-type]
        if sql == "COMMIT":
            seen["commit"] += time.perf_counter() - begin
        elif " FROM entry " in sql and isinstance(found, list):
            seen["read"] += len(found)
        return found

    Connection.rows = rows  # type: ignore[method-assign,assignment]
    try:
        yield seen
    finally:
        Connection.rows = plain  # type: ignore[method-assign]


def saves(service: OpenCellar) -> list[Taken]:
    """Record into vessel after vessel and return what each save took."""
    found = []
    names = [one.name for one in service.view.vessels()]
    for target in names[:: max(1, len(names) // SAVES)]:
        for kind, fields in ENTRIES:
            with _watched() as seen:
                begin = time.perf_counter()
                service.recorder.record(Request(target, kind, fields, waive="measured"))
                whole = time.perf_counter() - begin
            found.append(Taken(whole, seen["commit"], int(seen["read"])))
    return found


def told(found: list[Taken]) -> str:
    """Return the figures in a line."""
    whole, commit = (statistics.median(values) for values in zip(*((t.whole, t.commit) for t in found), strict=True))
    worst = max(one.whole for one in found)
    return (
        f"a save: {whole / commit:.0f} times its own syncs in the median, {worst / commit:.0f} at most "
        f"({whole * 1000:.0f} and {worst * 1000:.0f} ms of which syncs {commit * 1000:.1f} ms); "
        f"it read {max(one.read for one in found)} entries at most"
    )


def main(vessels: int = 200, entries: int = 10_000) -> None:
    """Build the cellar, record into it, and print the figures."""
    with tempfile.TemporaryDirectory() as folder:
        begin = time.perf_counter()
        service = cellar.build(Path(folder) / "large.db", vessels, entries)
        print(f"{vessels} vessels, {service.entries()} entries, built in {time.perf_counter() - begin:.1f} s")
        begin = time.perf_counter()
        service.rebuild()
        print(f"the whole board anew: {time.perf_counter() - begin:.1f} s")
        print(told(saves(service)))
        service.close()


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
