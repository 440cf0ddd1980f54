"""Gravity, sugar, alcohol and the expected dry gravity."""

from __future__ import annotations

import pytest

from tests.enology.rows import calc, cautions, topic

TEXTBOOK = {5.0: 1.01964, 10.0: 1.04002, 15.0: 1.06110, 20.0: 1.08297, 22.0: 1.09193, 24.0: 1.10101}
SUCROSE = {5.0: 50.9, 10.0: 103.8, 15.0: 158.9, 20.0: 216.2, 22.0: 239.8, 24.0: 263.8}
ETHANOL = {9.0: (985.92, 0.98770), 10.0: (984.71, 0.98648), 11.0: (983.52, 0.98529), 14.0: (980.08, 0.98185)}


def test_the_textbook_table_of_brix_and_gravity_holds_both_ways() -> None:
    for brix, sg in TEXTBOOK.items():
        assert calc("brix_from_sg", "brix", sg=sg) == pytest.approx(brix, abs=0.011)
        assert calc("sg_from_brix", "sg", brix=brix) == pytest.approx(sg, abs=5e-5)
        assert topic("gravity").sugar_from_sg(sg) == pytest.approx(SUCROSE[brix], abs=0.15)


def test_the_table_of_ethanol_densities_holds() -> None:
    for alcohol, (density, sg) in ETHANOL.items():
        assert calc("ethanol_density", "density", alcohol=alcohol) == pytest.approx(density, abs=0.01)
        assert calc("ethanol_density", "sg", alcohol=alcohol) == pytest.approx(sg, abs=2e-5)


def test_pure_ethanol_weighs_what_the_directive_says() -> None:
    assert calc("ethanol_density", "density", alcohol=100.0) == pytest.approx(789.24, abs=0.005)
    assert calc("ethanol_density", "density", alcohol=0.0) == pytest.approx(998.20, abs=0.005)


def test_brix_is_never_negative() -> None:
    assert calc("brix_from_sg", "brix", sg=1.0) == 0.0


def test_a_cold_sample_is_corrected_downwards_and_a_warm_one_upwards() -> None:
    expected = {5.0: -0.00139, 10.0: -0.00125, 15.0: -0.00077, 20.0: 0.0, 25.0: 0.00104, 30.0: 0.00232, 35.0: 0.00382}
    for temperature, correction in expected.items():
        got = calc("hydrometer_correction", "sg", sg=1.0, sample_temperature=temperature) - 1.0
        assert got == pytest.approx(correction, abs=1e-5)
    assert "subtract when colder" in cautions("hydrometer_correction", sg=1.0, sample_temperature=10.0)


def test_glass_counts_for_six_ten_thousandths_at_40_degrees() -> None:
    water = topic("water").water_density
    plain = water(15.0) / water(40.0)
    got = calc("hydrometer_correction", "sg", sg=1.0, sample_temperature=40.0, calibration_temperature=15.0)
    assert plain - got == pytest.approx(plain * 25e-6 * 25.0)


def test_a_must_of_24_brix_gives_the_same_alcohol_from_brix_and_from_gravity() -> None:
    by_brix = calc("potential_alcohol", "alcohol", brix=24.0)
    assert calc("potential_alcohol", "alcohol", sg=1.10101) == pytest.approx(by_brix, abs=0.01)
    assert by_brix == pytest.approx((263.8 - 20.0) / 16.83, abs=0.01)
    assert calc("potential_alcohol", "alcohol", brix=24.0, solids=25.0) == pytest.approx(by_brix - 5.0 / 16.83)


def test_a_must_that_is_all_solids_gives_no_alcohol() -> None:
    assert topic("alcohol").potential_alcohol_from_sg(1.004) == 0.0


def test_the_ways_to_reckon_alcohol_are_named_and_set_side_by_side() -> None:
    gravities = {"original_gravity": 1.095, "final_gravity": 0.992}
    assert "Balling 13.9, factor 131.25 13.5" in cautions("alcohol_from_gravity", **gravities)
    assert topic("calculations").run("alcohol_from_gravity", **gravities).formula.startswith("Balling")
    assert topic("calculations").run("alcohol_from_gravity", method="factor", **gravities).formula.startswith("factor")


