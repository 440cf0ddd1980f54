"""The tables of a cellar file, and how a file is recognised as one of ours.

`user_version` decides about the schema, the table of migrations records, and the fingerprint of
sqlite_schema only refuses strangers: a trigger or view that somebody put into the file would run
with our own statements.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from storage.connection import Connection
from storage.errors import RESTORE, NotACellar, TooNew

APPLICATION_ID = 0x43656C6C
"""SQLite's application_id of a cellar file: the letters 'Cell'."""

SCHEMA_VERSION = 5

KNOWN_SCHEMAS = {
    1: "6ae43dd6c61bf6a1608565fb021ad4c7",
    2: "2a1bb99308ee52bf499627d6e0b54629",
    3: "581378ae88c6c7f6c21d02a407a0db8d",
    4: "0f0ceb8f9b4c567efebc8bff44a4c9ef",
    5: "b2a58d380f2937c817e3e14b11fd0641",
}
"""user_version -> fingerprint of the schema as the migrations make it (computed; a test makes it again)."""

_DAY = "GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'"
_MOMENT = _DAY[:-1] + "T[0-9][0-9]:[0-9][0-9]:[0-9][0-9]Z'"

MIGRATIONS_TABLE = (
    """CREATE TABLE _sqlite_migrations (
    id INTEGER PRIMARY KEY,
    migration_set TEXT NOT NULL,
    name TEXT NOT NULL,
    applied_at TEXT NOT NULL
) STRICT""",
    "CREATE UNIQUE INDEX _sqlite_migrations_once ON _sqlite_migrations (migration_set, name)",
)
"""sqlite-utils would make this table itself; made here, its text does not depend on the library's version."""

# No CHECK (json_valid(body)): SQLite 3.40 calls that an unsafe use under trusted_schema=OFF, which matters more.
# The JSON is looked at before the insert and by the check of the ledger.
_LEDGER = (
    f"""CREATE TABLE entry (
    seq INTEGER PRIMARY KEY,
    key BLOB NOT NULL UNIQUE CHECK (length(key) = 16),
    on_day TEXT NOT NULL CHECK (on_day {_DAY} AND date(on_day, '+0 days') IS on_day),
    minute INTEGER CHECK (minute BETWEEN 0 AND 1439),
    recorded_at TEXT NOT NULL CHECK (recorded_at {_MOMENT}),
    by TEXT NOT NULL CHECK (length(by) BETWEEN 1 AND 200),
    kind TEXT NOT NULL CHECK (length(kind) BETWEEN 1 AND 40),
    vessel INTEGER REFERENCES vessel (id) DEFERRABLE INITIALLY DEFERRED,
    supersedes INTEGER UNIQUE REFERENCES entry (seq) CHECK (supersedes < seq),
    batch INTEGER CHECK (batch BETWEEN 1 AND seq),
    material TEXT CHECK (length(material) BETWEEN 1 AND 200),
    amount REAL CHECK (amount BETWEEN 0 AND 1e9),
    volume REAL CHECK (volume BETWEEN 0 AND 1e9),
    so2_mg REAL CHECK (so2_mg BETWEEN 0 AND 1e12),
    sorbate_g REAL CHECK (sorbate_g BETWEEN 0 AND 1e9),
    sugar_g REAL CHECK (sugar_g BETWEEN 0 AND 1e12),
    sg REAL CHECK (sg BETWEEN 0.97 AND 1.2),
    temperature REAL CHECK (temperature BETWEEN -10 AND 45),
    ph REAL CHECK (ph BETWEEN 2.2 AND 4.8),
    free_so2 REAL CHECK (free_so2 BETWEEN 0 AND 1000),
    total_so2 REAL CHECK (total_so2 BETWEEN 0 AND 2000),
    malic REAL CHECK (malic BETWEEN 0 AND 20),
    body TEXT NOT NULL CHECK (length(body) BETWEEN 1 AND 200000),
    hash BLOB NOT NULL CHECK (length(hash) = 16)
) STRICT""",
    "CREATE INDEX entry_by ON entry (by)",
    "CREATE INDEX entry_batch ON entry (batch) WHERE batch IS NOT NULL",
    """CREATE TABLE vessel (
    id INTEGER PRIMARY KEY CHECK (id >= 0),
    component INTEGER NOT NULL CHECK (component >= 0),
    head INTEGER REFERENCES entry (seq) DEFERRABLE INITIALLY DEFERRED
) STRICT""",
    "CREATE INDEX vessel_component ON vessel (component)",
    "INSERT INTO vessel (id, component) VALUES (0, 0)",
    """CREATE TABLE entry_vessel (
    vessel INTEGER NOT NULL REFERENCES vessel (id) DEFERRABLE INITIALLY DEFERRED,
    seq INTEGER NOT NULL REFERENCES entry (seq),
    PRIMARY KEY (vessel, seq)
) STRICT, WITHOUT ROWID""",
    "CREATE INDEX entry_vessel_seq ON entry_vessel (seq)",
)

