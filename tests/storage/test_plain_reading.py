"""A cellar read without this program: its views, through another library and through plain SQLite."""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest
from sqlite_utils import Database

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.fields import specs
from cellar_tui.ledger.materials import MATERIALS
from cellar_tui.service.views import Request
from storage.schema import VERSION_4, VERSION_5
from tests import one_wine

ROOT = Path(__file__).resolve().parents[2]

OF_THE_TITRATION = {"second_strip", "normality", "sample", "blank"} | {
    f"{name}_ml" for name in ("free_so2", "total_so2", "ta", "va", "yan")
}
"""How a value was come by: it stays in the JSON of the entry."""


@pytest.fixture
def other(tmp_path: Path) -> Iterator[Database]:
    """The cellar of one wine, with a reading corrected and an addition withdrawn, as sqlite-utils opens it."""
    with closing(one_wine.cellar(tmp_path)) as service:
        record = service.recorder.record
        slip = record(Request(one_wine.WINE, "reading", {"ph": "3.9"}, "2026-10-10T08:05")).outcomes[0].entry
        assert service.recorder.amend(slip.seq, {"ph": "3.19"}).saved
        cane = record(Request(one_wine.WINE, "addition", {"material": "dap", "amount": "2 g"}, "2026-10-11"))
        assert service.recorder.undo(cane.outcomes[0].entry.seq).saved
    with closing(sqlite3.connect(f"file:{tmp_path / 'cellar.db'}?mode=ro", uri=True)) as plain:
        yield Database(plain)


def test_the_vessels_stand_there_with_their_wine(other: Database) -> None:
    full, empty = other["vessels"].rows
    assert (full["vessel"], full["wine"], full["capacity_litres"]) == ("Demijohn 1", "Solaris", 23.0)
    assert full["volume_litres"] == pytest.approx(22.0)
    assert full["free_so2_last_read_on"] == "2026-10-02"
    assert (empty["vessel"], empty["wine"], empty["volume_litres"]) == ("Demijohn 2", None, None)


def test_what_is_due_stands_there_with_its_task(other: Database) -> None:
    due = list(other["due_actions"].rows)
    assert due
    assert {(row["vessel"], row["wine"]) for row in due} == {("Demijohn 1", "Solaris")}
    assert all(row["task"] and row["first_day"] <= row["last_day"] for row in due)


def test_a_corrected_reading_stands_there_once_as_it_was_corrected(other: Database) -> None:
    readings = list(other["readings"].rows)
    assert [(row["day"], row["hour"], row["ph"]) for row in readings if row["ph"]] == [
        ("2026-09-28", None, 3.20),
        ("2026-10-10", "08:05", 3.19),
    ]
    (strip,) = (row for row in readings if row["free_so2_mg_per_litre"])
    assert (strip["day"], strip["free_so2_mg_per_litre"], strip["method"]) == ("2026-10-02", 26.0, "titration")
    (full,) = (row for row in readings if row["alcohol_percent_by_volume"])
    assert (full["sg_20_20"], full["titratable_acidity_g_per_litre"], full["residual_sugar_g_per_litre"]) == (
        0.993,
        6.8,
        1.2,
    )


def test_additions_stand_there_with_their_unit_and_what_they_brought(other: Database) -> None:
    told = [(row["material"], row["amount"], row["amount_unit"]) for row in other["additions"].rows]
    assert told == [("yeast", 5.0, "g"), ("potassium_metabisulfite", 2.0, "g")], "the withdrawn one is not there"
    *_, sulfite = other["additions"].rows
    assert sulfite["so2_added_mg"] == pytest.approx(2000 * 0.576), "57.6 % of potassium metabisulfite is SO2"


def test_every_value_of_a_reading_has_a_column() -> None:
    (view,) = (text for text in VERSION_5 if "CREATE VIEW readings" in text)
    names = {name for name, _ in specs(k.Reading)} - OF_THE_TITRATION
    assert {name for name in names if not re.search(rf"(entry|says)\.{name}\b", view)} == set()


@pytest.mark.parametrize("name", MATERIALS)
def test_an_amount_has_the_unit_of_its_material(other: Database, name: str) -> None:
    (view,) = (text for text in VERSION_4 if "VIEW additions" in text)
    choice = re.search(r"CASE WHEN entry.material.*?END", view, flags=re.S)
    assert choice is not None
    unit = other.execute(f"SELECT {choice[0]} FROM (SELECT ? AS material) AS entry", [name]).fetchone()
    assert unit == (MATERIALS[name].unit,)


def test_the_query_printed_for_other_programs_runs_as_printed(other: Database) -> None:
    block = re.search(r"```sql\n(.*?)```", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"), flags=re.S)
    assert block is not None
    assert other.execute(block[1]).fetchall()[-1] == ("2026-10-05", "Demijohn 1", 0.993)
