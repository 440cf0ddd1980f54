"""How a file gets its tables, step by step, each recorded. Imports sqlite-utils: only to make or to migrate a file."""

from __future__ import annotations

import sqlite3

from sqlite_utils import Database, Migrations

from storage.connection import Connection, fault
from storage.schema import (
    APPLICATION_ID,
    MIGRATIONS_TABLE,
    SCHEMA_VERSION,
    VERSION_1,
    VERSION_2,
    VERSION_3,
    VERSION_4,
    VERSION_5,
)

MIGRATIONS = Migrations("cellar")


@MIGRATIONS(name="1_ledger_and_board")
def ledger_and_board(db: Database) -> None:
    """The ledger with its append-only triggers, and the board."""
    for statement in VERSION_1:
        db.conn.execute(statement)


@MIGRATIONS(name="2_seals")
def seals(db: Database) -> None:
    """A digest of each vessel's lines of the board."""
    for statement in VERSION_2:
        db.conn.execute(statement)


@MIGRATIONS(name="3_free_so2_of_a_day")
def free_so2_of_a_day(db: Database) -> None:
    """Free SO2 on the board as it fades; the board is empty until it is worked out again."""
    for statement in VERSION_3:
        db.conn.execute(statement)


@MIGRATIONS(name="4_views")
def views(db: Database) -> None:
    """Readings, additions, vessels and due actions with plain names, for other programs."""
    for statement in VERSION_4:
        db.conn.execute(statement)


@MIGRATIONS(name="5_laboratory")
def laboratory(db: Database) -> None:
    """A laboratory's reports among the readings of the plain views."""
    for statement in VERSION_5:
        db.conn.execute(statement)


def apply_to(connection: Connection) -> None:
    """Apply every migration to an empty file, all in one transaction: it is a whole cellar or still empty."""
    connection.rows("BEGIN IMMEDIATE")
    for statement in MIGRATIONS_TABLE:
        connection.rows(statement)
    connection.rows(f"PRAGMA application_id={APPLICATION_ID}")
    _finish(connection)


def bring_up_to_date(connection: Connection) -> None:
    """Apply the migrations that a file of an older version lacks, all or none.

    Raises:
        Busy, DiskFull, DiskFailed: the file is still of its older version.
    """
    try:
        connection.rows("BEGIN IMMEDIATE")
        if connection.value("PRAGMA user_version") == SCHEMA_VERSION:  # another program was quicker
            connection.roll_back()
            return
        _finish(connection)
    except BaseException as error:
        connection.roll_back()
        if isinstance(error, sqlite3.Error):
            raise fault(error, connection.path) from error
        raise


def _finish(connection: Connection) -> None:
    MIGRATIONS.apply(Database(connection.raw, recursive_triggers=False, execute_plugins=False))
    connection.rows(f"PRAGMA user_version={SCHEMA_VERSION}")
    connection.rows("COMMIT")