@pytest.mark.parametrize(("original", "final", "expected"), [(1.090, 0.995, 12.78), (1.100, 0.990, 14.86)])
def test_balling_gives_the_tabled_alcohol(original: float, final: float, expected: float) -> None:
    got = calc("alcohol_from_gravity", "alcohol", original_gravity=original, final_gravity=final)
    assert got == pytest.approx(expected, abs=0.01)


def test_a_gravity_that_rose_is_no_ferment() -> None:
    with pytest.raises(topic("errors").CalcError, match="change them round") as caught:
        calc("alcohol_from_gravity", "alcohol", original_gravity=0.99, final_gravity=1.09)
    assert caught.value.field == "final_gravity"


def test_the_dry_mark_falls_with_the_alcohol_and_is_higher_for_a_red() -> None:
    dry_mark = topic("alcohol").dry_mark
    assert dry_mark(10.0, red=False) == pytest.approx(0.996)
    assert dry_mark(13.0, red=False) == pytest.approx(0.993)
    assert dry_mark(13.0, red=True) == pytest.approx(0.995)
    assert dry_mark(14.5, red=False) == pytest.approx(0.9915)
    assert dry_mark(13.0, red=False) == topic("alcohol").DRY_MARK_UNKNOWN
    assert dry_mark(13.0, red=True) == topic("alcohol").DRY_MARK_UNKNOWN_RED


def test_a_dry_wine_of_12_per_cent_has_its_extract_between_992_and_994() -> None:
    assert calc("dry_extract", "dry_extract", sg=0.992, alcohol=12.0) == pytest.approx(20.3, abs=0.1)
    assert calc("dry_extract", "dry_extract", sg=0.994, alcohol=12.0) == pytest.approx(25.4, abs=0.15)


def test_gravity_and_alcohol_that_do_not_fit_are_refused() -> None:
    with pytest.raises(topic("errors").OutOfRange, match="measure SG and alcohol again"):
        calc("dry_extract", "dry_extract", sg=0.975, alcohol=12.0)


def test_two_grams_of_sugar_lift_the_gravity_by_eight_ten_thousandths() -> None:
    assert topic("gravity").sg_after_sugar(0.992, 2.0) - 0.992 == pytest.approx(0.00077, abs=1e-5)
    assert topic("gravity").sg_after_sugar(1.0, 216.2) == pytest.approx(1.08297, abs=5e-4)


def test_fortifying_counts_contraction_and_names_the_square() -> None:
    wine = {"volume": 20.0, "alcohol": 12.0, "strength": 40.0, "wanted": 18.5}
    spirit = calc("fortification", "amount", **wine)
    assert spirit < 20.0 * 6.5 / 21.5
    assert "asks for 6.047 L" in cautions("fortification", **wine)
    assert topic("ethanol").mixed_strength(20.0, 12.0, spirit, 40.0) == pytest.approx(18.5)
    assert calc("fortification", "volume", **wine) == pytest.approx(
        topic("ethanol").mixed_volume(20.0, 12.0, spirit, 40.0)
    )
    assert calc("fortification", "volume", **wine) < 20.0 + spirit


def test_the_square_by_volume_stays_what_the_planner_asks_for() -> None:
    spirit = topic("alcohol").spirit_for(20.0, 12.0, 40.0, 18.5)
    assert topic("alcohol").after_mixing(20.0, 12.0, spirit, 40.0) == pytest.approx(18.5)


def test_spirit_weaker_than_the_wish_cannot_fortify() -> None:
    with pytest.raises(topic("errors").CalcError, match="stronger spirit"):
        calc("fortification", "amount", volume=20.0, alcohol=12.0, strength=18.0, wanted=18.5)
    with pytest.raises(topic("errors").CalcError, match="cannot lower"):
        calc("fortification", "amount", volume=20.0, alcohol=19.0, strength=40.0, wanted=18.5)
