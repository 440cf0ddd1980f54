"""A cellar read without this program: the queries that are printed for it run on a plain, read-only connection."""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing
from pathlib import Path

from tests import one_wine

ROOT = Path(__file__).resolve().parents[2]


def test_the_queries_for_other_programs_read_board_due_actions_and_readings(tmp_path: Path) -> None:
    one_wine.cellar(tmp_path).close()
    block = re.search(r"```sql\n(.*?)```", (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8"), flags=re.S)
    assert block is not None
    queries = [one for one in block[1].split(";") if one.strip()]
    with closing(sqlite3.connect(f"file:{tmp_path / 'cellar.db'}?mode=ro", uri=True)) as plain:
        plain.row_factory = sqlite3.Row
        vessels, due, readings = (plain.execute(query).fetchall() for query in queries)
    assert [(row["vessel"], row["wine"]) for row in vessels] == [("Demijohn 1", "Solaris"), ("Demijohn 2", None)]
    assert {row["vessel"] for row in due} == {"Demijohn 1"}
    told = [(row["day"], row["ph"], row["free_so2_mg_per_litre"]) for row in readings]
    assert ("2026-09-28", 3.20, None) in told
    assert ("2026-10-02", None, 26.0) in told
    assert [row["titratable_acidity_g_per_litre"] for row in readings][-1] == 6.8
