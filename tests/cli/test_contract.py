"""The command line keeps to its contract: names, shapes, exit status."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from cellar_tui.cli.main import main


@pytest.fixture(autouse=True)
def cellar(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setenv("CELLAR_DB", str(tmp_path / "cellar.db"))
    monkeypatch.setenv("CELLAR_BY", "ida")
    assert main(["vessel", "add", "Demijohn 1", "capacity=23L", "material=glass"]) == 0
    start = ["wine", "start", "Terrace", "vessel=Demijohn 1", "style=sweet_white", "volume=22L", "finished=yes"]
    assert main([*start, "alcohol=12", "total_so2=60", "--at", "-30d"]) == 0
    capsys.readouterr()


def told(capsys: pytest.CaptureFixture[str]) -> Any:
    return json.loads(capsys.readouterr().out)


def test_a_reading_answers_with_the_wine_before_and_after(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", "demijohn 1", "reading", "ph=3,2", "free_so2=28", "--json", "--at", "-3d"]) == 0
    answer = told(capsys)
    assert answer["entry"]["id"] == 4
    assert answer["after"]["ph"] == 3.2
    assert answer["before"]["ph"] is None
    assert {"before", "after", "plan_changes", "cautions", "stopped_by"} <= set(answer)


def test_a_finished_wine_cannot_be_sweetened_before_its_sorbate(capsys: pytest.CaptureFixture[str]) -> None:
    sugar = ["record", "Demijohn 1", "addition", "material=sugar", "amount=500g", "--json"]
    assert main(sugar) == 3
    answer = told(capsys)
    assert [stop["guard"] for stop in answer["stopped_by"]] == ["sugar_before_sorbate"]
    assert answer["stopped_by"][0]["waivable"] is True
    assert answer["entry"]["id"] is None
    assert main([*sugar, "--waive", "goes through a sterile filter tomorrow"]) == 0
    assert told(capsys)["entry"]["waived"] == "goes through a sterile filter tomorrow"


def test_a_key_used_again_answers_with_the_first_entry(capsys: pytest.CaptureFixture[str]) -> None:
    note = ["record", "Demijohn 1", "note", "text=looks fine", "--key", "one", "--json"]
    assert main(note) == 0
    first = told(capsys)["entry"]["id"]
    assert main(note) == 0
    again = told(capsys)
    assert (again["entry"]["id"], again["already"]) == (first, True)


def test_every_fault_of_a_reading_is_told_at_once(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", "Demijohn 1", "reading", "ph=9", "free_so2=5kg", "colour=red", "--json"]) == 1
    message = told(capsys)["error"]["message"]
    assert "ph 9" in message
    assert "kg" in message
    assert "colour" in message


def test_due_lists_what_is_asked_of_a_wine_that_came_finished(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["due", "--json"]) == 0
    items = told(capsys)
    assert "so2_recheck" in {item["action"] for item in items}
    wanted = {"vessel", "wine", "action", "due", "window", "show", "status", "why", "dose", "entries", "postponed"}
    assert all(set(item) == wanted for item in items)


def test_undo_of_an_undo_brings_the_entry_back(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", "Demijohn 1", "reading", "ph=3.2"]) == 0
    assert main(["undo", "4"]) == 0
    capsys.readouterr()
    assert main(["show", "Demijohn 1", "--json"]) == 0
    assert told(capsys)["readings"] == {}
    assert main(["undo", "5"]) == 0
    capsys.readouterr()
    assert main(["show", "Demijohn 1", "--json"]) == 0
    assert told(capsys)["readings"]["ph"]["value"] == 3.2
    assert main(["check"]) == 0


def test_a_wrong_command_line_is_status_two(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["record", "Demijohn 1", "reading", "ph", "--json"]) == 2
    assert told(capsys)["error"]["field"] is None
    assert main(["brew"]) == 2


def test_free_so2_needed_is_worked_out_with_its_source(capsys: pytest.CaptureFixture[str]) -> None:
    # 31.9 mg/L at pH 3.40 for 0.8 mg/L molecular: Henderson-Hasselbalch with pKa 1.81, computed.
    assert main(["calc", "free_so2_needed", "ph=3.40", "molecular_so2=0.8", "--json"]) == 0
    answer = told(capsys)
    assert answer["result"]["free_so2"]["value"] == pytest.approx(31.9, abs=0.1)
    assert answer["source"]


def test_the_command_line_loads_nothing_heavy(tmp_path: Path) -> None:
    program = (
        "import sys\nfrom cellar_tui.cli.main import main\nassert main(['due']) == 0\n"
        "heavy = {'textual', 'rich', 'pint', 'numpy', 'sqlite_utils', 'click', 'dateutil.parser'} & set(sys.modules)\n"
        "sys.exit(repr(heavy) if heavy else 0)"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
