"""Law 6 of strength: it follows from masses alone, in whatever order water, sugar, juice and readings came.

The second account sums everything that went in and knows nothing of the fold: volumes, grams, and the last gravity.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from hypothesis import strategies as st

from cellar_tui.ledger import ferment
from cellar_tui.ledger.contents import Contents
from tests.ledger.lines import Lines

WITHIN = 0.003
"""By how much the two accounts may differ, as a share of the strength."""

KILOGRAM_A_LITRE = 0.998203
"""Water at 20 C [kg/L]; ITS-90 density tables."""

ROOM = 0.00062
"""Litres that a gram of dissolved sugar takes up; sugar tables (0.616 to 0.619 mL/g), the trade's 0.62 L/kg."""

FLOOR = 1.012
"""Gravity toward which the drawn ferments fall: over the dry mark of the thinnest, so that sugar feeds them."""

START = date(2026, 9, 20)
MUST = st.lists(
    st.one_of(
        st.tuples(st.just("water"), st.floats(0.2, 5.0)),
        st.tuples(st.just("sugar"), st.floats(100.0, 2000.0)),
        st.tuples(st.just("juice"), st.floats(0.2, 5.0)),
        st.tuples(st.just("read"), st.just(0.0)),
    ),
    max_size=5,
)
FERMENT = st.lists(
    st.one_of(
        st.tuples(st.just("water"), st.floats(0.2, 3.0)),
        st.tuples(st.just("sugar"), st.floats(100.0, 1000.0)),
        st.tuples(st.just("juice"), st.floats(0.2, 3.0)),
        st.tuples(st.just("read"), st.floats(0.05, 0.4)),
    ),
    min_size=1,
    max_size=8,
)
"""What is done to a must before its yeast, and to the ferment: amounts, or the share of its gravity that falls."""


@dataclass
class Sums:
    """Litres, kilograms as must and as it is (both over the density of water), and grams of sugar, of one wine."""

    litres: float
    must: float
    now: float
    sugar: float = 0.0

    def pour(self, what: str, amount: float) -> None:
        """Add water or juice [L] or sugar [g]; juice holds 180 g/L of sugar and 20 of other solids."""
        grams = {"water": 0.0, "sugar": amount, "juice": 180.0 * amount}[what]
        solids = 20.0 * amount if what == "juice" else 0.0
        litres = amount if what != "sugar" else ROOM * amount
        weight = litres - ROOM * (grams + solids) + (grams + solids) / (1000 * KILOGRAM_A_LITRE)
        self.litres, self.sugar = self.litres + litres, self.sugar + grams
        self.must, self.now = self.must + weight, self.now + weight


def plato(sg: float) -> float:
    """Return grams of extract in 100 g: the cubic of the sugar table (Brix article, seen)."""
    return -669.56218 + 1262.7794 * sg - 775.68212 * sg**2 + 182.46007 * sg**3


def balling(original: float, sg: float) -> float:
    """Return the strength that a fall has made [% vol]: Balling's real extract (from memory)."""
    real = 0.1808 * plato(original) + 0.8192 * plato(sg)
    return (plato(original) - real) / (2.0665 - 0.010665 * plato(original)) * sg / 0.794


def sugar_of(sg: float) -> float:
    """Return the fermentable sugar of a must [g/L]: the sugar table less 20 g/L of other solids."""
    return plato(sg) * 10 * sg * KILOGRAM_A_LITRE - 20


def strength_follows_from_masses(
    stated: float | None, true: float, must: list[tuple[str, float]], work: list[tuple[str, float]]
) -> None:
    """Whatever is poured in and read in whatever order, strength and potential are those of the sums.

    A gravity stated wrong is put right by one read before the yeast; one stated rightly needs none.
    """
    lines, day = Lines(1000), START
    sums = Sums(20.0, 20.0 * true, 20.0 * true, sugar_of(true) * 20.0)
    lines.wine(sg=true if stated is None else stated, volume=20.0, at=START.isoformat())
    for place, (what, amount) in enumerate([*must, *([("read", 0.0)] if stated else [])]):
        at = (START + timedelta(days=min(place, 1))).isoformat()
        day = date.fromisoformat(at)
        if what != "read":
            lines.add(at, what, amount)
            sums.pour(what, amount)
        else:
            lines.read(at, sg=sums.must / sums.litres)
            sums.sugar = sugar_of(sums.must / sums.litres) * sums.litres
    lines.add(day.isoformat(), "yeast", 5)
    made, then = 0.0, sums.litres
    for what, amount in [("read", 0.2), *work, ("read", 0.3)]:
        day += timedelta(days=1)
        if what == "read":
            sums.now -= amount * (sums.now - FLOOR * sums.litres)
            sg = sums.now / sums.litres
            lines.read(day.isoformat(), sg=sg)
            made, then = balling(sums.must / sums.litres, sg), sums.litres
        else:
            lines.add(day.isoformat(), what, amount)
            sums.pour(what, amount)
    _agree(lines.held(), sums, made * then / sums.litres)


def _agree(held: Contents, sums: Sums, strength: float) -> None:
    assert held.now.alcohol is not None
    assert abs(held.now.alcohol - strength) <= WITHIN * strength, f"{held.now.alcohol:.3f}, by masses {strength:.3f}"
    potential, wanted = ferment.potential_alcohol(held), sums.sugar / sums.litres / 16.83
    assert potential is not None
    assert abs(potential - wanted) <= WITHIN * wanted, f"potential {potential:.3f}, by masses {wanted:.3f}"
    assert abs(held.now.volume - sums.litres) <= 1e-9 * sums.litres
