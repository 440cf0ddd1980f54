"""A mutant before its tests: in a process of its own, with the changed module in the place of the one on disk."""

from __future__ import annotations

import multiprocessing
import os
import tempfile
from collections.abc import Sequence
from importlib.machinery import SourceFileLoader
from pathlib import Path
from types import CodeType

import hypothesis  # noqa: F401 (imported once here, so that no child has to)
import pytest

from tests.mutation.mutants import Mutant, changed_tree
from tests.mutation.reach import QUIET, ROOT

PATIENCE = (20.0, 5.0)
"""A mutant has so many seconds, and so many times what its tests take; one that hangs is noticed."""

MOST = 60.0
"""Seconds of tests that a mutant is held against, quick ones first."""


def _plant(mutant: Mutant) -> None:
    """Let the changed module be imported instead of the one on disk, which nobody touches."""
    sound, changed = SourceFileLoader.get_code, changed_tree(mutant)

    def get_code(self: SourceFileLoader, fullname: str) -> CodeType | None:
        if Path(self.path) == mutant.path:
            return compile(changed, str(mutant.path), "exec", dont_inherit=True)
        return sound(self, fullname)

    SourceFileLoader.get_code = get_code  # type: ignore[method-assign, assignment]


def _child(mutant: Mutant, tests: Sequence[str]) -> None:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(nowhere, stream)
    with tempfile.TemporaryDirectory() as scratch:
        os.environ["HYPOTHESIS_STORAGE_DIRECTORY"] = scratch
        _plant(mutant)
        os.chdir(ROOT)
        found = pytest.main([*QUIET, "-x", "--tb=no", *tests])
    os._exit(int(found))


def chosen(tests: Sequence[str], seconds: dict[str, float]) -> list[str]:
    """Return the tests that a mutant is held against: in their order, for as long as they may take."""
    picked: list[str] = []
    spent = 0.0
    for test in tests:
        spent += seconds.get(test, 0.0)
        if picked and spent > MOST:
            break
        picked.append(test)
    return picked


def dies(mutant: Mutant, tests: Sequence[str], seconds: dict[str, float]) -> bool:
    """Return whether a test notices: fails, breaks while it is collected, or never ends."""
    if not tests:
        return False
    spent = sum(seconds.get(test, 0.0) for test in tests)
    child = multiprocessing.get_context("fork").Process(target=_child, args=(mutant, tests))
    child.start()
    child.join(PATIENCE[0] + PATIENCE[1] * spent)
    if child.is_alive():
        child.kill()
        child.join()
        return True
    return child.exitcode != 0
