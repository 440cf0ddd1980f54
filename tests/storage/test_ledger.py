"""The ledger takes entries at its end, whole and sound, and never gives one back."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing

import pytest

from storage.errors import AlreadyCorrected, HeadMoved, Rejected
from storage.rows import CELLAR, OWN, EntryRow
from storage.store import Store
from tests.storage.cellar import a_vessel, an_entry, key, record


@pytest.fixture
def bare(two_vessels: Store) -> Iterator[sqlite3.Connection]:
    """Another program's connection, with none of our settings."""
    with closing(sqlite3.connect(two_vessels.path, isolation_level=None)) as plain:
        yield plain


def test_an_entry_comes_back_as_it_was_made(two_vessels: Store) -> None:
    new = an_entry(
        7,
        "addition",
        minute=615,
        material="sugar",
        amount=440.0,
        volume=22.0,
        so2_mg=0.0,
        sorbate_g=4.4,
        sugar_g=440.0,
        sg=1.009,
        temperature=18.5,
        ph=3.31,
        free_so2=28.0,
        total_so2=71.0,
        malic=0.1,
        body='{"for": "süß — «[b]»"}',
    )
    (stored,) = record(two_vessels, new)
    assert stored == two_vessels.entry(5) == two_vessels.by_key(key(7))
    assert stored[1:-1] == new[:-2]
    assert [type(value) for value in stored] == [type(value) for value in two_vessels.entries()[-1]]


def test_entries_are_numbered_without_gaps(two_vessels: Store) -> None:
    record(two_vessels, *(an_entry(200 + n) for n in range(5)))
    with pytest.raises(Rejected):
        record(two_vessels, an_entry(300), an_entry(301, ph=9.9))
    record(two_vessels, an_entry(301))
    assert [entry.seq for entry in two_vessels.entries()] == list(range(1, 11))
    assert two_vessels.count() == 10


WAYS_TO_LOSE_AN_ENTRY = [
    "UPDATE entry SET ph = 3.5 WHERE seq = 3",
    "UPDATE OR REPLACE entry SET seq = 2 WHERE seq = 3",
    "DELETE FROM entry WHERE seq = 4",
    "DELETE FROM entry",
    "INSERT OR REPLACE INTO entry SELECT * FROM entry WHERE seq = 3",
    "REPLACE INTO entry (seq, key, on_day, recorded_at, by, kind, body, hash)"
    " SELECT 5, key, on_day, recorded_at, by, kind, body, hash FROM entry WHERE seq = 3",
    "REPLACE INTO entry (seq, key, on_day, recorded_at, by, kind, body, hash)"
    " SELECT NULL, randomblob(16), on_day, recorded_at, by, kind, body, hash FROM entry WHERE seq = 3",
    "INSERT INTO entry (seq, key, on_day, recorded_at, by, kind, body, hash)"
    " SELECT 9, randomblob(16), on_day, recorded_at, by, kind, body, hash FROM entry WHERE seq = 3",
    "UPDATE entry_vessel SET vessel = 2",
    "DELETE FROM entry_vessel",
    "INSERT INTO entry_vessel (vessel, seq) VALUES (2, 1)",
    "INSERT OR REPLACE INTO entry_vessel (vessel, seq) VALUES (2, 4)",
]


@pytest.mark.parametrize("recursive", ["OFF", "ON"])
@pytest.mark.parametrize("statement", WAYS_TO_LOSE_AN_ENTRY)
def test_the_ledger_is_append_only_for_every_program(
    two_vessels: Store, bare: sqlite3.Connection, statement: str, recursive: str
) -> None:
    def ledger() -> list[object]:
        return bare.execute("SELECT * FROM entry JOIN entry_vessel USING (seq)").fetchall()

    before = ledger()
    bare.execute(f"PRAGMA recursive_triggers={recursive}")
    with pytest.raises(sqlite3.IntegrityError):
        bare.execute(statement)
    assert ledger() == before


def test_a_replace_cannot_push_out_the_correction_of_the_same_entry(
    two_vessels: Store, bare: sqlite3.Connection
) -> None:
    record(two_vessels, an_entry(7, supersedes=3))
    with pytest.raises(sqlite3.IntegrityError):
        bare.execute(
            "REPLACE INTO entry (seq, key, on_day, recorded_at, by, kind, body, hash, supersedes)"
            " SELECT 6, randomblob(16), on_day, recorded_at, by, kind, body, hash, 3 FROM entry WHERE seq = 3"
        )
    assert two_vessels.count() == 5


