"""Every worked example in the docstrings of the chemistry holds, and every public function has one."""

from __future__ import annotations

import doctest
import importlib
import inspect

import pytest

from tests.enology.mutants import PACKAGE, sources

TOPICS = sorted(name for name in sources() if not name.startswith(f"{PACKAGE}.calculations"))


@pytest.mark.parametrize("name", sorted(sources()))
def test_worked_examples_hold(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0


@pytest.mark.parametrize("name", TOPICS)
def test_every_public_function_has_a_worked_example(name: str) -> None:
    module = importlib.import_module(name)
    for title, function in inspect.getmembers(module, inspect.isfunction):
        if function.__module__ == name and not title.startswith("_"):
            assert ">>>" in (function.__doc__ or ""), f"{name}.{title}"
