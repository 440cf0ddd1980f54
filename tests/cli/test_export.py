"""A cellar written into files and taken back: the same plan, verdicts, numbers and chain; nothing half done."""

from __future__ import annotations

import csv
import io
import json
import stat
from pathlib import Path

import pytest

from cellar_tui.exchange import columns, sheets_out
from cellar_tui.language.parse_entry import field_name
from cellar_tui.ledger.cellar_kinds import RECORDED
from cellar_tui.ledger.fields import specs
from cellar_tui.service import clock
from cellar_tui.service.open import create_cellar
from tests.cli.conftest import Desk

DEMO = Path(__file__).resolve().parents[2] / "demo_cellar.db"
DAY = "2026-11-26"


@pytest.fixture
def demo(path: Path) -> Path:
    """The demo cellar, sixteen vessels and two years of entries."""
    path.write_bytes(DEMO.read_bytes())
    return path


def written(desk: Desk, folder: Path) -> list[str]:
    """Export the cellar and return the lines of its ledger."""
    said = desk("export", str(folder))
    assert said.status == 0, said.err
    return (folder / "ledger.jsonl").read_text(encoding="utf-8").splitlines()


def sheet(folder: Path, kind: str) -> list[dict[str, str]]:
    """Return the rows of an exported sheet as any reader of CSV has them."""
    with (folder / f"{kind}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_a_ledger_taken_into_an_empty_cellar_gives_the_same_plan_verdicts_numbers_and_chain(
    demo: Path, desk: Desk, tmp_path: Path
) -> None:
    lines = written(desk, tmp_path / "out")
    other = str(tmp_path / "other.db")
    said = desk("--db", other, "import", str(tmp_path / "out" / "ledger.jsonl"))
    assert said.status == 0, said.err
    assert desk("due", "--json", "--on", DAY).json == desk("--db", other, "due", "--json", "--on", DAY).json
    names = [row["name"] for row in sheet(tmp_path / "out", "vessel")]
    assert len(names) > 10
    for name in names:
        here, there = (desk(*db, "show", name, "--on", DAY, "--json").json for db in ((), ("--db", other)))
        assert here == there
    assert desk("--db", other, "check").status == 0
    assert written(lambda *words: desk("--db", other, *words), tmp_path / "again") == lines


def test_a_cellar_that_was_only_opened_takes_a_ledger_and_one_with_entries_refuses_it(
    demo: Path, desk: Desk, tmp_path: Path
) -> None:
    written(desk, tmp_path / "out")
    other, ledger = str(tmp_path / "other.db"), str(tmp_path / "out" / "ledger.jsonl")
    create_cellar(other, clock.system, by="ida").close()
    assert desk("--db", other, "import", ledger).status == 0
    assert desk("due", "--json", "--on", DAY).json == desk("--db", other, "due", "--json", "--on", DAY).json
    before = Path(other).read_bytes()
    again = desk("--db", other, "import", ledger)
    assert again.status == 1
    assert "empty cellar" in again.err
    assert Path(other).read_bytes() == before


def test_a_ledger_with_a_problem_of_the_wine_is_taken_in_with_its_problem(white: Desk, tmp_path: Path) -> None:
    """A measured total that differs from the sum is told beside its entry; the ledger is sound."""
    assert white("record", "Demijohn 1", "reading", "total_so2=70").status == 0
    written(white, tmp_path / "out")
    other = str(tmp_path / "other.db")
    assert white("--db", other, "import", str(tmp_path / "out" / "ledger.jsonl")).status == 0
    told = [desk_of.json["problems"] for desk_of in (white("check", "--json"), white("--db", other, "check", "--json"))]
    assert told[0] == told[1] != []


@pytest.mark.parametrize("fault", ["changed", "lost", "foreign", "cut", "unknown kind", "not JSON"])
def test_a_ledger_that_is_not_what_was_written_leaves_no_cellar_behind(white: Desk, tmp_path: Path, fault: str) -> None:
    lines = written(white, tmp_path / "out")
    entry = json.loads(lines[3])
    broken = {
        "changed": [*lines[:3], lines[3].replace("22.7", "23.7"), *lines[4:]],
        "lost": [*lines[:2], *lines[3:]],
        "foreign": [*lines, lines[-1]],
        "cut": [*lines[:-1], lines[-1][:-20]],
        "unknown kind": [*lines[:3], json.dumps(entry | {"kind": "dance"}), *lines[4:]],
        "not JSON": [*lines[:3], "{}", *lines[4:]],
    }[fault]
    assert broken != lines
    ledger = tmp_path / "broken.jsonl"
    ledger.write_text("\n".join(broken) + "\n", encoding="utf-8")
    said = white("--db", str(tmp_path / "other.db"), "import", str(ledger))
    assert said.status == 1
    assert "nothing was imported" in said.err
    assert len(said.err.splitlines()) == 1
    assert [one.name for one in tmp_path.glob("*other*")] + [one.name for one in tmp_path.glob(".other*")] == []


