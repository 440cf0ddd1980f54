"""Which file is the cellar, who may make it, and when the full screen is refused."""

from __future__ import annotations

import os
import subprocess
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path
from threading import Timer

import pytest

from cellar_tui.cli import dashboard, where
from cellar_tui.demo.day import STORY_DAY
from cellar_tui.service import clock
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError
from storage.store import Store
from tests.cli.conftest import Desk

Opened = list[tuple[OpenCellar, str, bool]]
"""What the full screen was opened on: service, title, and whether it is called invented."""

TUB = ("vessel", "add", "Tub", "capacity=60L", "material=plastic")


def test_a_cellar_is_made_with_its_first_vessel_and_the_program_says_where(desk: Desk, path: Path) -> None:
    said = desk(*TUB)
    assert said.status == 0
    assert f"A new cellar was made at {path}." in said.err
    assert path.stat().st_mode & 0o077 == 0
    assert "made" not in desk("vessel", "add", "Vat", "capacity=9L", "material=steel").err


@pytest.mark.parametrize(
    "words",
    [
        ("due",),
        ("show", "Tub"),
        ("record", "Tub", "note", "text=a"),
        ("undo", "1"),
        ("amend", "1", "ph=3"),
        ("rule",),
        ("rule", "set", "dry_sg=0.99"),
        ("material",),
        ("material", "set", "sugar", "amount=1kg"),
        ("check",),
        ("backup", "copy.db"),
        ("vessel", "retire", "Tub"),
        ("wine", "start", "Plum", "vessel=Tub", "style=dry_fruit", "volume=9L"),
    ],
)
def test_no_other_command_makes_one(desk: Desk, path: Path, words: tuple[str, ...]) -> None:
    said = desk(*words, "--json")
    assert said.status == 1
    assert "no cellar at" in said.json["error"]["message"]
    assert not path.exists()


