"""A temperature logger's file: thousands of rows, one entry, and a cold hold credited from all of them."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from cellar_tui.planning.coldhold import hold
from cellar_tui.planning.subject import Subject
from cellar_tui.service import clock
from cellar_tui.service.open import open_cellar
from tests.cli.conftest import Desk

NOW = datetime.combine(datetime.now().astimezone().date(), datetime.min.time())  # midnight, the civil day's own
START = NOW - timedelta(days=6)


def logged(folder: Path, warmth: Callable[[float], float], days: float, head: str = "Time,Temp (C)") -> str:
    """Write what a logger wrote every five minutes from the start: `warmth` of the days gone by."""
    rows = int(days * 288) + 1
    lines = [f"{START + timedelta(minutes=5 * i):%Y-%m-%d %H:%M},{warmth(i / 288):.2f}" for i in range(rows)]
    path = folder / "logger.csv"
    path.write_text("\n".join([head, *lines]) + "\n")
    return str(path)


@pytest.fixture
def holding(white: Desk) -> Desk:
    """The white wine in a cold hold since six days ago, at -2.8 C when it began."""
    chill = ("chill", "start=yes", "temperature=-2.8", "place=chiller", "--at", f"{START:%Y-%m-%d}T00:00")
    assert white("record", "Demijohn 1", *chill).status == 0
    return white


def credit(path: Path) -> float:
    """Return the share of the hold that is served."""
    cellar = open_cellar(path, clock.system, by="ida", read_only=True)
    try:
        view = cellar.view.wine("Demijohn 1")
    finally:
        cellar.close()
    assert view.contents is not None
    found = hold(Subject(view.contents, view.info, view.house))
    assert found is not None
    return found.credit


def entries(desk: Desk, folder: Path) -> int:
    """Return how many entries the ledger has."""
    return int(desk("export", str(folder), "--json").json["entries"])


def test_a_hold_is_credited_from_every_hour_of_the_logger(holding: Desk, path: Path, tmp_path: Path) -> None:
    """At -2.8 C a hold takes 5 days, at 2.2 C 5 x 6^(5 / 7.2) = 17.36 days (the curve of common practice).

    5.5 days at -2.8 C serve 1.1 of it. With a day at 2.2 C between, 25 hours count as warm, for between two points the
    warmer counts: 107 h / 120 h + 25 h / 416.5 h = 0.952.
    """
    assert holding("import", logged(tmp_path, lambda day: -2.8, 5.5), "--series", "Demijohn 1").status == 0
    assert credit(path) == pytest.approx(1.1, abs=0.001)
    assert holding("undo", str(entries(holding, tmp_path / "out"))).status == 0
    warmer = logged(tmp_path, lambda day: 2.2 if 1 <= day < 2 else -2.8, 5.5)
    assert holding("import", warmer, "--series", "Demijohn 1").status == 0
    assert credit(path) == pytest.approx(0.952, abs=0.001)


def test_two_hand_readings_would_have_missed_the_warm_day(holding: Desk, path: Path, tmp_path: Path) -> None:
    late = f"{START + timedelta(days=5.5):%Y-%m-%dT%H:%M}"
    assert holding("record", "Demijohn 1", "reading", "temperature=-2.8", "--at", late).status == 0
    assert credit(path) == pytest.approx(1.1, abs=0.001)
    warmer = logged(tmp_path, lambda day: 2.2 if 1 <= day < 2 else -2.8, 5.4)
    assert holding("import", warmer, "--series", "Demijohn 1").status == 0
    assert credit(path) == pytest.approx(0.952, abs=0.005)


def test_thousands_of_rows_are_one_entry_and_the_same_file_is_kept_once(holding: Desk, tmp_path: Path) -> None:
    before = entries(holding, tmp_path / "out")
    path = logged(tmp_path, lambda day: -2.8, 5.5)
    said = holding("import", path, "--series", "Demijohn 1", "--json").json
    assert entries(holding, tmp_path / "out") == before + 1
    again = holding("import", path, "--series", "Demijohn 1", "--json").json
    assert (again["already"], again["entry"]["id"]) == (True, said["entry"]["id"])
    assert entries(holding, tmp_path / "out") == before + 1
    shown = holding("show", "Demijohn 1", "--because")
    assert len(shown.out.splitlines()) < 300
    assert "-2.8" in shown.out


def test_a_series_that_is_stopped_leaves_no_row_behind(holding: Desk, path: Path, tmp_path: Path) -> None:
    """No wine was in the vessel when the logger ran: nothing of its file may stay in the cellar."""
    assert holding("vessel", "add", "Demijohn 8", "capacity=23L", "material=glass", "place=shelf").status == 0
    rows = logged(tmp_path, lambda day: -2.8, 5.5)
    said = holding("import", rows, "--series", "Demijohn 8")
    assert said.status == 3
    assert "no wine" in said.out + said.err
    with closing(sqlite3.connect(path)) as plain:
        assert plain.execute("SELECT count(*) FROM meta WHERE name LIKE 'series:%'").fetchone() == (0,)


def test_the_rows_go_with_export_backup_and_import_under_their_hash(holding: Desk, tmp_path: Path) -> None:
    source = Path(logged(tmp_path, lambda day: -2.8, 5.5)).read_text().splitlines()[1:]
    assert holding("import", str(tmp_path / "logger.csv"), "--series", "Demijohn 1").status == 0
    entries(holding, tmp_path / "out")
    (rows,) = (tmp_path / "out").glob("series-*.csv")
    assert len(rows.read_text().splitlines()) == len(source)
    other, ledger = str(tmp_path / "other.db"), str(tmp_path / "out" / "ledger.jsonl")
    assert holding("--db", other, "import", ledger).status == 0
    assert holding("--db", other, "due", "--json").json == holding("due", "--json").json
    assert holding("backup", str(tmp_path / "copy.db")).status == 0
    for copy in (other, str(tmp_path / "copy.db")):
        folder = tmp_path / f"of-{Path(copy).stem}"
        assert holding("--db", copy, "export", str(folder)).status == 0
        assert (folder / rows.name).read_bytes() == rows.read_bytes()
    rows.write_text(rows.read_text().replace("-2.8", "-2.9", 1))
    said = holding("--db", str(tmp_path / "third.db"), "import", ledger)
    assert said.status == 1
    assert "Nothing was imported" in said.err
    assert not (tmp_path / "third.db").exists()


def test_fahrenheit_counts_as_its_head_says(holding: Desk, path: Path, tmp_path: Path) -> None:
    """27 F is -2.78 C, where a hold takes 5 x 6^(0.02 / 7.2) = 5.02 days."""
    rows = logged(tmp_path, lambda day: 27.0, 5.5, "Time,Temp (F)")
    assert holding("import", rows, "--series", "Demijohn 1").status == 0
    assert credit(path) == pytest.approx(1.095, abs=0.005)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("Time,Temp (C)\n2026-11-01 10:00,-2.8\n2026-11-01 10:05,88\n", "Row 3"),
        ("Time,Temp (C)\n2026-11-01,-2.8\n", "hour is missing"),
        ("Time,Temp (C)\n01/11/2026 10:00,-2.8\n", "--dates"),
        ("Stamp,Probe 1\n2026-11-01 10:00,-2.8\n", "Stamp, Probe 1"),
        ("Time,Temp (C)\n", "no temperature"),
    ],
)
def test_a_row_that_is_no_temperature_of_a_wine_stops_the_whole_file(
    holding: Desk, tmp_path: Path, text: str, told: str
) -> None:
    path = tmp_path / "logger.csv"
    path.write_text(text)
    before = entries(holding, tmp_path / "out")
    said = holding("import", str(path), "--series", "Demijohn 1")
    assert said.status == 1
    assert told in said.err
    assert entries(holding, tmp_path / "out") == before


def test_heads_of_a_logger_can_be_named(holding: Desk, tmp_path: Path) -> None:
    path = tmp_path / "logger.csv"
    path.write_text(f"Stamp,Probe 1 (C)\n{START:%d.%m.%Y} 10:00,-2.5\n{START:%d.%m.%Y} 11:00,-2.6\n")
    named = ("--map", "Stamp=date", "--map", "Probe 1 (C)=temperature", "--dates", "DMY")
    said = holding("import", str(path), "--series", "Demijohn 1", *named)
    assert said.status == 0, said.err
    assert "2 temperatures of a logger" in said.out


def test_rows_that_were_changed_are_found_by_the_check_and_by_a_backup(
    holding: Desk, path: Path, tmp_path: Path
) -> None:
    assert holding("import", logged(tmp_path, lambda _: -2.8, 1), "--series", "Demijohn 1").status == 0
    assert holding("check").status == 0
    with closing(sqlite3.connect(path, isolation_level=None)) as plain:
        plain.execute("UPDATE meta SET value = replace(value, '-2.8', '-2.9') WHERE name LIKE 'series:%'")
    said = holding("check")
    assert said.status == 4
    assert "rows of the series of entry 7" in said.out
    assert holding("backup", str(tmp_path / "copy.db")).status == 4
