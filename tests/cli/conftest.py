"""A cellar on the command line: where it lies, who records, and what the program said."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from cellar_tui.cli.main import main


@dataclass(frozen=True)
class Said:
    """What one command came to: exit status, standard output, standard error."""

    status: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The one document on standard output."""
        return json.loads(self.out)


Desk = Callable[..., Said]


@pytest.fixture
def path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where the cellar lies; nothing is there yet."""
    monkeypatch.setenv("CELLAR_DB", str(tmp_path / "cellar.db"))
    monkeypatch.setenv("CELLAR_BY", "ida")
    return tmp_path / "cellar.db"


@pytest.fixture
def desk(path: Path, capsys: pytest.CaptureFixture[str]) -> Desk:
    """Run a command and hand back what it said."""

    def run(*words: str) -> Said:
        capsys.readouterr()
        status = main(words)
        said = capsys.readouterr()
        return Said(status, said.out, said.err)

    return run


@pytest.fixture
def white(desk: Desk) -> Desk:
    """A cellar of two demijohns; the first holds a sweet white that came finished, pH 3.30, 15 mg/L free."""
    for name in ("Demijohn 1", "Demijohn 2"):
        assert desk("vessel", "add", name, "capacity=24L", "material=glass", "place=back wall").status == 0
    known = ("style=sweet_white", "volume=22.7L", "finished=yes", "malolactic=none", "alcohol=12", "total_so2=40")
    assert desk("wine", "start", "Terrace", "vessel=Demijohn 1", *known, "--at", "-40d").status == 0
    read = ("reading", "ph=3.30", "free_so2=15", "method=aspiration", "--at", "-3d")
    assert desk("record", "Demijohn 1", *read).status == 0
    return desk


@pytest.fixture
def twins(desk: Desk) -> Desk:
    """One dry red in two vessels, 20 and 10 L."""
    for name, volume in (("Barrel 1", "20L"), ("Barrel 2", "10L")):
        assert desk("vessel", "add", name, "capacity=25L", "material=oak").status == 0
        begun = (f"vessel={name}", "style=dry_red", f"volume={volume}", "sg=1.092", "--at", "-30d")
        assert desk("wine", "start", "Hillside", *begun).status == 0
    return desk
