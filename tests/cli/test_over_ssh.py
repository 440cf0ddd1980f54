"""What a key may ask for over SSH: the dashboard, a look, a backup; no file, no other cellar, nobody else's name."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from cellar_tui.cli import dashboard
from cellar_tui.cli.arguments import COMMANDS, UsageError
from cellar_tui.cli.over_ssh import LOOKS, permitted
from cellar_tui.service.open import OpenCellar
from storage.store import Store
from tests.cli.conftest import Desk


@pytest.mark.parametrize(
    ("asked", "given"),
    [
        ("", []),
        ("cellar-tui", []),
        ("wall", ["--wall"]),
        ("due", ["due"]),
        ("cellar-tui due --within 14 --json", ["due", "--within=14", "--json"]),
        ("show 'Demijohn 1' --because", ["show", "--because", "--", "Demijohn 1"]),
        ("show -- --db", ["show", "--", "--db"]),
        ("backup -", ["backup", "-"]),
    ],
)
def test_what_may_be_asked_for(asked: str, given: list[str]) -> None:
    assert permitted(asked) == given


@pytest.mark.parametrize(
    "asked",
    [
        *("sh", "bash -i", "/usr/lib/openssh/sftp-server", "internal-sftp", "scp -t .", "rsync --server", "wall ; sh"),
        *(
            "due --db /etc/passwd",
            "due --db=/etc/passwd",
            "due --by ida",
            "due --ics /srv/x",
            "due extra",
            "show",
            "show A B",
        ),
        *("backup /srv/copy.db", "backup - extra", "restore x", "export /srv", "import x", "record B1 gas", "rebuild"),
        *("check", "demo", "ssh-command ida", "--db x", "show 'A", "due | sh", "due > /srv/x", "due && sh", "due\nsh"),
    ],
)
def test_all_else_is_refused(asked: str) -> None:
    with pytest.raises(UsageError, match="over this key there are"):
        permitted(asked)


def test_no_option_that_may_be_asked_for_names_a_file() -> None:
    known = {one.words: {*one.options, "--json"} for one in COMMANDS}
    for command, options in LOOKS.items():
        assert "--ics" not in options
        assert known[command] & options, "they are options of the command"


def test_a_look_over_ssh_is_the_look_itself(white: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SSH_ORIGINAL_COMMAND", "show 'Demijohn 1' --json")
    assert white("ssh-command", "ida").json == white("show", "Demijohn 1", "--json").json
    monkeypatch.setenv("SSH_ORIGINAL_COMMAND", "sh")
    said = white("ssh-command", "ida")
    assert (said.status, said.out) == (2, "")
    assert said.err.count("\n") == 1


def test_the_dashboard_over_ssh_records_as_the_person_of_the_key(
    white: Desk, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found: list[str] = []

    def run_app(service: OpenCellar, **how: object) -> int:
        found.append(service.by)
        return 0

    monkeypatch.delenv("SSH_ORIGINAL_COMMAND", raising=False)
    monkeypatch.setattr(dashboard, "_terminal", lambda: None)
    monkeypatch.setattr("cellar_tui.tui.app.run_app", run_app)
    assert white("ssh-command", "Jo Example").status == 0
    assert found == ["Jo Example"]


def test_a_backup_over_ssh_is_a_cellar(white: Desk, path: Path, tmp_path: Path) -> None:
    words = [sys.executable, "-m", "cellar_tui", "ssh-command", "ida"]
    done = subprocess.run(words, check=True, capture_output=True, env=os.environ | {"SSH_ORIGINAL_COMMAND": "backup -"})
    (tmp_path / "over.db").write_bytes(done.stdout)
    with Store.open(tmp_path / "over.db") as store:
        assert store.count() == 5


def test_as_a_login_shell_it_runs_nothing(white: Desk, path: Path) -> None:
    said = white("-c", "cat /etc/passwd")
    assert said.status == 2
    assert said.out == ""
    assert "no shell" in said.err


def test_without_a_terminal_it_names_the_option_that_gives_one(white: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SSH_CONNECTION", "192.0.2.1 50000 192.0.2.2 22")
    monkeypatch.delenv("SSH_ORIGINAL_COMMAND", raising=False)
    said = white("ssh-command", "ida")
    assert said.status == 1
    assert "ssh -t" in said.err
