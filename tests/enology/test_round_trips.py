"""Calculations that undo one another bring the wine back to where it was."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cellar_tui.enology import acidity, alcohol, ethanol, fining, gravity, nutrients, oxygen, so2, sorbate, sulfite
from cellar_tui.enology import sweetening as sweet
from cellar_tui.enology.calculations import run

PH = st.floats(2.8, 4.2)
VOLUMES = st.floats(1.0, 5000.0)
ACIDS = st.sampled_from(sorted(acidity.GRAMS_PER_EQUIVALENT))


@given(ph=PH, molecular=st.floats(0.1, 2.0), pka=st.floats(1.6, 2.2))
def test_the_free_so2_needed_gives_the_molecular_so2_asked_for(ph: float, molecular: float, pka: float) -> None:
    assert so2.molecular(so2.free_needed(molecular, ph, pka), ph, pka) == pytest.approx(molecular)


@given(low=PH, high=PH)
def test_a_lower_ph_protects_more(low: float, high: float) -> None:
    assert (so2.molecular_fraction(low) >= so2.molecular_fraction(high)) == (low <= high)


@given(
    volume=VOLUMES,
    rise=st.floats(1.0, 200.0),
    share=st.floats(0.33, 1.0),
    strength=st.floats(0.5, 1.0),
    material=st.sampled_from(sorted(sulfite.SO2_SHARE)),
)
def test_the_sulfite_weighed_out_brings_the_rise_it_was_weighed_for(
    volume: float, rise: float, share: float, strength: float, material: str
) -> None:
    grams = sulfite.grams_for(volume, rise, material, share, strength)
    assert sulfite.so2_mg(grams, material, strength) * share / volume == pytest.approx(rise)


@given(ph=PH, free=st.floats(0.0, 60.0), molecular=st.floats(0.3, 1.5))
def test_the_dose_lies_within_the_band_of_its_readings(ph: float, free: float, molecular: float) -> None:
    wine = {"volume": 100.0, "ph": ph, "free_so2": free, "molecular_so2": molecular}
    amounts = run("sulfite_addition", **wine).values
    low, middle, high = (amounts[name].value for name in ("amount_low", "amount", "amount_high"))
    assert isinstance(low, float)
    assert isinstance(middle, float)
    assert isinstance(high, float)
    assert low <= middle <= high


@given(brix=st.floats(0.1, 34.0))
def test_brix_and_gravity_undo_one_another(brix: float) -> None:
    assert gravity.brix_from_sg(gravity.sg_from_brix(brix)) == pytest.approx(brix, abs=0.03)


@given(sg=st.floats(0.985, 1.11), sample=st.floats(5.0, 35.0), calibration=st.sampled_from((15.0, 15.56, 20.0)))
def test_a_correction_and_its_return_undo_one_another(sg: float, sample: float, calibration: float) -> None:
    corrected = gravity.corrected_sg(sg, sample, calibration)
    assert gravity.corrected_sg(corrected, calibration, sample) == pytest.approx(sg, abs=3e-7)


@given(strength=st.floats(0.0, 100.0))
def test_alcohol_by_volume_comes_back_from_its_share_by_mass(strength: float) -> None:
    share = ethanol.mass_fraction(strength)
    back = 100.0 * share * ethanol.density_of_share(share) / ethanol.density_of_share(1.0)
    assert back == pytest.approx(strength, abs=1e-9)


@given(first=st.floats(0.0, 100.0), second=st.floats(0.0, 100.0))
def test_stronger_is_lighter(first: float, second: float) -> None:
    if second - first > 0.01:
        assert ethanol.density(second) < ethanol.density(first)


@given(volume=VOLUMES, rise=st.floats(1.0, 200.0))
def test_the_sugar_weighed_out_stands_in_the_sweetened_wine_as_asked(volume: float, rise: float) -> None:
    grams = sweet.sugar_for(volume, rise)
    assert grams / sweet.volume_after(volume, grams) == pytest.approx(rise)


@given(volume=VOLUMES, rise=st.floats(1.0, 100.0), syrup=st.floats(200.0, 900.0))
def test_the_syrup_measured_out_brings_the_rise_asked_for(volume: float, rise: float, syrup: float) -> None:
    litres = sweet.syrup_for(volume, rise, syrup) / 1000.0
    assert litres * syrup / (volume + litres) == pytest.approx(rise)


@given(free=st.floats(5.0, 100.0), half_life=st.floats(10.0, 300.0), days=st.floats(1.0, 200.0))
def test_the_days_to_a_target_are_those_after_which_it_is_reached(free: float, half_life: float, days: float) -> None:
    left = oxygen.free_after(free, half_life, days)
    assert oxygen.days_until(free, left, half_life) == pytest.approx(days)
    assert oxygen.half_life_between(free, left, days) == pytest.approx(half_life)


@given(sugar=st.floats(20.0, 400.0))
def test_potential_alcohol_gives_its_sugar_back(sugar: float) -> None:
    assert alcohol.potential_alcohol(sugar) * alcohol.SUGAR_PER_ALCOHOL == pytest.approx(sugar)


@given(volume=VOLUMES, weak=st.floats(8.0, 16.0), strength=st.floats(40.0, 96.0), wanted=st.floats(17.0, 22.0))
def test_the_spirit_worked_out_mixes_to_the_alcohol_wanted(
    volume: float, weak: float, strength: float, wanted: float
) -> None:
    spirit = run("fortification", volume=volume, alcohol=weak, strength=strength, wanted=wanted).values["amount"].value
    assert isinstance(spirit, float)
    assert ethanol.mixed_strength(volume, weak, spirit, strength) == pytest.approx(wanted)
    assert ethanol.mixed_volume(volume, weak, spirit, strength) < volume + spirit


@given(yan=st.floats(0.0, 200.0), need=st.floats(200.0, 350.0))
def test_the_dap_worked_out_makes_up_the_need(yan: float, need: float) -> None:
    assert yan + nutrients.yan_from_dap(nutrients.dap_for(yan, need)) == pytest.approx(need)


@given(first=ACIDS, second=ACIDS)
def test_converting_an_acidity_there_and_back_changes_nothing(first: str, second: str) -> None:
    assert acidity.equivalent_factor(first, second) * acidity.equivalent_factor(second, first) == pytest.approx(1.0)


@given(dose=st.floats(1.0, 200.0), sample=st.floats(50.0, 1000.0), stock=st.floats(0.5, 10.0))
def test_a_trial_scaled_to_the_vessel_is_the_same_dose(dose: float, sample: float, stock: float) -> None:
    in_trial = fining.bench_ml(dose, sample, stock)
    in_vessel = fining.slurry_ml(fining.fining_grams(dose, sample / 1000.0), stock)
    assert in_trial == pytest.approx(in_vessel)


@given(ph=st.floats(3.1, 3.5), strength=st.floats(10.0, 14.0))
def test_sorbate_falls_with_alcohol_and_rises_with_ph(ph: float, strength: float) -> None:
    dose = sorbate.table_dose(ph, strength)
    assert dose >= sorbate.table_dose(max(3.1, ph - 0.05), strength)
    assert dose >= sorbate.table_dose(ph, min(14.0, strength + 0.2))
    assert 60.0 <= dose <= 270.0


@given(ph=st.floats(2.2, 4.8), strength=st.floats(0.0, 25.0))
def test_the_plan_never_asks_for_more_sorbate_than_the_law_allows(ph: float, strength: float) -> None:
    safe = sorbate.planner_dose(ph, strength)
    assert 0.0 < sorbate.sorbic_acid(safe.dose) <= sorbate.CEILING_SORBIC + 1e-9
