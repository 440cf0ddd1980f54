"""What was acknowledged stays; what failed leaves no trace; two people at once lose nothing."""

from __future__ import annotations

import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

import storage.connection
from storage.check import verify
from storage.connection import Connection
from storage.errors import Busy, DiskFailed, DiskFull, StorageError, Unsure
from storage.opening import journal_of
from storage.store import Store
from tests.storage.cellar import a_filling, an_action, an_entry, cellar_with, key, record

ROOT = Path(__file__).parents[2]

WRITER = """
import sys
from storage.store import Store
from tests.storage.cellar import a_filling, an_action, an_entry
path, first, last = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
with Store.open(path) as store:
    for number in range(first, last):
        with store.write() as tx:
            (entry,) = tx.append([an_entry(number, ph=3.0 + number % 100 / 100)])
            tx.replace({1}, [a_filling(1, "Carboy", head=entry.seq, summary=str(entry.seq))], [an_action(1)], [])
        print(number, flush=True)
"""


def _writer(path: Path, first: int, last: int) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", WRITER, str(path), str(first), str(last)]
    return subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def _fail_at(words: str, error: sqlite3.Error, *, after: bool) -> Callable[[Connection, str, object], list[object]]:
    """A `rows` that raises what SQLite would when it meets a statement, before or after it took effect."""
    plain = Connection.rows

    def rows(self: Connection, sql: str, parameters: object = ()) -> list[object]:
        if sql.startswith(words):
            if after:
                plain(self, sql, parameters)  # type: ignore[arg-type]
            raise storage.connection.fault(error, self.path)
        return plain(self, sql, parameters)  # type: ignore[arg-type,return-value]

    return rows


def _sqlite_error(code: int) -> sqlite3.Error:
    error = sqlite3.OperationalError("disk I/O error")
    error.sqlite_errorcode = code
    return error


def _state(store: Store) -> tuple[object, ...]:
    return store.entries(), store.fillings(), store.actions(), store.problems(), store.components(), store.meta("x")


@pytest.mark.parametrize("stop", [ZeroDivisionError, KeyboardInterrupt, StorageError])
def test_a_save_that_is_stopped_leaves_no_trace(two_vessels: Store, stop: type[BaseException]) -> None:
    def save() -> None:
        with two_vessels.write() as tx:
            (entry,) = tx.append([an_entry(7, "blend", vessels=(1, 2), joins=(1, 2))])
            tx.replace({1}, [a_filling(1, head=entry.seq)], [an_action(1)], [])
            tx.set_meta("x", "y")
            assert tx.by_key(key(7)) == entry
            raise stop

    before = _state(two_vessels)
    with pytest.raises(stop):
        save()
    assert _state(two_vessels) == before
    assert verify(two_vessels) == []


def test_two_programs_at_one_vessel_lose_nothing(two_vessels: Store) -> None:
    writers = [_writer(two_vessels.path, 1000, 1100), _writer(two_vessels.path, 2000, 2100)]
    said = [writer.communicate(timeout=60) for writer in writers]
    assert [errors for _, errors in said] == ["", ""]
    assert [len(output.split()) for output, _ in said] == [100, 100]
    assert two_vessels.count() == 204
    assert two_vessels.head(1) == 204
    assert {entry.key for entry in two_vessels.entries()} >= {key(n) for n in (*range(1000, 1100), *range(2000, 2100))}
    assert verify(two_vessels, "full") == []


def test_what_was_acknowledged_survives_the_kill_of_the_program(two_vessels: Store) -> None:
    chance = random.Random(5)
    for turn in range(15):
        writer = _writer(two_vessels.path, (turn + 1) * 100_000, (turn + 2) * 100_000)
        assert writer.stdout is not None
        assert writer.stderr is not None
        acknowledged = [int(writer.stdout.readline())]
        time.sleep(chance.uniform(0, 0.02))
        writer.send_signal(signal.SIGKILL)
        acknowledged += [int(line) for line in writer.stdout if line.endswith("\n")]
        writer.wait()
        writer.stdout.close()
        writer.stderr.close()
        with Store.open(two_vessels.path) as after:
            assert all(after.by_key(key(number)) for number in acknowledged)
            assert verify(after) == []
            line = after.filling(1)
            assert line is not None
            assert line.summary == str(after.count()) == str(after.head(1)), "board and ledger were saved together"


def test_a_full_disk_records_nothing_and_the_second_try_works(two_vessels: Store) -> None:
    long = '{"text": "' + "x" * 9000 + '"}'
    pages = two_vessels._db.value("PRAGMA page_count")
    two_vessels._db.rows(f"PRAGMA max_page_count={pages}")
    before = _state(two_vessels)
    with pytest.raises(DiskFull, match="Nothing was recorded"):
        record(two_vessels, an_entry(7, body=long))
    assert _state(two_vessels) == before
    two_vessels._db.rows("PRAGMA max_page_count=100000")
    record(two_vessels, an_entry(7, body=long))
    assert two_vessels.by_key(key(7))
    assert verify(two_vessels, "full") == []