def test_the_file_is_named_by_option_else_by_the_environment_else_in_the_data_folder(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("CELLAR_DB", str(tmp_path / "own.db"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("HOME", str(tmp_path))
    assert where.database(str(tmp_path / "named.db")) == tmp_path / "named.db"
    assert where.database("~/named.db") == tmp_path / "named.db"
    assert where.database(None) == tmp_path / "own.db"
    monkeypatch.delenv("CELLAR_DB")
    assert where.database(None) == tmp_path / "data" / "cellar-tui" / "cellar.db"
    monkeypatch.delenv("XDG_DATA_HOME")
    assert where.database(None) == tmp_path / ".local/share/cellar-tui/cellar.db"


def test_options_stand_before_or_after_the_command(desk: Desk, tmp_path: Path) -> None:
    other = str(tmp_path / "other.db")
    assert desk("--db", other, *TUB).status == 0
    assert desk("show", "Tub", "--json", "--db", other).json["vessel"] == "Tub"
    assert desk("--json", f"--db={other}", "show", "Tub").json["vessel"] == "Tub"


def test_a_file_that_is_no_cellar_is_refused_and_left_alone(desk: Desk, path: Path) -> None:
    path.write_text("shopping: corks, citric acid\n")
    said = desk("due", "--json")
    assert said.status == 4
    assert "not a cellar file" in said.json["error"]["message"]
    assert path.read_text() == "shopping: corks, citric acid\n"


@pytest.mark.parametrize("words", [[], ["demo"]])
@pytest.mark.parametrize("term", ["dumb", "xterm"])
def test_the_full_screen_is_refused_in_a_pipe(path: Path, words: list[str], term: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "cellar_tui", *words],
        capture_output=True,
        text=True,
        check=False,
        stdin=subprocess.DEVNULL,
        env=os.environ | {"TERM": term},
    )
    assert done.returncode == 1
    assert "needs a terminal" in done.stderr
    assert "Traceback" not in done.stderr
    assert not path.exists()


def test_where_a_server_draws_the_screen_no_terminal_is_asked_for(desk: Desk, path: Path) -> None:
    """The library's driver for browsers speaks first, and nothing may go before its first line."""
    assert desk(*TUB).status == 0
    env = {**os.environ, "TEXTUAL_DRIVER": "textual.drivers.web_driver:WebDriver", "TERM": "xterm"}
    command = [sys.executable, "-m", "cellar_tui", "--db", str(path), "--read-only", "--wall"]
    with subprocess.Popen(command, env=env, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as served:
        assert served.stdout is not None
        assert served.stdin is not None
        guard = Timer(30, served.kill)  # a program that draws to a terminal would say nothing for ever
        guard.start()
        assert served.stdout.readline() == b"__GANGLION__\n"
        kind, length = served.stdout.read(1), int.from_bytes(served.stdout.read(4), "big")
        assert kind == b"D"
        assert served.stdout.read(length).startswith(b"\x1b[")
        served.terminate()
        served.stdout.read()
        guard.cancel()


def test_a_terminal_that_cannot_draw_is_refused(desk: Desk, monkeypatch: pytest.MonkeyPatch, path: Path) -> None:
    monkeypatch.setattr(sys, "stdin", Tty())
    monkeypatch.setattr(sys, "stdout", Tty())
    monkeypatch.setenv("TERM", "dumb")
    with pytest.raises(CellarError, match="cannot draw"):
        dashboard._terminal()
    assert not path.exists()


class Tty:
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """Say so."""
        return True


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> Opened:
    """Stand in for the full screen: note what it was opened on."""
    found: Opened = []

    def run_app(service: OpenCellar, *, title: str, invented: bool = False, wall: bool = False) -> int:
        assert service.read_only or not wall
        assert service.view.vessels() or not invented
        assert service.path.stat().st_mode & 0o077 == 0
        found.append((service, title, invented))
        return 0

    monkeypatch.setattr(dashboard, "_terminal", lambda: None)
    monkeypatch.setattr("cellar_tui.tui.app.run_app", run_app)
    return found


def test_the_wall_display_opens_a_cellar_to_be_looked_at_only(desk: Desk, path: Path, opened: Opened) -> None:
    desk("vessel", "add", "D1", "capacity=23L", "material=glass")
    assert desk("--wall").status == 0
    assert [service.read_only for service, _, _ in opened] == [True]


def test_the_dashboard_makes_a_new_cellar(desk: Desk, path: Path, opened: Opened) -> None:
    said = desk()
    assert said.status == 0
    assert f"A new cellar was made at {path}." in said.err
    assert [(title, invented) for _, title, invented in opened] == [("cellar", False)]


def test_a_missing_cellar_cannot_be_looked_at_read_only(desk: Desk, path: Path, opened: Opened) -> None:
    assert desk("--read-only").status == 1
    assert not path.exists()
    assert opened == []


def test_the_demo_is_a_scratch_copy_on_the_day_of_its_story(desk: Desk, opened: Opened) -> None:
    kept = dashboard.demo_file().read_bytes()
    assert desk("demo").status == 0
    ((service, _, invented),) = opened
    assert invented
    assert service.path != dashboard.demo_file()
    assert not service.path.parent.exists()
    assert dashboard.demo_file().read_bytes() == kept
    with Store.open(dashboard.demo_file(), read_only=True) as store:
        assert max(row.recorded_at for row in store.entries()) < f"{STORY_DAY}T24"


@pytest.mark.parametrize("hour", [0, 11, 23])
def test_the_clock_of_the_demo_stands_on_its_day_at_any_hour_and_goes_on(
    monkeypatch: pytest.MonkeyPatch, hour: int
) -> None:
    now = [datetime(2027, 3, 1, hour, 59, tzinfo=UTC)]
    monkeypatch.setattr(clock, "system", lambda: now[0])
    told = dashboard.story_clock()
    assert clock.day_in(told(), "Europe/Berlin") == STORY_DAY
    begun = told()
    now[0] += timedelta(minutes=5)
    assert told() - begun == timedelta(minutes=5)


HEAVY = {"textual", "rich", "pint", "numpy", "sqlite_utils", "click", "dateutil.parser"}


@pytest.mark.parametrize(
    "words",
    [
        ("show", "Demijohn 1", "--because"),
        ("check",),
        ("rule",),
        ("calc", "molecular_so2", "ph=3.2", "free_so2=30"),
        ("record", "Demijohn 1", "addition", "material=potassium_metabisulfite", "amount=1g"),
        ("record", "Demijohn 1", "reading", "sg=0.993", "ph=3.3", "--at", "yesterday", "--preview", "--json"),
        ("amend", "5", "ph=3.4"),
        ("undo", "5"),
    ],
)
def test_nothing_heavy_is_loaded_for_a_command(white: Desk, words: tuple[str, ...]) -> None:
    program = (
        "import sys\nfrom cellar_tui.cli.main import main\n"
        f"status = main({list(words)!r})\n"
        f"found = sorted({HEAVY!r} & set(sys.modules))\n"
        "sys.exit(f'loaded {found}, status {status}' if found or status else 0)"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_a_reader_that_goes_away_leaves_no_noise(white: Desk) -> None:
    rules = subprocess.Popen(
        [sys.executable, "-m", "cellar_tui", "rule"], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    assert rules.stdout is not None
    assert rules.stderr is not None
    rules.stdout.close()
    assert rules.stderr.read() == ""
    rules.stderr.close()
    rules.wait(30)