# INSERT OR REPLACE removes the rows in its way without firing their delete triggers (unless recursive_triggers
# is on, which a stranger's connection decides), so every unique column is looked at before the insert.
_APPEND_ONLY = (
    """CREATE TRIGGER entry_follows BEFORE INSERT ON entry
WHEN NEW.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM entry)
BEGIN SELECT RAISE(ABORT, 'an entry takes the number after the last one'); END""",
    """CREATE TRIGGER entry_once BEFORE INSERT ON entry
WHEN EXISTS (SELECT 1 FROM entry WHERE key = NEW.key OR supersedes = NEW.supersedes)
BEGIN SELECT RAISE(ABORT, 'the key or the correction is in the ledger already'); END""",
    """CREATE TRIGGER entry_stays BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END""",
    """CREATE TRIGGER entry_kept BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END""",
    """CREATE TRIGGER entry_vessel_follows BEFORE INSERT ON entry_vessel
WHEN NEW.seq IS NOT (SELECT max(seq) FROM entry)
  OR EXISTS (SELECT 1 FROM entry_vessel WHERE vessel = NEW.vessel AND seq = NEW.seq)
BEGIN SELECT RAISE(ABORT, 'only the last entry is linked to vessels, and once'); END""",
    """CREATE TRIGGER entry_vessel_stays BEFORE UPDATE ON entry_vessel
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END""",
    """CREATE TRIGGER entry_vessel_kept BEFORE DELETE ON entry_vessel
BEGIN SELECT RAISE(ABORT, 'the ledger is append-only'); END""",
)