def test_a_file_size_limit_is_a_full_disk_too() -> None:
    error = storage.connection.fault(_sqlite_error(sqlite3.SQLITE_IOERR_WRITE), Path("cellar.db"))
    assert isinstance(error, DiskFull)


def test_a_commit_that_failed_after_all_was_written_counts_as_recorded(
    two_vessels: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    error = _sqlite_error(sqlite3.SQLITE_IOERR_DIR_FSYNC)
    with monkeypatch.context() as patch:
        patch.setattr(Connection, "rows", _fail_at("COMMIT", error, after=True))
        record(two_vessels, an_entry(7))
    assert two_vessels.by_key(key(7))
    record(two_vessels, an_entry(8))
    assert two_vessels.count() == 6


def test_a_commit_that_failed_before_says_so_and_can_be_tried_again(
    two_vessels: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = _state(two_vessels)
    with monkeypatch.context() as patch:
        patch.setattr(Connection, "rows", _fail_at("COMMIT", _sqlite_error(sqlite3.SQLITE_IOERR_FSYNC), after=False))
        with pytest.raises(DiskFailed):
            record(two_vessels, an_entry(7))
    assert _state(two_vessels) == before
    assert record(two_vessels, an_entry(7))[0].seq == 5


def test_where_the_file_cannot_be_read_again_nothing_is_claimed(
    two_vessels: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    away = two_vessels.path.with_suffix(".away")
    failing = _fail_at("COMMIT", _sqlite_error(sqlite3.SQLITE_IOERR_FSYNC), after=True)

    def rows_of_a_disk_that_goes_away(self: Connection, sql: str, parameters: object = ()) -> list[object]:
        if sql == "COMMIT":
            self.path.rename(away)
        return failing(self, sql, parameters)

    with monkeypatch.context() as patch:
        patch.setattr(Connection, "rows", rows_of_a_disk_that_goes_away)
        with pytest.raises(Unsure, match="cannot make a second entry"):
            record(two_vessels, an_entry(7))
    away.rename(two_vessels.path)
    assert two_vessels.by_key(key(7)), "the same form finds its entry"


def test_a_lock_that_is_never_given_up_is_a_sentence(two_vessels: Store) -> None:
    two_vessels._db.rows("PRAGMA busy_timeout=50")
    two_vessels._db.busy_timeout = 50
    with closing(sqlite3.connect(two_vessels.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(Busy, match="Another program"):
            record(two_vessels, an_entry(7))
        assert two_vessels.count() == 4, "reading goes on"
    record(two_vessels, an_entry(7))


def test_a_program_that_saves_without_a_pause_starves_nobody(two_vessels: Store) -> None:
    busy = [_writer(two_vessels.path, n * 100_000, (n + 1) * 100_000) for n in (1, 2, 3)]
    try:
        for one in busy:
            assert one.stdout is not None
            one.stdout.readline()
        waits = []
        for number in range(20):
            begun = time.monotonic()
            record(two_vessels, an_entry(50 + number))
            waits.append(time.monotonic() - begun)
    finally:
        for one in busy:
            one.kill()
            one.communicate()
    assert max(waits) < 5, "seconds, on a machine that does much else"


def test_a_reader_that_will_not_end_stops_the_commit_and_nothing_is_recorded(two_vessels: Store) -> None:
    two_vessels._db.rows("PRAGMA busy_timeout=50")
    two_vessels._db.busy_timeout = 50
    with closing(sqlite3.connect(two_vessels.path, isolation_level=None)) as other:
        other.execute("BEGIN")
        other.execute("SELECT * FROM entry").fetchall()
        with pytest.raises(Busy):
            record(two_vessels, an_entry(7))
    assert two_vessels.by_key(key(7)) is None
    assert record(two_vessels, an_entry(7))[0].seq == 5


def test_a_save_within_a_save_is_refused_and_both_are_undone(two_vessels: Store) -> None:
    def nested() -> None:
        with two_vessels.write() as tx:
            tx.append([an_entry(7)])
            record(two_vessels, an_entry(8))

    with pytest.raises(StorageError):
        nested()
    assert two_vessels.count() == 4


def test_the_journal_is_cut_off_at_each_commit(two_vessels: Store) -> None:
    with two_vessels.write() as tx:
        tx.append([an_entry(7)])
        assert journal_of(two_vessels.path).stat().st_size > 0
    assert journal_of(two_vessels.path).stat().st_size == 0


def test_many_entries_in_one_save(store: Store) -> None:
    cellar_with(store, vessels=3)
    record(store, *(an_entry(10_000 + n, vessels=(1 + n % 3,)) for n in range(6_000)))
    assert store.count() == 6_006
    assert [store.head(vessel) for vessel in (1, 2, 3)] == [6_004, 6_005, 6_006]
    assert verify(store) == []
