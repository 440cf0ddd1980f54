"""The cellar that the reliability runs are made on, the program that records in it, and what must hold afterwards."""

from __future__ import annotations

import sys
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cellar_tui.service import clock
from cellar_tui.service.open import create_cellar, open_cellar
from cellar_tui.service.views import CellarError, Request
from storage.store import Store
from tests.storage.cellar import an_entry

WINES = (("B1", "Terrace", "dry_white"), ("B2", "Hill", "dry_red"), ("B3", "Plum", "sweet_fruit"))


def make(path: Path) -> Path:
    """Make three wines with readings, doses and dates; the ledger ends two days before today."""
    now = datetime.now(UTC) - timedelta(days=2)
    with closing(create_cellar(path, lambda: now, by="ida", zone="UTC")) as service:
        for name, wine, style in WINES:
            service.recorder.add_vessel({"name": name, "capacity": "225", "material": "oak", "place": "back wall"})
            told = {"name": wine, "style": style, "volume": "200", "finished": "yes", "alcohol": "12"}
            assert service.recorder.start_wine(Request(name, "wine", told, "-30d")).saved
            read = {"ph": "3.4", "free_so2": "9", "method": "aspiration"}
            assert service.recorder.record(Request(name, "reading", read, "-2d")).saved
        assert service.recorder.record(Request("B1", "addition", {"material": "tannin", "amount": "2g"}, "-1d")).saved
    return path


def key(number: int) -> bytes:
    """The key of an entry that the recording program makes."""
    return number.to_bytes(16, "big")


def record(path: Path, first: int, count: int) -> None:
    """Record readings one after the other, and say which are acknowledged: a line `ACK number` each."""
    with closing(open_cellar(path, clock.system, by="ida")) as service:
        for number in range(first, first + count):
            fields = {"temperature": f"{10 + number % 10}", "ph": f"3.{number % 90:02d}"}
            target = WINES[number % 3][0]
            try:
                answer = service.recorder.record(Request(target, "reading", fields, key=key(number)))
            except CellarError as error:
                print(f"ERR {number} {error}", flush=True)
            else:
                print(f"ACK {number}" if answer.saved else f"ERR {number} stopped", flush=True)


def rebuild_for_ever(path: Path) -> None:
    """Work out the board again and again, until somebody ends it."""
    with closing(open_cellar(path, clock.system, by="ida")) as service:
        while True:
            service.rebuild()


def store(path: Path, program: int, count: int) -> None:
    """Write entries as the store takes them."""
    with Store.open(path) as kept:
        for number in range(count):
            row = an_entry(program * 1_000_000 + number, "note", vessels=(2,), body='{"says":{"text":"x"}}')
            with kept.write() as tx:
                tx.append([row])


def wrong(path: Path, acknowledged: list[int]) -> str | None:
    """Say what is wrong with a cellar after an accident; None where all that was acknowledged is there and sound."""
    try:
        with closing(open_cellar(path, clock.system, by="ida")) as service:
            lost = [number for number in acknowledged if not service.recorded(key(number))]
            if lost:
                return f"lost {lost}"
            found = service.check()
            return found[0].problem if found else None
    except CellarError as error:
        return str(error)


def count(path: Path) -> int:
    """How many entries a cellar has."""
    with Store.open(path) as store:
        return store.count()


if __name__ == "__main__":
    work = store if sys.argv[4:] == ["rows"] else record
    work(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
