"""A board that is not the one that was written is noticed where it would mislead, whatever it was that changed it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from storage.check import verify
from storage.errors import Corrupt
from storage.rows import ProblemRow
from storage.store import Store
from tests.storage.cellar import a_filling, an_action, an_entry, cellar_with, record


@pytest.fixture
def kept(store: Store) -> Path:
    """Two vessels with an action each, and a problem; nobody has the file open."""
    cellar_with(store, vessels=2)
    with store.write() as tx:
        actions = [an_action(1, dose_amount=2.0), an_action(2)]
        tx.replace_all([a_filling(1), a_filling(2, "Barrel")], actions, [ProblemRow(2, 4, "pH went up")])
    store.close()
    return store.path


def _change(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path, isolation_level=None)) as plain:
        for statement in statements:
            plain.execute(statement)


@pytest.mark.parametrize(
    ("statement", "vessels"),
    [
        ("UPDATE action SET dose_amount = 19 WHERE vessel = 1", [1]),
        ("UPDATE action SET show = '2027-01-01' WHERE vessel = 2", [2]),
        ("DELETE FROM action WHERE vessel = 1", [1]),
        ("UPDATE filling SET volume = 200 WHERE vessel = 2", [2]),
        ("UPDATE filling SET name_key = 'lost' WHERE vessel = 2", [2]),
        ("DELETE FROM filling WHERE vessel = 1", [1]),
        ("DELETE FROM problem", [2]),
        ("INSERT INTO problem VALUES (NULL, NULL, 'all is well')", [0]),
        ("UPDATE vessel SET component = 1", [0, 1, 2]),
        ("UPDATE vessel SET head = 1 WHERE id = 2", [2]),
        ("DELETE FROM seal WHERE vessel = 2", [2]),
    ],
)
def test_what_was_changed_behind_the_programs_back_is_noticed(kept: Path, statement: str, vessels: list[int]) -> None:
    _change(kept, "INSERT OR IGNORE INTO seal VALUES (0, zeroblob(16))", statement)
    with Store.open(kept) as store:
        assert set(vessels) <= set(store.sealed_otherwise()) <= {0, *vessels}
        assert store.sealed_otherwise({1, 2}) == [one for one in vessels if one]


def test_every_save_leaves_every_vessel_sealed(store: Store) -> None:
    assert store.sealed_otherwise() == []
    cellar_with(store, vessels=4)
    assert store.sealed_otherwise() == []
    record(store, an_entry(7, "blend", vessels=(1, 2), joins=(1, 2)))
    record(store, an_entry(8, "blend", vessels=(2, 3), joins=(2, 3)))
    assert store.sealed_otherwise() == []
    with store.write() as tx:
        tx.replace({1, 2, 3}, [a_filling(n) for n in (1, 2, 3)], [an_action(3)], [ProblemRow(1, 5, "x")])
    assert store.sealed_otherwise() == []
    with store.write() as tx:
        tx.replace_all([a_filling(4, capacity=23)], [], [ProblemRow(None, None, "x")], components={1: 1, 2: 1})
    assert store.sealed_otherwise() == []


def test_an_entry_is_read_only_as_it_was_recorded(two_vessels: Store) -> None:
    record(two_vessels, an_entry(7, "note", body='{"text": "plum, slightly hazy"}'))
    path = two_vessels.path
    two_vessels.close()
    path.write_bytes(path.read_bytes().replace(b"slightly hazy", b"entirely fine"))
    with Store.open(path) as store:
        assert [entry.seq for entry in store.entries({2})] == [2, 4], "the other vessel is not concerned"
        for ask in (lambda: store.entries({1}), lambda: store.entry(5), lambda: store.latest_by("anna", 9)):
            with pytest.raises(Corrupt, match=r"entry 5.*cellar-tui restore"):
                ask()


def test_a_text_that_is_no_text_is_damage(two_vessels: Store) -> None:
    with two_vessels.write() as tx:
        tx.replace({1}, [a_filling(1, place="behind the zzzz")], [], [])
    path = two_vessels.path
    two_vessels.close()
    path.write_bytes(path.read_bytes().replace(b"the zzzz", b"the \xff\xfe\xff\xfe"))
    with Store.open(path) as store, pytest.raises(Corrupt, match="cannot be read"):
        store.fillings()
    with Store.open(path) as store, pytest.raises(Corrupt):
        store.sealed_otherwise()


def test_a_copy_in_memory_can_be_mended_and_leaves_the_file_alone(kept: Path) -> None:
    _change(kept, "UPDATE action SET dose_amount = 19 WHERE vessel = 1")
    before = kept.read_bytes()
    with Store.open(kept, read_only=True) as store, store.in_memory() as copy:
        with copy.write() as tx:
            tx.replace({1}, [a_filling(1)], [an_action(1, dose_amount=2.0)], [])
        assert copy.sealed_otherwise({1, 2}) == []
        assert [one.dose_amount for one in copy.actions({1})] == [2.0]
        assert [one.dose_amount for one in store.actions({1})] == [19.0]
        assert verify(copy) == []
    assert kept.read_bytes() == before
