"""How a file gets its tables, step by step, each recorded. Imports sqlite-utils: only for making a file."""

from __future__ import annotations

from sqlite_utils import Database, Migrations

from storage.connection import Connection
from storage.schema import APPLICATION_ID, MIGRATIONS_TABLE, SCHEMA_VERSION, VERSION_1

MIGRATIONS = Migrations("cellar")


@MIGRATIONS(name="1_ledger_and_board")
def ledger_and_board(db: Database) -> None:
    """The ledger with its append-only triggers, and the board."""
    for statement in VERSION_1:
        db.conn.execute(statement)


def apply_to(connection: Connection) -> None:
    """Apply every migration to an empty file, all in one transaction: it is a whole cellar or still empty."""
    connection.rows("BEGIN IMMEDIATE")
    for statement in MIGRATIONS_TABLE:
        connection.rows(statement)
    MIGRATIONS.apply(Database(connection.raw, recursive_triggers=False, execute_plugins=False))
    connection.rows(f"PRAGMA application_id={APPLICATION_ID}")
    connection.rows(f"PRAGMA user_version={SCHEMA_VERSION}")
    connection.rows("COMMIT")
