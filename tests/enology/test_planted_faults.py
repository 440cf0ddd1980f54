"""Changing any constant or table cell by one per cent makes a named check fail.

Each number is changed in a fresh copy of the package, and the table of figures and the statements about wine are run
against it until one fails.
"""

from __future__ import annotations

import importlib
import inspect
from collections.abc import Callable, Iterator
from functools import partial
from types import ModuleType

import pytest

from tests.enology import (
    test_cellar_work,
    test_cold_and_crystals,
    test_gravity_and_alcohol,
    test_second_set,
    test_stated_constants,
    test_sulfur_dioxide,
    test_sweet_wine,
)
from tests.enology.mutants import PACKAGE, Place, places, planted
from tests.enology.test_published_figures import AGREED, misses

Named = tuple[str, Callable[[], object]]
STATEMENTS = (
    test_sulfur_dioxide,
    test_sweet_wine,
    test_gravity_and_alcohol,
    test_second_set,
    test_cold_and_crystals,
    test_cellar_work,
    test_stated_constants,
)


def _agrees(number: int) -> None:
    assert misses(AGREED[number]) <= 0.0


def _statements(module: ModuleType) -> Iterator[Named]:
    for name, function in inspect.getmembers(module, inspect.isfunction):
        if not name.startswith("test_"):
            continue
        marks = [mark for mark in getattr(function, "pytestmark", ()) if mark.name == "parametrize"]
        for case in marks[0].args[1] if marks else [()]:
            yield name, partial(function, *(case if isinstance(case, tuple) else (case,)))


def checks() -> list[Named]:
    """Every named check, the table of figures first and the constants as typed twice last."""
    figures = [(row.title, partial(_agrees, number)) for number, row in enumerate(AGREED)]
    return figures + [check for module in STATEMENTS for check in _statements(module)]


def first_failure(order: list[Named]) -> Named | None:
    """The first check that fails against the package as it stands."""
    for check in order:
        try:
            check[1]()
        except (AssertionError, ArithmeticError, LookupError, TypeError, ValueError, pytest.fail.Exception):
            return check
    return None


MODULES = sorted({place.module for place in places()})


@pytest.mark.parametrize("module", MODULES)
def test_every_number_of_a_module_is_held_by_a_named_check(module: str) -> None:
    order = checks()
    unheld: list[Place] = []
    for place in places():
        if place.module != module:
            continue
        with planted(place):
            importlib.import_module(f"{PACKAGE}.calculations")
            failed = first_failure(order)
        if failed is None:
            unheld.append(place)
        else:
            order.remove(failed)
            order.insert(0, failed)
    assert [place.title for place in unheld] == []


def test_without_a_fault_every_check_holds() -> None:
    assert first_failure(checks()) is None


def test_a_planted_fault_is_gone_afterwards() -> None:
    sound = importlib.import_module(f"{PACKAGE}.so2")
    place = next(place for place in places() if place.name == "PKA")
    with planted(place):
        assert pytest.approx(1.81 * 1.01) == importlib.import_module(f"{PACKAGE}.so2").PKA
    assert importlib.import_module(f"{PACKAGE}.so2") is sound
    assert sound.PKA == 1.81
