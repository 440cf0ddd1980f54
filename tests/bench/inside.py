"""What is measured inside the process: saves, the lock, and work over the whole ledger, in the processor's time."""

from __future__ import annotations

import shutil
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from cellar_tui.service.open import OpenCellar, open_cellar
from cellar_tui.service.views import Request, SaveResult
from storage import check
from storage.store import Store
from tests.bench import cellar
from tests.bench.yard import Yard, spent
from tests.opened import rebuild_quietly, store_of

READING = {"free_so2": "31", "method": "aspiration"}
HOUSE = 200
"""Vessels of the cellar over which work on the whole ledger is measured, and entries of each of its wines."""


def _copy(path: Path) -> Path:
    """Return a copy to write into, so that every round measures the same cellar."""
    scratch = path.with_suffix(".copy")
    shutil.copyfile(path, scratch)
    return scratch


@contextmanager
def _fresh(path: Path) -> Iterator[OpenCellar]:
    service = open_cellar(_copy(path), cellar.clock, by="Ada")
    try:
        yield service
    finally:
        service.close()


def _saves(path: Path, wines: int = 5) -> float:
    """Return the processor's time of one save into each of some wines, opened anew [s]."""
    with _fresh(path) as service:
        names = [one.name for one in service.view.vessels()]
        step = max(1, len(names) // wines)
        picked = names[::step][:wines]
        return spent(lambda: [_record(service, name) for name in picked])


def _record(service: OpenCellar, name: str) -> SaveResult:
    return service.recorder.record(Request(name, "reading", READING, waive="measured"))


def _growth(entries: int) -> Callable[[Yard], list[float]]:
    def measure(yard: Yard) -> list[float]:
        long, short = yard.cellar(5, 5 * entries), yard.cellar(5, 5 * 50)
        return yard.paired(lambda: _saves(long), lambda: _saves(short))

    return measure


save_at_800, save_at_200 = _growth(800), _growth(200)


def save_in_the_largest(yard: Yard) -> list[float]:
    """Return a save in the largest cellar beside one in twenty vessels, their wines as long."""
    vessels, entries = yard.large()
    large, small = yard.cellar(vessels, entries), yard.cellar(20, 20 * (entries // vessels))
    return yard.paired(lambda: _saves(large), lambda: _saves(small))


def lock_held(yard: Yard) -> list[float]:
    """Return the part of a save during which nobody else can write [%]."""
    return [_held(yard.cellar(20, 20 * 200)) for _ in range(yard.rounds)]


def _held(path: Path) -> float:
    taken = [0.0]
    plain = Store.write

    @contextmanager
    def write(self: Store) -> Iterator[object]:
        with plain(self) as tx:
            begin = time.perf_counter()
            yield tx
            taken[0] += time.perf_counter() - begin

    with _fresh(path) as service:
        name = service.view.vessels()[0].name
        Store.write = write  # type: ignore[method-assign,assignment]
        try:
            begin = time.perf_counter()
            _record(service, name)
            whole = time.perf_counter() - begin
        finally:
            Store.write = plain  # type: ignore[method-assign]
    return 100 * taken[0] / whole


def _scan(path: Path) -> float:
    """Return the processor's time of reading every row of the ledger [s]."""
    file = sqlite3.connect(path)
    try:
        return spent(lambda: sum(1 for _ in file.execute("SELECT * FROM entry ORDER BY seq")))
    finally:
        file.close()


def _house(yard: Yard) -> Path:
    vessels = min(HOUSE, max(5, yard.largest // HOUSE))
    return yard.cellar(vessels, vessels * HOUSE)


def _beside_scan(work: Callable[[OpenCellar], object]) -> Callable[[Yard], list[float]]:
    def measure(yard: Yard) -> list[float]:
        path = _house(yard)

        def measured() -> float:
            with _fresh(path) as service:
                return spent(lambda: work(service))

        return yard.paired(measured, lambda: _scan(path))

    return measure


check_all = _beside_scan(lambda service: service.checked())
supplies = _beside_scan(lambda service: service.view.supplies())
rebuild = _beside_scan(rebuild_quietly)
chain = _beside_scan(lambda service: check.verify(store_of(service), "full"))
