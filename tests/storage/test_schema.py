"""What a new cellar file is, and what each opening sets."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from storage.rows import ActionRow, EntryRow, FillingRow, NewEntry, ProblemRow
from storage.schema import APPLICATION_ID, KNOWN_SCHEMAS, SCHEMA_VERSION, schema_of
from storage.store import Store


def test_the_fingerprint_listed_is_the_one_the_migrations_make(store: Store) -> None:
    assert schema_of(store._db) == KNOWN_SCHEMAS[SCHEMA_VERSION]


def test_a_new_file_says_whose_it_is_and_records_its_migrations(path: Path) -> None:
    Store.create(path).close()
    with sqlite3.connect(path) as plain:
        assert plain.execute("PRAGMA application_id").fetchone() == (APPLICATION_ID,)
        assert plain.execute("PRAGMA user_version").fetchone() == (SCHEMA_VERSION,)
        recorded = plain.execute("SELECT migration_set, name FROM _sqlite_migrations").fetchall()
        strict = plain.execute(
            "SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND NOT strict"
        ).fetchall()
    plain.close()
    assert [name for _, name in recorded] == [
        "1_ledger_and_board",
        "2_seals",
        "3_free_so2_of_a_day",
        "4_views",
        "5_laboratory",
    ]
    assert [name for (name,) in strict] == ["sqlite_schema"]


@pytest.mark.parametrize(
    ("table", "row"),
    [("entry", EntryRow), ("filling", FillingRow), ("action", ActionRow), ("problem", ProblemRow)],
)
def test_rows_have_the_columns_of_their_tables(store: Store, table: str, row: type[EntryRow]) -> None:
    columns = store._db.rows(f"SELECT name FROM pragma_table_info('{table}')")
    assert tuple(name for (name,) in columns) == row._fields


def test_a_new_entry_is_an_entry_without_seq_and_hash() -> None:
    assert NewEntry._fields == (*EntryRow._fields[1:-1], "vessels", "joins")


@pytest.mark.parametrize(
    ("pragma", "value"),
    [
        ("journal_mode", "truncate"),
        ("synchronous", 2),
        ("foreign_keys", 1),
        ("trusted_schema", 0),
        ("cell_size_check", 1),
        ("busy_timeout", 30_000),
    ],
)
def test_each_opening_sets_what_durability_and_safety_rest_on(path: Path, pragma: str, value: object) -> None:
    Store.create(path).close()
    with Store.open(path) as store:
        assert store._db.value(f"PRAGMA {pragma}") == value


def test_opening_a_cellar_loads_no_migration_library(path: Path) -> None:
    Store.create(path).close()
    program = (
        "import sys; from storage.store import Store; Store.open(sys.argv[1]).fillings();"
        "assert not {'sqlite_utils', 'click', 'cellar_tui'} & set(sys.modules)"
    )
    subprocess.run([sys.executable, "-c", program, str(path)], check=True, cwd=Path(__file__).parents[2])
