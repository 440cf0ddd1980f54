"""A backup is a whole, sound cellar, or it is not there."""

from __future__ import annotations

import os
import stat
import threading
from pathlib import Path

import pytest

from storage.backup import backup
from storage.check import tip, verify
from storage.errors import AlreadyThere, BadName, Corrupt, DiskFailed, DiskFull, StorageError
from storage.store import Store
from tests.storage.cellar import a_filling, an_action, an_entry, key, record


@pytest.fixture
def destination(tmp_path: Path) -> Path:
    folder = tmp_path / "stick"
    folder.mkdir()
    return folder / "2026-03-14.db"


@pytest.mark.parametrize("mask", [0o000, 0o077])
def test_a_backup_is_the_cellar_again(two_vessels: Store, destination: Path, mask: int) -> None:
    with two_vessels.write() as tx:
        tx.replace({1}, [a_filling(1)], [an_action(1)], [])
    before = os.umask(mask)
    try:
        copied = backup(two_vessels, destination)
    finally:
        os.umask(before)
    assert copied == tip(two_vessels)
    assert [file.name for file in destination.parent.iterdir()] == [destination.name]
    assert stat.S_IMODE(destination.stat().st_mode) == 0o600
    with Store.open(destination) as copy:
        assert (copy.entries(), copy.fillings(), copy.actions()) == (
            two_vessels.entries(),
            two_vessels.fillings(),
            two_vessels.actions(),
        )
        record(copy, an_entry(7))
        assert verify(copy, "full", known=copied) == []
    assert two_vessels.by_key(key(7)) is None


def test_a_cellar_opened_read_only_can_be_backed_up(two_vessels: Store, destination: Path) -> None:
    with Store.open(two_vessels.path, read_only=True) as reading:
        assert backup(reading, destination) == tip(two_vessels)


def test_a_backup_overwrites_nothing(two_vessels: Store, destination: Path, tmp_path: Path) -> None:
    destination.write_text("notes")
    link = destination.with_name("link.db")
    link.symlink_to(tmp_path / "elsewhere.db")
    for taken in (destination, link, two_vessels.path):
        with pytest.raises(AlreadyThere):
            backup(two_vessels, taken)
    assert destination.read_text() == "notes"
    assert not (tmp_path / "elsewhere.db").exists()
    assert len(list(destination.parent.iterdir())) == 2


def test_what_appears_at_the_destination_meanwhile_is_not_overwritten(
    two_vessels: Store, destination: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("storage.backup.sync_file", lambda partial: destination.write_text("another's backup"))
    with pytest.raises(AlreadyThere):
        backup(two_vessels, destination)
    assert destination.read_text() == "another's backup"
    assert len(list(destination.parent.iterdir())) == 1


def test_a_disk_without_hard_links_takes_a_backup_and_a_cellar_too(
    two_vessels: Store, destination: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def link(*words: object, **named: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", link)
    assert backup(two_vessels, destination) == tip(two_vessels)
    Store.create(destination.with_name("new.db")).close()
    assert sorted(file.name for file in destination.parent.iterdir() if file.stat().st_size) == [
        destination.name,
        "new.db",
    ]
    with pytest.raises(AlreadyThere):
        backup(two_vessels, destination)


def test_a_damaged_cellar_gives_no_backup(two_vessels: Store, destination: Path) -> None:
    record(two_vessels, an_entry(7, "note", body='{"text": "plum, slightly hazy"}'))
    path = two_vessels.path
    two_vessels.close()
    path.write_bytes(path.read_bytes().replace(b"slightly hazy", b"entirely fine"))
    with Store.open(path) as store, pytest.raises(Corrupt, match="Entry 5"):
        backup(store, destination)
    assert list(destination.parent.iterdir()) == []


@pytest.mark.parametrize("error", [DiskFull("full"), OSError(5, "Input/output error")])
def test_a_backup_that_fails_leaves_nothing(
    two_vessels: Store, destination: Path, monkeypatch: pytest.MonkeyPatch, error: Exception
) -> None:
    def copy_into(self: Store, other: object) -> None:
        raise error

    monkeypatch.setattr(Store, "copy_into", copy_into)
    with pytest.raises((DiskFull, DiskFailed), match=r"2026-03-14\.db"):
        backup(two_vessels, destination)
    assert list(destination.parent.iterdir()) == []


def test_a_folder_that_is_not_there_is_a_sentence(two_vessels: Store, tmp_path: Path) -> None:
    with pytest.raises(StorageError, match="check that folder"):
        backup(two_vessels, tmp_path / "none" / "copy.db")


def test_backups_made_while_others_record_are_each_one_sound_state(two_vessels: Store, destination: Path) -> None:
    done = threading.Event()

    def keep_recording() -> None:
        with Store.open(two_vessels.path) as other:
            number = 1000
            while not done.is_set():
                with other.write() as tx:
                    (entry,) = tx.append([an_entry(number)])
                    tx.replace({1}, [a_filling(1, head=entry.seq, summary=str(entry.seq))], [], [])
                number += 1
                done.wait(0.002)

    writer = threading.Thread(target=keep_recording)
    writer.start()
    try:
        for turn in range(8):
            copied = backup(two_vessels, destination.with_name(f"{turn}.db"))
            with Store.open(destination.with_name(f"{turn}.db"), read_only=True) as copy:
                line = copy.filling(1)
                assert line is None or line.summary == str(copied[0])
            assert verify(two_vessels, known=copied) == []
    finally:
        done.set()
        writer.join()
    assert two_vessels.count() > 4


@pytest.mark.parametrize("name", ["copy.db-journal", "copy.db-wal", "copy.db-shm", "x" * 256])
def test_a_name_that_would_lose_the_copy_is_refused(two_vessels: Store, destination: Path, name: str) -> None:
    with pytest.raises(BadName, match="choose"):
        backup(two_vessels, destination.with_name(name))
    assert list(destination.parent.iterdir()) == []


def test_a_backup_is_refused_by_the_check_it_is_handed(two_vessels: Store, destination: Path) -> None:
    with pytest.raises(Corrupt, match="the board differs"):
        backup(two_vessels, destination, lambda copy: ["the board differs."])
    assert list(destination.parent.iterdir()) == []