_BOARD = (
    f"""CREATE TABLE filling (
    vessel INTEGER PRIMARY KEY REFERENCES vessel (id),
    name TEXT NOT NULL,
    name_key TEXT NOT NULL,
    place TEXT NOT NULL,
    capacity REAL CHECK (capacity BETWEEN 0 AND 1e9),
    material TEXT NOT NULL,
    retired INTEGER NOT NULL CHECK (retired IN (0, 1)),
    filling INTEGER REFERENCES entry (seq),
    wine TEXT,
    wine_key TEXT,
    style TEXT,
    colour TEXT,
    stage TEXT,
    volume REAL CHECK (volume BETWEEN -1e9 AND 1e9),
    ph REAL CHECK (ph BETWEEN 0 AND 14),
    free_so2 REAL CHECK (free_so2 BETWEEN -1e9 AND 1e9),
    molecular REAL CHECK (molecular BETWEEN -1e9 AND 1e9),
    letters TEXT CHECK (length(letters) = 5),
    air_until TEXT CHECK (air_until {_DAY}),
    next_show TEXT CHECK (next_show {_DAY}),
    next_action TEXT,
    summary TEXT NOT NULL,
    head INTEGER NOT NULL REFERENCES entry (seq)
) STRICT""",
    "CREATE INDEX filling_due ON filling (next_show IS NULL, next_show, name_key)",
    "CREATE INDEX filling_name ON filling (name_key)",
    "CREATE INDEX filling_wine ON filling (wine_key)",
    f"""CREATE TABLE action (
    key TEXT NOT NULL,
    vessel INTEGER NOT NULL REFERENCES vessel (id),
    filling INTEGER NOT NULL REFERENCES entry (seq),
    rule TEXT NOT NULL,
    due TEXT NOT NULL CHECK (due {_DAY}),
    window_from TEXT NOT NULL CHECK (window_from {_DAY}),
    window_to TEXT NOT NULL CHECK (window_to {_DAY}),
    show TEXT NOT NULL CHECK (show {_DAY}),
    expires TEXT CHECK (expires {_DAY}),
    hard INTEGER NOT NULL CHECK (hard IN (0, 1)),
    postponed INTEGER NOT NULL CHECK (postponed IN (0, 1)),
    dose_material TEXT,
    dose_amount REAL CHECK (dose_amount BETWEEN -1e12 AND 1e12),
    dose_unit TEXT,
    dose_note TEXT,
    kit TEXT NOT NULL,
    because TEXT NOT NULL,
    entries TEXT NOT NULL,
    PRIMARY KEY (vessel, key)
) STRICT""",
    "CREATE INDEX action_show ON action (show)",
    """CREATE TABLE problem (
    vessel INTEGER REFERENCES vessel (id),
    entry INTEGER REFERENCES entry (seq),
    problem TEXT NOT NULL
) STRICT""",
    "CREATE INDEX problem_vessel ON problem (vessel)",
    "CREATE TABLE meta (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID",
)

VERSION_1 = (*_LEDGER, *_APPEND_ONLY, *_BOARD)

VERSION_2 = (
    """CREATE TABLE seal (
    vessel INTEGER PRIMARY KEY REFERENCES vessel (id),
    digest BLOB NOT NULL CHECK (length(digest) = 16)
) STRICT""",
    "CREATE INDEX entry_day ON entry (on_day)",
)
"""A digest of each vessel's lines of the board (`seals`); a file from version 1 has none yet.

The index finds the entries after a day.
"""

VERSION_3 = (
    "DROP TABLE filling",
    f"""CREATE TABLE filling (
    vessel INTEGER PRIMARY KEY REFERENCES vessel (id),
    name TEXT NOT NULL,
    name_key TEXT NOT NULL,
    place TEXT NOT NULL,
    capacity REAL CHECK (capacity BETWEEN 0 AND 1e9),
    material TEXT NOT NULL,
    retired INTEGER NOT NULL CHECK (retired IN (0, 1)),
    filling INTEGER REFERENCES entry (seq),
    wine TEXT,
    wine_key TEXT,
    style TEXT,
    colour TEXT,
    stage TEXT,
    volume REAL CHECK (volume BETWEEN -1e9 AND 1e9),
    ph REAL CHECK (ph BETWEEN 0 AND 14),
    free_so2 REAL CHECK (free_so2 BETWEEN -1e9 AND 1e9),
    free_loss REAL CHECK (free_loss BETWEEN 0 AND 1e9),
    free_since TEXT CHECK (free_since {_DAY}),
    read_on TEXT CHECK (read_on {_DAY}),
    free_read REAL CHECK (free_read BETWEEN -1e9 AND 1e9),
    letters TEXT CHECK (length(letters) = 5),
    air_until TEXT CHECK (air_until {_DAY}),
    next_show TEXT CHECK (next_show {_DAY}),
    next_action TEXT,
    summary TEXT NOT NULL,
    head INTEGER NOT NULL REFERENCES entry (seq)
) STRICT""",
    "CREATE INDEX filling_due ON filling (next_show IS NULL, next_show, name_key)",
    "CREATE INDEX filling_name ON filling (name_key)",
    "CREATE INDEX filling_wine ON filling (wine_key)",
    "DELETE FROM seal",
    "DELETE FROM meta WHERE name = 'plan_version'",
)
"""Free SO2 with its loss and its days, so that a line tells it for any day. The board is worked out again: nothing that
a line held before is of use, and without its plan's version and its seals no program takes it for whole."""