@pytest.mark.parametrize(
    "wrong",
    [
        {"on_day": "2026-3-14"},
        {"on_day": "2026-02-30"},
        {"on_day": "20260314"},
        {"minute": 1440},
        {"minute": -1},
        {"recorded_at": "2026-03-14 18:05:00"},
        {"by": ""},
        {"kind": ""},
        {"key": b"short"},
        {"key": "0" * 16},
        {"ph": 2.1},
        {"ph": 4.9},
        {"sg": 0.96},
        {"sg": 1.21},
        {"temperature": -11.0},
        {"temperature": 46.0},
        {"malic": 21.0},
        {"free_so2": -1.0},
        {"total_so2": 2001.0},
        {"amount": -1.0},
        {"volume": -0.1},
        {"so2_mg": float("inf")},
        {"sugar_g": float("nan")},
        {"amount": "2"},
        {"ph": True},
        {"minute": 615.0},
        {"body": "{"},
        {"body": ""},
        {"body": '{"x": NaN}'},
        {"body": "[" * 100_000},
        {"body": None},
        {"by": "an\udcffna"},
        {"batch": 6},
        {"supersedes": 6},
        {"vessel": 2},
        {"vessels": ()},
        {"vessels": (1, 9)},
        {"joins": (1, 2)},
        {"vessels": (0, 1), "joins": (0, 1)},
        {"body": '"' + "x" * 200_001 + '"'},
        {"minute": 1 << 70},
    ],
    ids=lambda wrong: str(wrong)[:50],
)
def test_what_cannot_be_true_is_not_recorded(two_vessels: Store, wrong: dict[str, object]) -> None:
    with pytest.raises(Rejected, match="Not recorded"):
        record(two_vessels, an_entry(7, **wrong))  # type: ignore[arg-type]
    assert two_vessels.count() == 4
    assert two_vessels.by_key(key(7)) is None


def test_the_same_form_cannot_make_a_second_entry(two_vessels: Store) -> None:
    record(two_vessels, an_entry(7))
    with pytest.raises(Rejected):
        record(two_vessels, an_entry(7, ph=3.4))
    assert two_vessels.count() == 5


def test_a_second_correction_of_an_entry_is_told_of_the_first(two_vessels: Store) -> None:
    record(two_vessels, an_entry(7, supersedes=3))
    with pytest.raises(AlreadyCorrected, match="Entry 3 was already .* by entry 5") as refused:
        record(two_vessels, an_entry(8, supersedes=3))
    assert refused.value.entry == 5
    correction = two_vessels.correction_of(3)
    assert correction is not None
    assert correction.seq == 5


def test_a_vessels_id_is_the_seq_of_the_entry_that_made_it(two_vessels: Store) -> None:
    (stored,) = record(two_vessels, an_entry(7, "bottle", vessels=(1, OWN), joins=(1, OWN), batch=OWN))
    assert (stored.vessel, stored.batch) == (1, 5)
    assert two_vessels.vessels_of(5) == (1, 5)
    assert two_vessels.component({5}) == {1, 5}


def test_a_vessel_is_read_with_its_own_entries_and_those_of_the_whole_cellar(two_vessels: Store) -> None:
    record(two_vessels, an_entry(7, "rule", vessels=(CELLAR,)))

    def seqs(rows: list[EntryRow]) -> list[int]:
        return [row.seq for row in rows]

    assert seqs(two_vessels.entries({1})) == [1, 3, 5]
    assert seqs(two_vessels.entries({1, 2})) == seqs(two_vessels.entries()) == [1, 2, 3, 4, 5]
    assert seqs(two_vessels.entries(())) == [5]


def test_the_last_entries_of_one_person_and_of_one_batch(two_vessels: Store) -> None:
    record(two_vessels, an_entry(7, by="ben"), an_entry(8, by="ben", batch=6), an_entry(9, by="ben", batch=6))
    assert [entry.seq for entry in two_vessels.latest_by("ben", 2)] == [7, 6]
    assert [entry.seq for entry in two_vessels.latest_by("anna", 9)] == [4, 3, 2, 1]
    assert [entry.seq for entry in two_vessels.batch(6)] == [6, 7]


def test_a_form_opened_before_anothers_entry_is_told_of_it(two_vessels: Store) -> None:
    heads = {1: two_vessels.head(1), 2: two_vessels.head(2)}
    assert heads == {1: 3, 2: 4}
    record(two_vessels, an_entry(7))
    with pytest.raises(HeadMoved) as refused, two_vessels.write() as tx:
        tx.expect(heads)
    assert (refused.value.vessel, refused.value.entry) == (1, 5)
    with two_vessels.write() as tx:
        tx.expect({2: 4})  # the other vessel is nobody's concern


def test_a_cellar_without_entries(store: Store) -> None:
    assert store.count() == 0
    assert store.last_hash() is None
    assert store.entries() == store.latest_by("anna", 5) == []
    assert (store.entry(1), store.filling(1), store.meta("plan_version")) == (None, None, None)
    assert store.head(1) == 0


def test_what_the_program_keeps_with_the_file(store: Store) -> None:
    with store.write() as tx:
        tx.set_meta("plan_version", "3")
        tx.set_meta("plan_version", "4")
    assert store.meta("plan_version") == "4"


def test_another_programs_save_is_noticed(two_vessels: Store) -> None:
    seen = two_vessels.data_version()
    record(two_vessels, an_entry(7))
    assert two_vessels.data_version() == seen, "one's own saves are known"
    with Store.open(two_vessels.path) as other:
        record(other, an_entry(8))
    assert two_vessels.data_version() != seen


def test_a_vessel_added_by_one_program_is_there_for_the_next(two_vessels: Store) -> None:
    with Store.open(two_vessels.path) as other:
        record(other, a_vessel(50))
        cellar_with_more = other.components()
    assert two_vessels.components() == cellar_with_more == {1: 1, 2: 2, 5: 5}
