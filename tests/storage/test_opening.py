"""What is refused at the door, in one sentence, with the file as it was."""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
import stat
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from storage.errors import (
    AlreadyThere,
    Corrupt,
    Interrupted,
    Missing,
    NotACellar,
    ReadOnly,
    StorageError,
    TooNew,
)
from storage.opening import journal_of
from storage.schema import SCHEMA_VERSION
from storage.store import Store
from tests.storage.cellar import a_vessel, an_entry, cellar_with, record


def _change(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as plain:
        for statement in statements:
            plain.execute(statement)


def _cut_to(share: float) -> Callable[[Path], None]:
    return lambda path: os.truncate(path, int(path.stat().st_size * share))


def _overwrite(offset: int, content: bytes) -> Callable[[Path], None]:
    def work(path: Path) -> None:
        with path.open("r+b") as file:
            file.seek(offset)
            file.write(content)

    return work


def _another_programs(path: Path) -> None:
    path.unlink()
    _change(path, "CREATE TABLE entry (seq INTEGER)", "PRAGMA user_version=1")


REFUSED: dict[str, tuple[Callable[[Path], object], type[StorageError]]] = {
    "a missing file": (lambda path: path.unlink(), Missing),
    "an empty file": (_cut_to(0), NotACellar),
    "a text": (lambda path: path.write_text("vessel;wine\n1;Plum\n" * 50), NotACellar),
    "a few bytes": (lambda path: path.write_bytes(b"wine"), NotACellar),
    "another program's database": (_another_programs, NotACellar),
    "a zeroed header": (_overwrite(0, bytes(100)), NotACellar),
    "half a file": (_cut_to(0.5), Corrupt),
    "a damaged table of tables": (_overwrite(110, b"\xff" * 300), Corrupt),
    "a newer version's file": (lambda path: _change(path, f"PRAGMA user_version={SCHEMA_VERSION + 1}"), TooNew),
    "an older schema": (lambda path: _change(path, "PRAGMA user_version=0"), NotACellar),
    "a foreign trigger": (
        lambda path: _change(path, "CREATE TRIGGER x AFTER INSERT ON meta BEGIN DELETE FROM filling; END"),
        NotACellar,
    ),
    "a foreign view": (lambda path: _change(path, "CREATE VIEW x AS SELECT 1"), NotACellar),
    "a foreign table": (lambda path: _change(path, "CREATE TABLE x (y)"), NotACellar),
    "an added column": (lambda path: _change(path, "ALTER TABLE filling ADD COLUMN x TEXT"), NotACellar),
    "a ledger without its trigger": (lambda path: _change(path, "DROP TRIGGER entry_kept"), NotACellar),
}


@pytest.mark.parametrize("read_only", [False, True], ids=["for writing", "read-only"])
@pytest.mark.parametrize("name", REFUSED)
def test_a_refused_file_stays_as_it_was(path: Path, name: str, read_only: bool) -> None:
    damage, refusal = REFUSED[name]
    with Store.create(path) as store:
        cellar_with(store, vessels=3)
    journal_of(path).unlink()
    damage(path)
    before = {file: file.read_bytes() for file in path.parent.iterdir()}

    with pytest.raises(refusal) as refused:
        Store.open(path, read_only=read_only)

    assert {file: file.read_bytes() for file in path.parent.iterdir()} == before
    assert re.fullmatch(r"[^\n]+: [^\n]+\.", str(refused.value)), "one sentence that says what to do"


def test_a_folder_is_no_cellar(tmp_path: Path) -> None:
    with pytest.raises(NotACellar):
        Store.open(tmp_path)


def test_opening_makes_no_folder_and_no_file(tmp_path: Path) -> None:
    with pytest.raises(Missing):
        Store.open(tmp_path / "none" / "cellar.db")
    assert list(tmp_path.iterdir()) == []


def test_a_name_full_of_signs_is_just_a_name(tmp_path: Path) -> None:
    odd = tmp_path / "my cellar?mode=memory#1 100%.db"
    with Store.create(odd) as store:
        record(store, a_vessel(1))
    with Store.open(odd) as store:
        assert store.count() == 1
    assert odd.exists()


@pytest.mark.parametrize("mask", [0o000, 0o022, 0o077])
def test_a_cellar_and_its_folder_are_their_owners_alone(tmp_path: Path, mask: int) -> None:
    path = tmp_path / "data" / "cellars" / "cellar.db"
    before = os.umask(mask)
    try:
        with Store.create(path) as store:
            record(store, a_vessel(1))
    finally:
        os.umask(before)
    modes = {file.name: stat.S_IMODE(file.stat().st_mode) for file in tmp_path.rglob("*")}
    assert modes == {"data": 0o700, "cellars": 0o700, "cellar.db": 0o600, "cellar.db-journal": 0o600}


def test_nothing_is_ever_overwritten_by_a_new_cellar(path: Path, tmp_path: Path) -> None:
    path.write_text("notes")
    link = tmp_path / "link.db"
    link.symlink_to(tmp_path / "elsewhere.db")
    for taken in (path, link):
        with pytest.raises(AlreadyThere):
            Store.create(taken)
    assert path.read_text() == "notes"
    assert not (tmp_path / "elsewhere.db").exists()


def test_a_creation_that_fails_leaves_nothing(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("storage.schema.VERSION_1", ())
    monkeypatch.setattr("storage.migrations.VERSION_1", ("CREATE TABLE broken",))
    with pytest.raises(StorageError):
        Store.create(path)
    assert list(path.parent.iterdir()) == []


def test_read_only_reads_and_writes_nothing(path: Path) -> None:
    with Store.create(path) as store:
        cellar_with(store, vessels=1)
    before = path.read_bytes()
    with Store.open(path, read_only=True) as store:
        assert store.count() == 2
        with pytest.raises(ReadOnly), store.write():
            raise AssertionError("a read-only store began a save")
    assert path.read_bytes() == before


def _as_if_the_first_page_alone_had_been_written(path: Path) -> None:
    """The header tells already of pages that did not reach the file; the journal holds the first page as it was."""
    page, head = 4096, 512
    journal = bytearray(journal_of(path).read_bytes())
    last = len(journal) - (4 + page + 4)  # number, page, checksum
    assert int.from_bytes(journal[last : last + 4], "big") == 1
    journal[last - head : last - head + 12] = journal[:8] + b"\xff" * 4  # magic, and "as many as there are"
    journal_of(path).write_bytes(journal)
    _overwrite(28, (10_000).to_bytes(4, "big"))(path)


@pytest.mark.parametrize("half_written", [False, True])
def test_a_cut_off_save_is_rolled_back_by_the_next_opening_for_writing(
    path: Path, tmp_path: Path, half_written: bool
) -> None:
    crashed = tmp_path / "crashed.db"
    with Store.create(path) as store:
        cellar_with(store, vessels=1)
        with store.write() as tx:
            store._db.rows("PRAGMA cache_size=1")  # so that pages reach the file before the commit
            tx.append([an_entry(1000 + n, body='{"text": "' + "x" * 900 + '"}') for n in range(300)])
            shutil.copy(path, crashed)
            shutil.copy(journal_of(path), journal_of(crashed))
    if half_written:
        _as_if_the_first_page_alone_had_been_written(crashed)

    before = crashed.read_bytes(), journal_of(crashed).read_bytes()
    with pytest.raises(Interrupted, match="rolled back"):
        Store.open(crashed, read_only=True)
    assert (crashed.read_bytes(), journal_of(crashed).read_bytes()) == before
    with Store.open(crashed) as store:
        assert store.count() == 2
    with Store.open(crashed, read_only=True) as store:
        assert store.count() == 2


def test_a_strangers_cut_off_save_is_not_ours_to_roll_back(path: Path, tmp_path: Path) -> None:
    stranger = tmp_path / "stranger.db"
    with closing(sqlite3.connect(path, isolation_level=None)) as plain:
        plain.execute("PRAGMA cache_size=1")
        plain.execute("CREATE TABLE x (y)")
        plain.execute("BEGIN")
        plain.executemany("INSERT INTO x VALUES (?)", [("y" * 900,)] * 50)
        shutil.copy(path, stranger)
        shutil.copy(journal_of(path), journal_of(stranger))
    before = stranger.read_bytes(), journal_of(stranger).read_bytes()
    with pytest.raises(NotACellar):
        Store.open(stranger)
    assert (stranger.read_bytes(), journal_of(stranger).read_bytes()) == before


def test_tables_changed_while_open_stop_the_next_save(store: Store) -> None:
    record(store, a_vessel(1))
    _change(store.path, "CREATE TABLE x (y)")
    with pytest.raises(NotACellar), store.write():
        raise AssertionError("a save began on a strange schema")
    assert store.count() == 1


def test_a_closed_store_says_so(store: Store) -> None:
    store.close()
    with pytest.raises(StorageError, match="closed"):
        store.count()
