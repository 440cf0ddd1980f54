"""The lines of the README for cron, a timer and a prompt run as they are written."""

from __future__ import annotations

import configparser
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.readme import README

ROOT = README.parent
Run = Callable[[str], subprocess.CompletedProcess[str]]


def written(begin: str) -> str:
    """Return the block of the README that holds a line beginning so."""
    blocks = re.findall(r"^```\n(.*?)^```$", README.read_text(encoding="utf-8"), flags=re.S | re.M)
    (found,) = [one for one in blocks if any(line.startswith(begin) for line in one.splitlines())]
    return str(found)


@pytest.fixture
def run(tmp_path: Path) -> Run:
    """Run a line as cron does: a bare shell, a home with the program in it; the printer keeps a copy."""
    home, tools = tmp_path / "home", tmp_path / "tools"
    (home / ".local/bin").mkdir(parents=True)
    tools.mkdir()
    program = home / ".local/bin/cellar-tui"
    program.write_text(f'#!/bin/sh\ncd {ROOT} && exec {sys.executable} -m cellar_tui "$@"\n')
    printer = tools / "lp"
    printer.write_text(f'#!/bin/sh\ncat "$1" > {tmp_path}/printed\n')
    for one in (program, printer):
        one.chmod(0o755)

    def line(command: str) -> subprocess.CompletedProcess[str]:
        where = {"HOME": str(home), "PATH": f"/usr/bin:/bin:{tools}", "LOGNAME": "ida", "CELLAR_BY": "ida"}
        return subprocess.run(["/bin/sh", "-c", command], capture_output=True, text=True, env=where)

    begun = "$HOME/.local/bin/cellar-tui"
    assert line(f"{begun} vessel add 'Demijohn 1' capacity=24L material=glass").returncode == 0
    known = "style=dry_white volume=20L finished=yes malolactic=none total_so2=40"
    assert line(f"{begun} wine start Terrace 'vessel=Demijohn 1' {known} --at -40d").returncode == 0
    return line


def test_the_line_for_cron_prints_what_cron_mails(run: Run) -> None:
    (schedule,) = [one for one in written("MAILTO=").splitlines() if one[:1].isdigit()]
    minute, hour, day, month, weekday, command = schedule.split(" ", 5)
    assert (minute, hour, day, month, weekday) == ("0", "7", "*", "*", "*")
    said = run(command)
    assert (said.returncode, said.stderr) == (0, "")
    assert "Demijohn 1" in said.stdout


def test_the_timer_prints_the_round(run: Run, tmp_path: Path) -> None:
    unit = configparser.ConfigParser(interpolation=None)
    unit.optionxform = str  # type: ignore[assignment,method-assign]
    unit.read_string(written("ExecStart="))
    command = unit["Service"]["ExecStart"].replace("%h", "$HOME").replace("%t", str(tmp_path))
    said = run(command.removeprefix("/bin/sh -c '").removesuffix("'"))
    assert said.returncode == 0, said.stderr
    assert "Demijohn 1 · Terrace" in (tmp_path / "printed").read_text(encoding="utf-8")
    timer = configparser.ConfigParser(interpolation=None)
    timer.read_string(written("OnCalendar="))
    assert timer["Timer"]["oncalendar"] == "*-*-* 07:00"
    assert timer["Install"]["wantedby"] == "timers.target"


def test_the_line_for_a_prompt_is_one_line(run: Run) -> None:
    found = re.search(r"#\((.*)\)", written("set -g status-right"))
    assert found is not None
    said = run(f"PATH=$HOME/.local/bin:$PATH; {found[1]}")
    assert re.fullmatch(r"[0-9]+ late, [0-9]+ today\n", said.stdout)
