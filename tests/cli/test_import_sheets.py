"""Sheets as cellars keep them, taken in row by row: a verdict for each, one save, all of it or nothing, never twice."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from cellar_tui.exchange.sheet_file import MOST_ROWS
from tests.cli.conftest import Desk

SEMICOLONS = """Vessel;Date;pH;Free SO2 (mg/L);Temp [F];Notes
Demijohn 1;26.10.2026;3,31;28,5;55;"smells clean; no film"
Demijohn 1;2.11.2026;3,32;26;;
"""
TABS = "Date\tCarboy\tKind\tTest\tResult\n2026-10-26\tDemijohn 1\tcheck\tclarity\tpass\n"
MERGED = """Cellar book,,,,
,,,SO2,
Day,Vessel,pH,free,total
10/26/2026,Demijohn 1,3.31,28,40
"""
TWO_HEADS = """Vessel,Date,SO2,
,,free,total
Demijohn 1,10/26/2026,28,40
"""
ADDITIONS = """vessel,date,time,potassium_metabisulfite (g),who
Demijohn 1,26-Oct-26,2:30 PM,1.2,jon
"""


def made(folder: Path, text: str, encoding: str = "utf-8") -> str:
    """Write a sheet and return its path."""
    path = folder / "sheet.csv"
    path.write_bytes(text.encode(encoding))
    return str(path)


def last_readings(desk: Desk) -> dict[str, Any]:
    """Return the last readings of the wine."""
    found: dict[str, Any] = desk("show", "Demijohn 1", "--json").json["readings"]
    return found


@pytest.mark.parametrize(
    ("text", "encoding", "options", "bad"),
    [
        (SEMICOLONS, "cp1252", ("--dates", "DMY"), "Demijohn 1;26.10.2026;33,1;;;\n"),
        (TABS, "utf-16", (), "2026-10-26\tDemijohn 1\tcheck\tclarity\tsplendid\n"),
        (
            MERGED,
            "utf-8-sig",
            ("--dates", "MDY", "--map", "free=free_so2", "--map", "total=total_so2"),
            "10/26/2026,Cask 9,3.3,,\n",
        ),
        (
            TWO_HEADS,
            "utf-8",
            ("--dates", "MDY", "--map", "SO2 free=free_so2", "--map", "SO2 total=total_so2"),
            "Demijohn 1,13/40/2026,28,\n",
        ),
        (ADDITIONS, "utf-8", (), 'Demijohn 1,26-Oct-26,,"1.234,5",\n'),
    ],
    ids=["semicolons and commas", "tabs in UTF-16", "titles above the heads", "merged heads", "materials as columns"],
)
def test_a_sheet_is_taken_in_whole_and_with_a_bad_row_not_at_all(
    white: Desk, tmp_path: Path, text: str, encoding: str, options: tuple[str, ...], bad: str
) -> None:
    before = white("export", str(tmp_path / "before"), "--json").json["entries"]
    said = white("import", made(tmp_path, text + bad, encoding), *options)
    assert said.status == 1
    assert ("ERROR" in said.out) or said.err
    assert white("export", str(tmp_path / "before"), "--json").json["entries"] == before
    preview = white("import", made(tmp_path, text, encoding), *options, "--preview", "--json").json
    assert (preview["saved"], preview["wrong"]) == (False, 0)
    kept = white("import", made(tmp_path, text, encoding), *options, "--json").json
    assert kept["saved"]
    assert kept["new"] == preview["new"] > 0
    after = white("export", str(tmp_path / "before"), "--json").json["entries"]
    assert after == before + kept["new"]
    again = white("import", made(tmp_path, text, encoding), *options, "--json").json
    assert (again["new"], again["already"]) == (0, kept["new"])
    assert white("export", str(tmp_path / "before"), "--json").json["entries"] == after
    assert white("check").status == 0


def test_each_cell_means_what_its_head_and_its_own_unit_say(white: Desk, tmp_path: Path) -> None:
    rows = white("import", made(tmp_path, SEMICOLONS), "--dates", "DMY", "--json").json["rows"]
    assert [one["says"] for one in rows] == [
        "temperature 12.8 C, pH 3.31, free SO2 28 mg/L",
        "smells clean; no film",
        "pH 3.32, free SO2 26 mg/L",
    ]
    assert [one["on"] for one in rows] == ["2026-10-26", "2026-10-26", "2026-11-02"]
    assert last_readings(white)["ph"]["value"] == 3.30  # the reading of three days ago is newer


def test_day_and_month_are_asked_for_and_never_guessed(white: Desk, tmp_path: Path) -> None:
    sheet = made(tmp_path, "Vessel,Date,pH\nDemijohn 1,11/10/2026,3.3\n")
    said = white("import", sheet)
    assert said.status == 1
    assert "which number is the day" in said.err
    assert "Only" not in said.err
    assert white("import", sheet, "--dates", "DMY", "--json").json["rows"][0]["on"] == "2026-10-11"
    proven = white("import", made(tmp_path, "Vessel,Date,pH\nDemijohn 1,11/26/2026,3.3\n"))
    assert "Only --dates MDY fits" in proven.err


def test_a_head_that_is_not_understood_is_asked_for_once_and_remembered_with_the_cellar(
    white: Desk, tmp_path: Path
) -> None:
    text = "Vessel,Date,Acidity reading,Colour card\nDemijohn 1,2026-10-26,3.35,7\n"
    said = white("import", made(tmp_path, text))
    assert said.status == 1
    assert "Acidity reading, Colour card" in said.err
    mapped = ("--map", "Acidity reading=ph", "--map", "Colour card=-")
    assert white("import", made(tmp_path, text), *mapped).status == 0
    later = "Vessel,Date,Acidity reading,Colour card\nDemijohn 1,2026-10-27,3.36,7\n"
    assert white("import", made(tmp_path, later), "--json").json["new"] == 1


def test_two_columns_of_one_meaning_are_refused_and_none_is_lost(white: Desk, tmp_path: Path) -> None:
    said = white("import", made(tmp_path, "Vessel,Date,pH,pH\nDemijohn 1,2026-10-26,3.3,3.4\n"))
    assert said.status == 1
    assert "say the same" in said.err


def test_rows_see_what_the_rows_before_them_did(white: Desk, tmp_path: Path) -> None:
    """22.7 L less 10 L leave 12.7 L; a loss of 13 L after it does not exist."""
    text = "vessel,date,kind,volume (L)\nDemijohn 1,2026-11-01,loss,10\nDemijohn 1,2026-11-02,loss,13\n"
    said = white("import", made(tmp_path, text), "--json")
    assert said.status == 3
    assert [one["state"] for one in said.json["rows"]] == ["new", "stopped"]
    assert not said.json["saved"]


def test_a_stop_passes_with_a_reason_and_one_undo_takes_the_import_back(white: Desk, tmp_path: Path) -> None:
    text = "vessel,date,potassium_metabisulfite (g)\nDemijohn 1,2026-11-01,9\nDemijohn 1,2026-11-02,1\n"
    assert white("import", made(tmp_path, text)).status == 3
    kept = white("import", made(tmp_path, text), "--waive", "as it stands in the old book", "--json").json
    assert kept["saved"]
    total = white("show", "Demijohn 1", "--json").json["totals"]["so2_added_mg_l"]
    assert total > 200
    assert white("undo", str(kept["rows"][1]["entry"])).status == 0
    assert white("show", "Demijohn 1", "--json").json["totals"]["so2_added_mg_l"] == 0


def test_two_like_rows_are_two_entries_and_are_known_as_two(white: Desk, tmp_path: Path) -> None:
    text = "vessel,date,ph\nDemijohn 1,2026-11-01,3.31\nDemijohn 1,2026-11-01,3.31\n"
    assert white("import", made(tmp_path, text), "--json").json["new"] == 2
    assert white("import", made(tmp_path, text), "--json").json["already"] == 2
    more = white("import", made(tmp_path, text + "Demijohn 1,2026-11-01,3.31\n"), "--json").json
    assert (more["already"], more["new"]) == (2, 1)


@pytest.mark.parametrize(
    ("content", "told"),
    [
        (b"", "no row of heads"),
        (b"just one cell\n", "no row of heads"),
        (b"Vessel,pH\nDemijohn 1,3.3\n", "column for the date"),
        (b'Vessel,Date,pH\nDemijohn 1,2026-10-26,"' + b"3" * 140_000, "no sheet that can be read"),
        (b"Vessel,Date,pH\nDemijohn 1,2026-10-26,3.3,9,9\n", "more cells than there are heads"),
    ],
    ids=["empty", "one cell", "no date", "endless field", "too many cells"],
)
def test_what_is_no_sheet_gets_one_sentence(white: Desk, tmp_path: Path, content: bytes, told: str) -> None:
    path = tmp_path / "sheet.csv"
    path.write_bytes(content)
    said = white("import", str(path))
    assert said.status == 1
    assert told in said.err
    assert len(said.err.splitlines()) == 1


def test_control_signs_in_a_cell_reach_neither_ledger_nor_terminal(white: Desk, tmp_path: Path) -> None:
    text = "Vessel,Date,Notes,Who\nDemijohn 1,2026-10-26,\x1b]0;x\x07 clear \u202e,\x1b[2Jjon\n"
    said = white("import", made(tmp_path, text))
    assert said.status == 0
    assert "\x1b" not in said.out
    white("export", str(tmp_path / "out"))
    assert not any(sign in (tmp_path / "out" / "note.csv").read_text() for sign in ("\x1b", "\x07", "\u202e"))


def test_a_sheet_of_endless_rows_is_refused_before_it_fills_the_memory(white: Desk, tmp_path: Path) -> None:
    path = tmp_path / "sheet.csv"
    with path.open("w", encoding="utf-8") as file:
        file.write("vessel,date,ph\n")
        file.writelines("Demijohn 1,2026-10-26,3.3\n" for _ in range(MOST_ROWS + 1))
    said = white("import", str(path))
    assert said.status == 1
    assert "--series" in said.err
