"""A book written into a cellar file through the service, as a person would type it."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Any

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import HouseRule, MaterialOnHand, Vessel, Void, WineStart
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fields import specs
from cellar_tui.service.open import OpenCellar, create_cellar
from cellar_tui.service.views import CellarError, Request, SaveResult
from storage.reads import Reads
from tests.laws.book import WRITTEN, Book
from tests.opened import store_of

Trace = tuple[int, bytes | None, list[Any], list[Any], list[Any]]


@contextmanager
def a_cellar() -> Iterator[OpenCellar]:
    """Make an empty cellar in a file of its own."""
    with tempfile.TemporaryDirectory() as folder:
        service = create_cellar(Path(folder) / "cellar.db", lambda: WRITTEN, by="Ada", zone="UTC")
        try:
            yield service
        finally:
            service.close()


def trace(store: Reads) -> Trace:
    """Return everything that a save can change."""
    return store.count(), store.last_hash(), store.vessels(), store.actions(), store.problems()


def board_faults(service: OpenCellar) -> list[str]:
    """Return how file and board differ from what a rebuild of the ledger gives."""
    return [one.problem for one in service.check() if one.entry is None]


def typed(body: k.Body, names: dict[int, str]) -> dict[str, str]:
    """Return the fields of an entry as a person types them, in canonical units."""
    said = {}
    for name, spec in specs(type(body)):
        value = getattr(body, name)
        if value is None or (isinstance(body, MaterialOnHand) and name == "name"):
            continue
        if name == "outside":
            said["with"] = "outside"
        elif spec.sort == "vessel":
            said[name] = names[value]
        elif spec.sort == "yes_no":
            said[name] = "yes" if value else "no"
        elif spec.sort == "list":
            said[name] = " ".join(f"{one:.6f}" for one in value)
        elif spec.sort == "words":
            said[name] = " ".join(value)
        elif spec.sort == "number":
            said[name] = f"{value:.6f}"
        else:
            said[name] = value.isoformat() if isinstance(value, date) else str(value)
    return said


class Keeper:
    """Writes the entries of a book into a cellar one by one; what is refused must leave no trace."""

    def __init__(self, service: OpenCellar) -> None:
        self.service = service
        self.kept: dict[int, int] = {}
        self.names: dict[int, str] = {}
        self.refused = 0

    def write(self, entry: Entry, book: Book) -> bool:
        """Write one entry; return whether it was kept."""
        before = trace(store_of(self.service))
        try:
            answer = self._write(entry, book)
        except (CellarError, KeyError):
            answer = None
        if answer is None or not answer.saved:
            self.refused += 1
            assert trace(store_of(self.service)) == before, f"refused entry {entry.seq} left a trace"
            return False
        made = answer.outcomes[0].entry
        self.kept[entry.seq] = made.seq
        if isinstance(made.body, Vessel) and made.body.name:
            self.names[entry.seq] = made.body.name
        elif isinstance(made.body, k.Bottle) and made.body.store:
            self.names[entry.seq] = made.body.store
        return True

    def _write(self, entry: Entry, book: Book) -> SaveResult:
        body, service = entry.body, self.service
        if isinstance(body, Void):
            return service.recorder.undo(self.kept[body.of])
        said = typed(body, self.names)
        if isinstance(body, Vessel):
            return service.recorder.add_vessel(said)
        if isinstance(body, HouseRule):
            return service.recorder.set_rule(said["name"], said["value"])
        if isinstance(body, MaterialOnHand):
            return service.recorder.set_material(body.name or "", said)
        hour = "" if entry.minute is None else f"T{entry.minute // 60:02d}:{entry.minute % 60:02d}"
        at, vessel = f"{entry.on}{hour}", self.names[entry.vessel or 0]
        if entry.supersedes is not None:
            seq = self.kept[book.chain_of[entry.seq]]
            return service.recorder.amend(seq, said, at=at, vessel=vessel, waive="drawn")
        request = Request(vessel, body.kind, said, at, waive="drawn")
        return service.recorder.start_wine(request) if isinstance(body, WineStart) else service.recorder.record(request)
