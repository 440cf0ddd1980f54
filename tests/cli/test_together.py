"""Several programs on one cellar at once, and one that is cut off."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from cellar_tui.cli.main import main
from storage.check import verify
from storage.store import Store

RECORDER = """
import sys
from cellar_tui.cli.main import main
for number in range(int(sys.argv[2])):
    assert main(["record", "Demijohn 1", "note", f"text=note {sys.argv[1]} {number}"]) == 0
    print("kept", sys.argv[1], number, flush=True)
"""


@pytest.fixture
def cellar(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "cellar.db"
    monkeypatch.setenv("CELLAR_DB", str(path))
    monkeypatch.setenv("CELLAR_BY", "ida")
    assert main(["vessel", "add", "Demijohn 1", "capacity=23L", "material=glass"]) == 0
    assert main(["wine", "start", "Terrace", "vessel=Demijohn 1", "style=dry_white", "volume=22L"]) == 0
    return path


def recorder(name: str, count: int) -> subprocess.Popen[str]:
    return subprocess.Popen([sys.executable, "-c", RECORDER, name, str(count)], stdout=subprocess.PIPE, text=True)


def test_four_programs_recording_into_one_vessel_all_succeed(cellar: Path) -> None:
    running = [recorder(str(number), 5) for number in range(4)]
    assert [one.wait(60) for one in running] == [0, 0, 0, 0]
    for one in running:
        one.communicate()
    with Store.open(cellar, read_only=True) as store:
        assert sum(row.kind == "note" for row in store.entries()) == 20
    assert main(["check"]) == 0


def test_a_program_killed_while_it_saves_loses_nothing_it_said_was_kept(cellar: Path) -> None:
    one = recorder("cut", 10_000)
    assert one.stdout is not None
    kept = 0
    while kept < 25:
        line = one.stdout.readline()
        assert line, "it ended before it was cut off"
        kept += line.startswith("kept")
    os.kill(one.pid, signal.SIGKILL)
    rest, _ = one.communicate()
    kept += sum(line.startswith("kept") for line in rest.splitlines())
    assert main(["due"]) == 0
    with Store.open(cellar) as store:
        assert verify(store) == []
        assert sum(row.kind == "note" for row in store.entries()) in (kept, kept + 1)
    assert main(["check"]) == 0
