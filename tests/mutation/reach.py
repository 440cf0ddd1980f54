"""Which tests reach a line, and how long each takes: looked at once, with coverage.py, and kept in a file."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import coverage
import pytest

ROOT = Path(__file__).parents[2]
KEPT = ROOT / ".mutation"
"""Folder of what was looked at; it can be thrown away."""

PACKAGES = ("enology", "ledger", "planning", "language")
TESTS = ("enology", "ledger", "planning", "language", "workbench", "laws", "test_worked_examples.py")
"""Tests of the core, by their place under tests/; the drawn lives and the screens take too long for every mutant."""

QUIET = ("-p", "no:cacheprovider", "-n", "0", "-q", "--no-header", "-W", "ignore::pytest.PytestAssertRewriteWarning")


class _Contexts:
    """Tells coverage which test runs, and notes how long it took."""

    def __init__(self, cover: coverage.Coverage) -> None:
        self.cover = cover
        self.seconds: dict[str, float] = {}

    def pytest_runtest_logstart(self, nodeid: str) -> None:
        self.cover.switch_context(nodeid)

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.seconds[report.nodeid] = self.seconds.get(report.nodeid, 0.0) + report.duration

    def pytest_runtest_logfinish(self) -> None:
        self.cover.switch_context("")


def look(tests: Sequence[str] = TESTS) -> int:
    """Run the tests once and keep what each reaches; return pytest's own verdict."""
    KEPT.mkdir(exist_ok=True)
    cover = coverage.Coverage(
        data_file=str(KEPT / "reach"), source=[str(ROOT / "cellar_tui" / one) for one in PACKAGES], config_file=False
    )
    cover.erase()
    contexts = _Contexts(cover)
    cover.start()
    found = pytest.main([*QUIET, *(str(ROOT / "tests" / one) for one in tests)], [contexts])
    cover.stop()
    cover.save()
    (KEPT / "seconds.json").write_text(json.dumps(contexts.seconds), encoding="utf-8")
    return int(found)


@dataclass(frozen=True, slots=True)
class Reach:
    """What each test reaches."""

    data: coverage.CoverageData
    seconds: dict[str, float]

    def tests(self, path: Path, lines: tuple[int, int]) -> list[str]:
        """Return the tests that run any of these lines of a file, quick ones first; of a line of no test all of it.

        What is run when a module is imported (its constants, its tables) is seen in no test alone.
        """
        found = self.data.contexts_by_lineno(str(path))
        near = {test for line in range(lines[0], lines[1] + 1) for test in found.get(line, ()) if test}
        reached = near or {test for tests in found.values() for test in tests if test}
        return sorted(reached, key=lambda test: self.seconds.get(test, 0.0))


def kept() -> Reach:
    """Return what was looked at, after a look of its own process where nobody has looked yet."""
    if not (KEPT / "seconds.json").exists():
        subprocess.run([sys.executable, "-m", "tests.mutation", "--look"], cwd=ROOT, check=True)
    data = coverage.CoverageData(str(KEPT / "reach"))
    data.read()
    return Reach(data, json.loads((KEPT / "seconds.json").read_text(encoding="utf-8")))
