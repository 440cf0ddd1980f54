"""A file of an older version opens with everything in it, after a copy of it was put beside it; or stays as it was."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from storage.check import tip, verify
from storage.errors import StorageError
from storage.schema import SCHEMA_VERSION, VERSION_5
from storage.store import Store
from tests.storage.cellar import an_entry, record
from tests.storage.dump import VERSIONS, make

OLDER = [int(file.stem) for file in VERSIONS.glob("*.sql") if int(file.stem) < SCHEMA_VERSION]


def _entries(path: Path) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(path)) as plain:
        return plain.execute("SELECT * FROM entry ORDER BY seq").fetchall()


def test_there_is_a_file_of_every_version() -> None:
    assert {int(file.stem) for file in VERSIONS.glob("*.sql")} == set(range(1, SCHEMA_VERSION + 1))


@pytest.mark.parametrize("version", range(1, SCHEMA_VERSION + 1))
def test_a_file_of_every_version_opens_with_all_its_entries(path: Path, version: int) -> None:
    recorded = _entries(make(version, path))
    with Store.open(path) as store:
        assert [tuple(entry) for entry in store.entries()] == recorded
        assert verify(store, "full") == []
        record(store, an_entry(7, vessels=(2,)))
    with Store.open(path, read_only=True) as store:
        assert store.count() == len(recorded) + 1


@pytest.mark.parametrize("version", OLDER)
def test_a_copy_of_the_older_file_stands_beside_it_first(path: Path, version: int) -> None:
    before = _entries(make(version, path))
    Store.open(path).close()
    kept = path.with_name(f"cellar.db.version-{version}")
    assert _entries(kept) == before
    assert kept.stat().st_mode & 0o077 == 0
    with closing(sqlite3.connect(kept)) as plain:
        assert plain.execute("PRAGMA user_version").fetchone() == (version,)


@pytest.mark.parametrize("version", OLDER)
def test_a_migration_that_fails_leaves_the_older_file(
    path: Path, monkeypatch: pytest.MonkeyPatch, version: int
) -> None:
    make(version, path)
    before = path.read_bytes()
    with monkeypatch.context() as patch:
        patch.setattr("storage.migrations.VERSION_5", (*VERSION_5, "CREATE TABLE broken"))
        with pytest.raises(StorageError):
            Store.open(path)
    assert path.read_bytes() == before
    with Store.open(path) as store:
        assert tip(store)[0] == len(_entries(path))


@pytest.mark.parametrize("version", OLDER)
def test_an_older_file_can_be_looked_at_without_being_touched(path: Path, version: int) -> None:
    before = make(version, path).read_bytes()
    with Store.open(path, read_only=True) as store:
        assert [tuple(entry) for entry in store.entries()] == _entries(path)
        assert store.unsealed()
    assert path.read_bytes() == before
    assert [file.name for file in path.parent.iterdir()] == [path.name]
