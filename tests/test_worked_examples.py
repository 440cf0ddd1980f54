"""The worked examples in the docstrings of the modules at the edge hold."""

from __future__ import annotations

import doctest
from types import ModuleType

import pytest

from cellar_tui.language import clean_text, days, numerals, quantities, units


@pytest.mark.parametrize("module", [numerals, quantities, clean_text, units, days], ids=lambda module: module.__name__)
def test_worked_examples_hold(module: ModuleType) -> None:
    failed, tried = doctest.testmod(module)
    assert tried > 0
    assert failed == 0
