"""A backup takes the place of a damaged cellar; what the damaged one left behind can do it no harm."""

from __future__ import annotations

import contextlib
import fcntl
import os
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

import storage.restore
from storage.backup import backup
from storage.check import tip, verify
from storage.errors import AlreadyThere, BadName, Busy, Corrupt, Missing, NotACellar, StorageError
from storage.opening import journal_of
from storage.restore import RESERVED_BYTE, restore
from storage.store import Store
from tests.storage.cellar import an_entry, record

MOMENT = datetime(2026, 3, 14, 18, 5, 30, tzinfo=UTC)


def _well(copy: Store) -> list[str]:
    return verify(copy, "full")


@pytest.fixture
def copy(two_vessels: Store, tmp_path: Path) -> Path:
    """A backup of four entries; the cellar has gone on to a fifth since."""
    (tmp_path / "stick").mkdir()
    backup(two_vessels, tmp_path / "stick" / "copy.db")
    record(two_vessels, an_entry(7))
    return tmp_path / "stick" / "copy.db"


def _cut_off(store: Store) -> None:
    """Leave the file as a kill in the middle of a save does, with a journal that is still to be rolled back."""
    path, away = store.path, store.path.with_suffix(".away")
    with store.write() as tx:
        store._db.rows("PRAGMA cache_size=1")
        tx.append([an_entry(1000 + n, body='{"text": "' + "x" * 900 + '"}') for n in range(300)])
        shutil.copy(path, away)
        shutil.copy(journal_of(path), journal_of(away))
    store.close()
    away.replace(path)
    journal_of(away).replace(journal_of(path))


def test_a_journal_left_behind_does_not_reach_the_copy(two_vessels: Store, copy: Path) -> None:
    path = two_vessels.path
    _cut_off(two_vessels)
    pair = path.read_bytes(), journal_of(path).read_bytes()
    found, kept = restore(path, copy, MOMENT, _well)
    assert kept == path.with_name("cellar.db.before-restore-20260314-180530")
    assert (kept.read_bytes(), journal_of(kept).read_bytes()) == pair
    with Store.open(path) as store:
        assert tip(store) == found
        assert store.count() == 4
        assert verify(store, "full") == []
    with Store.open(kept) as old:
        assert old.count() == 5, "the old file is still the cellar it was, its cut-off save rolled back"


def test_a_damaged_cellar_gives_way_to_its_backup_which_stays_as_it_was(two_vessels: Store, copy: Path) -> None:
    path = two_vessels.path
    two_vessels.close()
    os.truncate(path, 5000)
    before = copy.read_bytes()
    restore(path, copy, MOMENT, _well)
    assert copy.read_bytes() == before
    assert [file.name for file in copy.parent.iterdir()] == ["copy.db"]
    names = {file.name for file in path.parent.iterdir() if file.is_file()}
    assert names == {"cellar.db", "cellar.db.before-restore-20260314-180530"} | (
        {"cellar.db.before-restore-20260314-180530-journal"}
    )
    assert path.stat().st_mode & 0o077 == 0


def test_a_cellar_that_is_gone_comes_back(two_vessels: Store, copy: Path) -> None:
    two_vessels.close()
    two_vessels.path.unlink()
    journal_of(two_vessels.path).unlink()
    assert restore(two_vessels.path, copy, MOMENT, _well)[1] is None
    with Store.open(two_vessels.path) as store:
        assert store.count() == 4


def test_a_backup_that_is_not_sound_changes_nothing(two_vessels: Store, copy: Path, tmp_path: Path) -> None:
    record(two_vessels, an_entry(8, "note", body='{"text": "plum, slightly hazy"}'))
    bad = tmp_path / "stick" / "bad.db"
    backup(two_vessels, bad)
    bad.write_bytes(bad.read_bytes().replace(b"slightly hazy", b"entirely fine"))
    text = tmp_path / "stick" / "list.txt"
    text.write_text("corks, citric acid")
    before = {file: file.read_bytes() for file in tmp_path.rglob("*") if file.is_file()}
    for backup_file, refusal in ((bad, Corrupt), (text, NotACellar), (tmp_path / "none.db", Missing)):
        with pytest.raises(refusal, match=backup_file.name):
            restore(two_vessels.path, backup_file, MOMENT, _well)
    with pytest.raises(AlreadyThere):
        restore(two_vessels.path, two_vessels.path, MOMENT, _well)
    with pytest.raises(BadName):
        restore(tmp_path / "x.db-journal", copy, MOMENT, _well)
    assert {file: file.read_bytes() for file in tmp_path.rglob("*") if file.is_file()} == before


def test_a_program_that_has_the_cellar_open_goes_on_in_the_restored_one(two_vessels: Store, copy: Path) -> None:
    with Store.open(two_vessels.path) as other:
        seen = other.data_version()
        restore(two_vessels.path, copy, MOMENT, _well)
        assert other.data_version() != seen, "the screen notices"
        record(other, an_entry(9))
        assert other.count() == 5
    with Store.open(two_vessels.path) as store:
        assert store.count() == 5
        assert verify(store, "full") == []


def test_a_save_that_is_going_on_is_waited_for(two_vessels: Store, copy: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(storage.restore, "BUSY_TIMEOUT_MS", 50)
    two_vessels.close()
    with two_vessels.path.open("r+b") as file:
        # A lock is the process's own: another process has to hold it.
        child = os.fork()
        if child == 0:
            fcntl.lockf(file, fcntl.LOCK_EX, 1, RESERVED_BYTE)
            os.kill(os.getpid(), 19)
            os._exit(0)
        os.waitpid(child, os.WUNTRACED)
        try:
            with pytest.raises(Busy, match="nothing was restored"):
                restore(two_vessels.path, copy, MOMENT, _well)
        finally:
            os.kill(child, 9)
            os.waitpid(child, 0)
    with Store.open(two_vessels.path) as store:
        assert store.count() == 5


@pytest.mark.parametrize("call", ["link", "rename", "unlink", "replace", "fsync"])
def test_a_restore_that_is_cut_off_leaves_a_whole_cellar_or_none(
    two_vessels: Store, copy: Path, monkeypatch: pytest.MonkeyPatch, call: str
) -> None:
    path = two_vessels.path
    _cut_off(two_vessels)
    plain, count = getattr(os, call), 0

    class Cut(BaseException):
        """The power goes."""

    for fatal in range(6):
        box = path.parent / f"{call}{fatal}"
        box.mkdir()
        here = box / path.name
        for file in (path, journal_of(path)):
            shutil.copy(file, box)
        count = 0

        def cut(*words: object, at: int = fatal, **named: object) -> object:
            nonlocal count
            count += 1
            if count > at:
                raise Cut
            return plain(*words, **named)

        with monkeypatch.context() as patch:
            patch.setattr(os, call, cut)
            with contextlib.suppress(Cut):
                restore(here, copy, MOMENT, _well)
        try:
            with Store.open(here) as store:
                assert store.count() in (4, 5)
                assert verify(store, "full") == []
        except Missing:
            kept = here.with_name("cellar.db.before-restore-20260314-180530")
            with Store.open(kept) as old:
                assert old.count() == 5
        except StorageError as error:
            raise AssertionError(f"{call} number {fatal}: {error}") from error