def test_an_export_is_read_by_its_owner_alone_and_renews_an_older_one(white: Desk, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    first = written(white, folder)
    assert {stat.S_IMODE(one.stat().st_mode) for one in folder.iterdir()} == {0o600}
    assert white("record", "Demijohn 1", "note", "text=racked soon").status == 0
    assert written(white, folder)[: len(first)] == first
    assert [row["text"] for row in sheet(folder, "note")] == ["racked soon"]
    assert not [one for one in folder.iterdir() if one.name.startswith(".")]


def test_a_folder_with_anything_else_in_it_is_refused_and_left_alone(white: Desk, tmp_path: Path) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "photo.txt").write_text("mine")
    said = white("export", str(folder))
    assert said.status == 1
    assert "photo.txt" in said.err
    assert [one.name for one in folder.iterdir()] == ["photo.txt"]
    (folder / "photo.txt").unlink()
    (folder / "ledger.jsonl").symlink_to(tmp_path / "elsewhere")
    assert white("export", str(folder)).status == 1
    assert not (tmp_path / "elsewhere").exists()


@pytest.mark.parametrize("text", ["=1+1", "+49 30", "-5 C at night", "@home", "'quoted", "'=x", 'plain, with; "all"'])
def test_no_text_of_a_sheet_is_a_formula_and_each_comes_back_as_it_was(white: Desk, tmp_path: Path, text: str) -> None:
    assert white("record", "Demijohn 1", "note", f"text={text}").status == 0
    written(white, tmp_path / "out")
    (row,) = sheet(tmp_path / "out", "note")
    assert row["text"][0] not in "=+-@"
    said = white("import", str(tmp_path / "out" / "note.csv"), "--json")
    assert [one["state"] for one in said.json["rows"]] == ["already"]


def test_a_negative_number_stays_a_number_in_a_sheet(white: Desk, tmp_path: Path) -> None:
    assert white("record", "Demijohn 1", "reading", "temperature=-2.5").status == 0
    written(white, tmp_path / "out")
    assert sheet(tmp_path / "out", "reading")[-1]["temperature (C)"] == "-2.5"


def test_sheets_hold_what_stands_each_with_its_unit_and_end_their_lines_as_the_standard_has_it(
    white: Desk, tmp_path: Path
) -> None:
    dosed = white("record", "Demijohn 1", "addition", "material=potassium_metabisulfite", "amount=2g", "--json").json
    wrong = white("record", "Demijohn 1", "note", "text=on the wrong vessel", "--json").json["entry"]["id"]
    assert white("undo", str(wrong)).status == 0
    written(white, tmp_path / "out")
    (row,) = sheet(tmp_path / "out", "addition")
    assert (row["entry"], row["amount"], row["amount unit"]) == (str(dosed["entry"]["id"]), "2", "g")
    assert float(row["SO2 added (mg)"]) == pytest.approx(1152)  # 57.6 % of 2 g, the share of contract and label
    assert row["wine in it"] == "Terrace"
    assert not (tmp_path / "out" / "note.csv").exists()
    raw = (tmp_path / "out" / "addition.csv").read_bytes()
    assert raw.count(b"\r\n") == raw.count(b"\n") == 2
    assert len(list(csv.reader(io.StringIO(raw.decode(), newline=""), strict=True))) == 2


def test_every_kind_and_every_field_has_a_column() -> None:
    for kind, body in RECORDED.items():
        heads = sheets_out.heads(kind)
        assert len(heads) == len(set(heads))
        meant = [one for one in columns.read(heads, {}, {}) if one is not None]
        named = {one.field for one in meant}
        assert {field_name(one) for one in named} >= {name for name, _ in specs(body)}, kind