# Only what stands: an entry that another one corrects or withdraws is left out. A line of the board may be missing
# (it is worked out again after an update), so that an entry is never lost for want of its vessel's name.
_STANDING = """FROM entry LEFT JOIN filling ON filling.vessel = entry.vessel
WHERE NOT EXISTS (SELECT 1 FROM entry AS later WHERE later.supersedes = entry.seq)"""

_HOUR = "CASE WHEN entry.minute IS NOT NULL THEN printf('%02d:%02d', entry.minute / 60, entry.minute % 60) END"

VERSION_4 = (
    """CREATE VIEW vessels AS SELECT
    vessel AS vessel_id, name AS vessel, place, material, capacity AS capacity_litres,
    wine, style, colour, stage, volume AS volume_litres, ph,
    free_so2 AS free_so2_mg_per_litre, free_since AS free_so2_of_day, read_on AS free_so2_last_read_on,
    summary, next_action, next_show AS next_action_on
FROM filling WHERE NOT retired""",
    """CREATE VIEW due_actions AS SELECT
    filling.name AS vessel, filling.wine, action.rule AS action, json_extract(action.because, '$.task') AS task,
    action.show AS day, action.window_from AS first_day, action.window_to AS last_day, action.postponed,
    action.dose_material, action.dose_amount, action.dose_unit, action.dose_note
FROM action JOIN filling ON filling.vessel = action.vessel""",
    f"""CREATE VIEW readings AS SELECT
    entry.seq AS entry, entry.on_day AS day, {_HOUR} AS hour, entry.vessel AS vessel_id, filling.name AS vessel,
    entry.kind, json_extract(entry.body, '$.says.method') AS method,
    entry.sg AS sg_20_20, json_extract(entry.body, '$.says.brix') AS brix,
    entry.temperature AS temperature_celsius,
    json_extract(entry.body, '$.says.sample_temperature') AS sample_temperature_celsius,
    entry.ph, json_extract(entry.body, '$.says.ta') AS titratable_acidity_g_per_litre,
    entry.free_so2 AS free_so2_mg_per_litre, entry.total_so2 AS total_so2_mg_per_litre,
    entry.malic AS malic_acid_g_per_litre, json_extract(entry.body, '$.says.va') AS volatile_acidity_g_per_litre,
    json_extract(entry.body, '$.says.alcohol') AS alcohol_percent_by_volume,
    json_extract(entry.body, '$.says.residual_sugar') AS residual_sugar_g_per_litre,
    json_extract(entry.body, '$.says.turbidity') AS turbidity_ntu,
    json_extract(entry.body, '$.says.dissolved_oxygen') AS dissolved_oxygen_mg_per_litre,
    json_extract(entry.body, '$.says.conductivity_drop') AS conductivity_drop_percent,
    json_extract(entry.body, '$.says.yan') AS yan_mg_per_litre,
    entry.volume AS volume_litres, entry.by
{_STANDING} AND entry.kind IN ('reading', 'series')""",
    f"""CREATE VIEW additions AS SELECT
    entry.seq AS entry, entry.on_day AS day, {_HOUR} AS hour, entry.vessel AS vessel_id, filling.name AS vessel,
    entry.material, entry.amount,
    CASE WHEN entry.material IN ('so2_solution', 'syrup', 'concentrate') THEN 'mL'
        WHEN entry.material IN ('juice', 'spirit', 'water') THEN 'L' ELSE 'g' END AS amount_unit,
    json_extract(entry.body, '$.says.dose') AS dose_mg_per_litre,
    entry.so2_mg AS so2_added_mg, entry.sorbate_g AS sorbate_added_grams, entry.sugar_g AS sugar_added_grams,
    json_extract(entry.body, '$.says.litres') AS volume_added_litres,
    json_extract(entry.body, '$.says.purpose') AS purpose, json_extract(entry.body, '$.says.lot') AS lot, entry.by
{_STANDING} AND entry.kind = 'addition'""",
    "DELETE FROM seal",
    "DELETE FROM meta WHERE name = 'plan_version'",
)
"""Views for other programs, with plain names and the units in the names of the columns; this program reads none of
them. The board is worked out again, so that they show what the rules of the program that made them say."""


