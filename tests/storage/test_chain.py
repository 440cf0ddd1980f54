"""A changed, lost or foreign entry is found, even where SQLite itself sees nothing wrong."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from storage.chain import GENESIS, next_hash
from storage.check import tip, verify
from storage.store import Store
from tests.storage.cellar import an_entry, cellar_with, record


def _tamper(path: Path, *statements: str) -> None:
    """What somebody with a database tool can do: lift the triggers, change the ledger, put them back."""
    with closing(sqlite3.connect(path, isolation_level=None)) as plain:
        lifted = plain.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        for name, _ in lifted:
            plain.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            plain.execute(statement)
        for _, sql in lifted:
            plain.execute(sql)


@pytest.fixture
def path_of_six(path: Path) -> Path:
    """Two vessels and six entries, the fifth a note, the last a blend."""
    with Store.create(path) as store:
        cellar_with(store, vessels=2)
        record(store, an_entry(7, "note", body='{"text": "plum, slightly hazy"}'))
        record(store, an_entry(8, "blend", vessels=(1, 2), joins=(1, 2)))
        assert verify(store, "full") == []
    return path


def test_one_flipped_byte_is_found_though_sqlite_finds_the_file_sound(path_of_six: Path) -> None:
    content = bytearray(path_of_six.read_bytes())
    place = content.index(b"slightly hazy")
    content[place] ^= 0x01
    path_of_six.write_bytes(content)
    with Store.open(path_of_six) as store:
        assert store.integrity(full=True) == []
        assert verify(store) == ["Entry 5: it, or its link to a vessel, is not what was recorded."]


@pytest.mark.parametrize(
    ("statement", "found"),
    [
        ("UPDATE entry SET ph = 3.5 WHERE seq = 3", "Entry 3"),
        ("UPDATE entry SET vessel = NULL WHERE seq = 3", "Entry 3"),
        ("UPDATE entry SET by = 'ben' WHERE seq = 1", "Entry 1"),
        ("UPDATE entry SET hash = zeroblob(16) WHERE seq = 6", "Entry 6"),
        ("UPDATE entry SET key = randomblob(16) WHERE seq = 4", "Entry 4"),
        ("UPDATE entry SET body = '{' WHERE seq = 2", "Entry 2"),
        ("UPDATE entry SET minute = 0 WHERE seq = 6", "Entry 6"),
        ("UPDATE entry_vessel SET vessel = 2 WHERE seq = 3", "Entry 3"),
        ("DELETE FROM entry_vessel WHERE seq = 6 AND vessel = 2", "Entry 6"),
        ("DELETE FROM entry_vessel WHERE seq = 5", "Entry 5"),
        ("INSERT INTO entry_vessel (vessel, seq) VALUES (2, 5)", "Entry 5"),
        ("DELETE FROM entry WHERE seq = 5", "Entry 6"),
        ("DELETE FROM entry WHERE seq = 1", "Entry 2"),
        ("UPDATE vessel SET head = 3 WHERE id = 1", "Vessel 1"),
        ("DELETE FROM vessel WHERE id = 2", "The file is damaged"),
    ],
)
def test_whatever_is_changed_is_found(path_of_six: Path, statement: str, found: str) -> None:
    _tamper(path_of_six, "PRAGMA foreign_keys=OFF", statement)
    with Store.open(path_of_six) as store:
        assert any(sentence.startswith(found) for sentence in verify(store)), verify(store)


def test_a_ledger_without_its_end_is_sound_in_itself_and_betrayed_by_what_was_kept_elsewhere(
    path_of_six: Path,
) -> None:
    with Store.open(path_of_six) as store:
        kept = tip(store)
    _tamper(
        path_of_six,
        "DELETE FROM entry_vessel WHERE seq = 6",
        "UPDATE vessel SET head = CASE id WHEN 1 THEN 5 ELSE 4 END WHERE id > 0",
        "DELETE FROM entry WHERE seq = 6",
    )
    with Store.open(path_of_six) as store:
        assert verify(store, "full") == []
        assert verify(store, known=kept) == ["The ledger ends at entry 5, but entry 6 was recorded once."]
        record(store, an_entry(9))
        assert verify(store, known=kept) == ["Entry 6 is not the one that was recorded once."]


def test_a_ledger_that_has_grown_still_contains_what_was_kept(path_of_six: Path) -> None:
    with Store.open(path_of_six) as store:
        kept = tip(store)
        record(store, an_entry(9))
        assert verify(store, known=kept) == verify(store, known=(0, GENESIS)) == []


def test_a_damaged_page_is_a_sentence(path_of_six: Path) -> None:
    with Store.open(path_of_six) as store:
        record(store, *(an_entry(1000 + n, body='{"text": "' + "x" * 500 + '"}') for n in range(40)))
    content = bytearray(path_of_six.read_bytes())
    start = content.index(b"x" * 400) // 4096 * 4096
    content[start : start + 4096] = b"\xff" * 4096
    path_of_six.write_bytes(content)
    with Store.open(path_of_six) as store:
        assert verify(store)


def test_no_value_hashes_like_another_type_or_place() -> None:
    rows: list[list[object]] = [
        [1, None],
        [None, 1],
        ["1", None],
        [1.0, None],
        [b"1", None],
        ["1", ""],
        ["", "1"],
        [b"", None],
        ["", None],
        [None, None],
        [0, None],
        [0.0, None],
        ["n"],
        [None],
        [12, 3],
        [1, 23],
    ]
    hashes = {next_hash(GENESIS, row, (1,)) for row in rows}
    assert len(hashes) == len(rows)
    assert next_hash(GENESIS, [1], (1, 2)) == next_hash(GENESIS, [1], (2, 1)) != next_hash(GENESIS, [1], (12,))
    assert next_hash(GENESIS, [1, 2], ()) != next_hash(GENESIS, [1], (2,))


@pytest.mark.parametrize("value", [0, -0.0, 2, 2.5, 1e9])
def test_a_number_hashes_as_sqlite_keeps_it(store: Store, value: float) -> None:
    cellar_with(store, vessels=1)
    record(store, an_entry(7, amount=value))
    assert verify(store) == []
