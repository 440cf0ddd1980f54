"""What a look at the board loads: nothing that works out plans, reads typed text or draws a screen."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from cellar_tui.cli.main import HANDLERS, handler, main

PLANNING = ("cellar_tui.planning.planner", "cellar_tui.planning.rules", "cellar_tui.planning.guards")
HEAVY = (
    *PLANNING,
    "cellar_tui.ledger.fold",
    "cellar_tui.language.parse_entry",
    "cellar_tui.language.quantities",
    "cellar_tui.enology.calculations",
    "cellar_tui.service.saving",
    "pint",
    "sqlite_utils",
    "textual",
)

PROGRAM = """
import sys
from cellar_tui.cli.main import main
main(sys.argv[1:])
print(*sys.modules, file=sys.stderr)
"""


@pytest.fixture
def filled(path: Path) -> Path:
    """A cellar with a must in a demijohn."""
    for words in (
        ("vessel", "add", "Demijohn 1", "capacity=23L", "material=glass"),
        ("wine", "start", "Field Red", "vessel=Demijohn 1", "style=dry_red", "volume=20L", "sg=1.095"),
    ):
        assert main(words) == 0
    return path


def loaded(*argv: str) -> set[str]:
    run = subprocess.run([sys.executable, "-c", PROGRAM, *argv], capture_output=True, text=True, check=True)
    return set(run.stderr.splitlines()[-1].split())


def test_what_is_due_in_a_line_loads_only_what_reads_the_board(filled: Path) -> None:
    assert not loaded("due", "--short", "--db", str(filled)) & set(HEAVY)


def test_what_is_due_in_full_works_no_plan_out(filled: Path) -> None:
    seen = loaded("due", "--db", str(filled))
    assert not seen & {"cellar_tui.planning.planner", "cellar_tui.ledger.fold", "cellar_tui.service.saving", "pint"}


@pytest.mark.parametrize("words", HANDLERS)
def test_every_command_has_its_function(words: str) -> None:
    assert callable(handler(words))
