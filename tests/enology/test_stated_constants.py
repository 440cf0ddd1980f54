"""Constants are what their sources state, and every limit accepts its ends and refuses what lies beyond."""

from __future__ import annotations

import importlib
from typing import Any

import pytest

from tests.enology.mutants import sources
from tests.enology.rows import topic
from tests.enology.stated import LIMITS, STATED


def _named(path: str) -> Any:
    module, name = path.rsplit(".", 1)
    return getattr(topic(module), name)


def test_constants_are_what_their_sources_state() -> None:
    for path, value in STATED.items():
        assert _named(path) == value, path


def test_every_limit_accepts_its_ends() -> None:
    for path, (low, high) in LIMITS.items():
        limits = _named(path)
        assert limits.check(low) == low, path
        assert limits.check(high) == high, path


def test_every_limit_refuses_what_lies_beyond_and_says_what_to_do() -> None:
    error = topic("errors").OutOfRange
    for path, (low, high) in LIMITS.items():
        limits = _named(path)
        step = 1e-6 * (abs(low) + abs(high))
        for outside in (low - step, high + step, float("nan"), float("inf")):
            with pytest.raises(error) as caught:
                limits.check(outside)
            assert f"{low:g} to {high:g}" in str(caught.value), path
            assert limits.instead in str(caught.value), path
            assert caught.value.field == limits.field, path


def test_every_limit_of_the_chemistry_is_stated() -> None:
    kind = topic("errors").Range
    stated = [_named(path) for path in LIMITS]
    for module in sources():
        for name, value in vars(importlib.import_module(module)).items():
            if type(value) is kind:
                assert any(value is known for known in stated), f"{module}.{name}"


def test_the_three_methods_of_reading_free_so2_err_as_practice_says() -> None:
    methods = topic("methods").METHODS
    given = {name: (way.fixed, way.share, way.step, way.band) for name, way in methods.items()}
    assert given == {
        "aspiration": (1.2, 0.04, 0.0, 2.0),
        "titration": (2.5, 0.06, 0.0, 3.0),
        "strip": (4.0, 0.15, 5.0, 10.0),
    }
    assert topic("methods").spread("titration", 30.0) == pytest.approx(4.3)
    assert "reds" in methods["titration"].bias