VERSION_5 = (
    "DROP VIEW readings",
    f"""CREATE VIEW readings AS SELECT
    entry.seq AS entry, entry.on_day AS day, {_HOUR} AS hour, entry.vessel AS vessel_id, filling.name AS vessel,
    entry.kind, json_extract(entry.body, '$.says.method') AS method,
    entry.sg AS sg_20_20, json_extract(entry.body, '$.says.brix') AS brix,
    entry.temperature AS temperature_celsius,
    json_extract(entry.body, '$.says.sample_temperature') AS sample_temperature_celsius,
    entry.ph, json_extract(entry.body, '$.says.ta') AS titratable_acidity_g_per_litre,
    entry.free_so2 AS free_so2_mg_per_litre, entry.total_so2 AS total_so2_mg_per_litre,
    entry.malic AS malic_acid_g_per_litre, json_extract(entry.body, '$.says.va') AS volatile_acidity_g_per_litre,
    json_extract(entry.body, '$.says.alcohol') AS alcohol_percent_by_volume,
    json_extract(entry.body, '$.says.residual_sugar') AS residual_sugar_g_per_litre,
    json_extract(entry.body, '$.says.turbidity') AS turbidity_ntu,
    json_extract(entry.body, '$.says.dissolved_oxygen') AS dissolved_oxygen_mg_per_litre,
    json_extract(entry.body, '$.says.conductivity_drop') AS conductivity_drop_percent,
    json_extract(entry.body, '$.says.yan') AS yan_mg_per_litre,
    entry.volume AS volume_litres,
    json_extract(entry.body, '$.says.dip') AS dip_centimetres,
    json_extract(entry.body, '$.says.ullage') AS ullage_centimetres,
    json_extract(entry.body, '$.says.laboratory') AS laboratory,
    json_extract(entry.body, '$.says.reference') AS laboratory_reference, entry.by
{_STANDING} AND entry.kind IN ('reading', 'series', 'lab_report')""",
    "DELETE FROM seal",
    "DELETE FROM meta WHERE name = 'plan_version'",
)
"""A laboratory's reports among the readings, and the centimetres behind a volume. The board is worked out again: empty
vessels have lines of their own."""


def fingerprint(objects: Sequence[tuple[Any, ...]]) -> str:
    """A short name for a schema: (type, name, table, SQL) of every object, in this order."""
    digest = hashlib.blake2b(digest_size=16)
    for parts in objects:
        for part in parts:
            text = str(part or "").encode()
            digest.update(len(text).to_bytes(4, "big") + text)
    return digest.hexdigest()


def schema_of(connection: Connection) -> str:
    """The fingerprint of the schema that a file has now."""
    return fingerprint(connection.rows("SELECT type, name, tbl_name, sql FROM sqlite_schema ORDER BY type, name"))


def recognise(connection: Connection) -> int:
    """Make sure that the file is a cellar whose schema this program knows, and give its user_version.

    Raises:
        NotACellar, TooNew, Corrupt, Busy.
    """
    version = int(connection.value("PRAGMA user_version"))
    recognise_numbers(connection.path, application_id=connection.value("PRAGMA application_id"), user_version=version)
    if schema_of(connection) != KNOWN_SCHEMAS.get(version):
        raise NotACellar(
            f"{connection.path} has tables, views or triggers that no version of this program made: "
            f"use it no further, and {RESTORE}."
        )
    return version


def recognise_numbers(path: Path, *, application_id: int, user_version: int) -> None:
    """The part of `recognise` that two numbers of the file's header decide."""
    if application_id != APPLICATION_ID:
        raise NotACellar(f"{path} belongs to another program: check the path.")
    if user_version > SCHEMA_VERSION:
        raise TooNew(f"{path} was changed by a newer version of this program: update the program.")
