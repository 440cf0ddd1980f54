"""What a material brings, and how much of it brings a dose."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cellar_tui.ledger.materials import MATERIALS, OWN, Active, active, amount_for_dose, material


@pytest.mark.parametrize(
    ("name", "amount", "strength", "brought"),
    [
        ("potassium_metabisulfite", 10.0, None, Active(so2_mg=5760.0)),  # 57.6 % SO2
        ("potassium_metabisulfite", 10.0, 0.9, Active(so2_mg=5184.0)),
        ("so2_solution", 10.0, 5.0, Active(so2_mg=500.0, litres=0.01)),  # 5 % w/v is 50 g/L
        ("potassium_sorbate", 4.0, None, Active(sorbate_g=4.0)),
        ("honey", 100.0, None, Active(sugar_g=80.0, litres=0.07)),
        ("syrup", 100.0, 600.0, Active(sugar_g=60.0, litres=0.1)),
        ("juice", 2.0, 180.0, Active(sugar_g=360.0, litres=2.0)),
        ("water", 1.5, None, Active(litres=1.5)),
        ("spirit", 1.0, 96.0, Active(litres=1.0)),
        ("bentonite", 20.0, None, Active()),
        ("walnut leaves", 5.0, None, Active()),
    ],
)
def test_an_addition_brings_what_is_in_it(name: str, amount: float, strength: float | None, brought: Active) -> None:
    found = active(name, amount, strength)
    for part in ("so2_mg", "sorbate_g", "sugar_g", "litres"):
        assert getattr(found, part) == pytest.approx(getattr(brought, part), rel=2e-3), part


@given(st.sampled_from(sorted(MATERIALS)), st.floats(1, 500), st.floats(1, 1000), st.sampled_from([None, 0.5]))
def test_the_amount_for_a_dose_brings_that_dose(name: str, dose: float, volume: float, share: float | None) -> None:
    known = material(name)
    strength = None if share is None else known.strength * share
    amount = amount_for_dose(name, dose, volume, strength)
    brought = active(name, amount, strength)
    if known.sort == "so2":
        assert brought.so2_mg == pytest.approx(dose * volume)
    elif known.sort == "sugar":
        assert brought.sugar_g * 1000 == pytest.approx(dose * volume)
    elif known.sort == "sorbate":
        assert brought.sorbate_g * 1000 == pytest.approx(dose * volume)
    elif known.unit == "g":
        assert amount * 1000 == pytest.approx(dose * volume)


def test_what_the_program_does_not_know_is_weighed_in_grams() -> None:
    assert material("walnut leaves") is OWN
    assert OWN.unit == "g"


def test_every_material_has_a_usual_strength_above_nothing() -> None:
    assert all(one.strength > 0 and one.litres >= 0 and one.sugar >= 0 for one in MATERIALS.values())
