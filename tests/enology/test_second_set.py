"""The second set of calculations: what it refuses, with the range named, and what it warns of."""

from __future__ import annotations

import pytest

from cellar_tui.enology.calculations import CalcError, OutOfRange, run
from tests.enology.rows import calc, cautions, topic


def test_a_must_weight_is_typed_on_one_scale_at_a_time() -> None:
    with pytest.raises(CalcError, match="exclude each other"):
        run("must_weight", oechsle=80.0, brix=20.0)
    with pytest.raises(CalcError, match="give oechsle or kmw or baume or brix or sg"):
        run("must_weight")


def test_a_must_weight_beyond_the_table_says_so() -> None:
    assert "50 to 120" in cautions("must_weight", oechsle=49.0)
    assert "50 to 120" in cautions("must_weight", oechsle=121.0)
    assert "50 to 120" not in cautions("must_weight", oechsle=120.0)
    assert calc("must_weight", "sugar", oechsle=5.0) == 0.0


def test_the_square_names_the_range_between_its_lots() -> None:
    with pytest.raises(OutOfRange, match="outside 11 to 14") as caught:
        run("pearson_square", volume=10.0, value1=14.0, value2=11.0, wanted=15.0)
    assert caught.value.field == "wanted"
    with pytest.raises(CalcError, match="the same as value1"):
        run("pearson_square", volume=10.0, value1=11.0, value2=11.0, wanted=11.0)


def test_a_lot_without_its_value_is_named() -> None:
    with pytest.raises(CalcError, match="alcohol lists 1, volumes 2") as caught:
        run("blend_lots", volumes=(10.0, 20.0), alcohol=(12.0,))
    assert caught.value.field == "alcohol"
    with pytest.raises(CalcError, match="volumes are all nothing"):
        run("blend_lots", volumes=(0.0, 0.0), alcohol=(12.0, 13.0))


def test_every_value_of_a_list_is_held_to_its_range() -> None:
    with pytest.raises(OutOfRange, match="outside 2.2 to 4.8") as caught:
        run("blend_lots", volumes=(10.0, 20.0), ph=(3.2, 5.1))
    assert caught.value.field == "ph"


def test_the_growth_of_volume_and_the_legal_caps_stand_beside_the_sugar() -> None:
    said = cautions("chaptalization", volume=100.0, alcohol=11.0, wanted=13.0, factor=17.0)
    assert "3400 g, which is too little" in said
    assert "3/2/1.5 % vol at most" in said
    assert "25 Brix" in said


def test_enrichment_and_acidification_end_where_the_law_says() -> None:
    find = topic("legal").find
    assert [find("eu", "enrichment", f"zone {zone}").value for zone in "ABC"] == [3.0, 2.0, 1.5]
    assert [find("eu", "enriched_red", f"zone {zone}").value for zone in "AB"] == [12.0, 12.5]
    assert find("us", "enriched_brix", "any").value == 25.0
    assert find("oiv", "acidification", "any").value == 4.0


def test_sugar_cannot_lower_nor_water_raise() -> None:
    for name, wine, field in (
        ("chaptalization", {"volume": 10.0, "alcohol": 12.0, "wanted": 11.0}, "wanted"),
        ("chaptalization", {"volume": 10.0, "brix": 22.0, "wanted_brix": 20.0}, "wanted_brix"),
        ("amelioration", {"volume": 10.0, "ta": 7.0, "wanted": 8.0}, "wanted"),
        ("spirit_dilution", {"volume": 10.0, "strength": 40.0, "wanted": 50.0}, "wanted"),
        ("acid_for_ph", {"volume": 1.0, "ph": 3.4, "wanted": 3.5, "buffer": 40.0, "acid": "malic"}, "wanted"),
        ("fortification", {"volume": 1.0, "alcohol": 19.0, "strength": 40.0, "wanted": 18.0}, "wanted"),
    ):
        with pytest.raises(CalcError, match="cannot") as caught:
            run(name, **wine)
        assert caught.value.field == field, name


def test_thinning_past_the_law_is_said() -> None:
    assert "over the US limit of 53.8 L" in cautions("amelioration", volume=100.0, ta=12.0, wanted=7.0)
    assert "5 g/L fixed acid" in cautions("amelioration", volume=100.0, ta=6.0, wanted=4.9)
    assert "limit" not in cautions("amelioration", volume=100.0, ta=12.0, wanted=8.0)


TITRATIONS = ("so2_titration", "ta_titration", "va_titration", "formol_yan")


RANGES = list(zip(TITRATIONS, ("0 to 400", "0 to 30", "0 to 3", "0 to 600"), strict=True))


@pytest.mark.parametrize(("name", "says"), RANGES)
def test_a_result_no_wine_has_is_refused_with_the_range(name: str, says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        run(name, titrant=50.0, normality=1.0, sample=1.0)


@pytest.mark.parametrize("name", TITRATIONS)
def test_a_blank_over_the_titrant_is_refused(name: str) -> None:
    with pytest.raises(CalcError, match="blank is over titrant") as caught:
        run(name, titrant=1.0, normality=0.1, sample=10.0, blank=1.1)
    assert caught.value.field == "blank"


def test_a_titration_too_small_to_trust_says_so() -> None:
    assert "larger sample" in cautions("ta_titration", titrant=1.0, normality=0.1, sample=10.0)
    assert "larger sample" not in cautions("ta_titration", titrant=12.0, normality=0.1, sample=15.0)
    assert "larger sample" in cautions("formol_yan", titrant=0.1, normality=0.1, sample=10.0)
    assert "larger sample" not in cautions("formol_yan", titrant=1.2, normality=0.1, sample=10.0)
    said = cautions("so2_titration", titrant=2.3, normality=0.01, sample=20.0)
    assert "within 2 minutes" in said
    assert "reads as 36 mg/L SO2" in said


def test_a_reading_over_the_start_is_refused() -> None:
    with pytest.raises(CalcError, match="over brix_start"):
        run("refractometer_ferment", brix_start=20.0, brix=21.0)
    with pytest.raises(CalcError, match="too high for that Brix"):
        run("alcohol_from_refractometer", brix=1.0, sg=1.05)


def test_wine_expands_more_than_water() -> None:
    """A dry wine of 12 % vol at 5 C reads 0.0009 too high when corrected as water (OIML R 22, computed)."""
    as_water = calc("hydrometer_correction", "sg", sg=0.98636, sample_temperature=5.0)
    as_wine = calc("hydrometer_correction", "sg", sg=0.98636, sample_temperature=5.0, alcohol=12.0)
    assert as_water - as_wine == pytest.approx(0.0009, abs=0.0001)
    assert "give its alcohol" in cautions("hydrometer_correction", sg=0.9863, sample_temperature=5.0)
    assert "give its alcohol" not in cautions("hydrometer_correction", sg=1.0, sample_temperature=5.0)


def test_a_sample_colder_than_water_can_be_needs_the_alcohol() -> None:
    with pytest.raises(OutOfRange, match="0 to 45"):
        run("hydrometer_correction", sg=0.986, sample_temperature=-4.0)
    assert calc("hydrometer_correction", "sg", sg=0.98622, sample_temperature=-4.0, alcohol=12.0) < 0.98622


def test_a_dip_over_the_top_is_refused_with_the_range() -> None:
    for shape in ("lying", "sphere"):
        with pytest.raises(OutOfRange, match="0 to 100 cm"):
            run("tank_dip", shape=shape, diameter=100.0, length=150.0, level=101.0)
    with pytest.raises(CalcError, match="length is missing"):
        run("tank_dip", shape="lying", diameter=100.0, level=10.0)
    with pytest.raises(OutOfRange, match="0 to 62 cm"):
        run("barrel_ullage", bung_diameter=62.0, head_diameter=54.0, length=80.0, dry=63.0)
    with pytest.raises(CalcError, match="change them round"):
        run("barrel_ullage", bung_diameter=54.0, head_diameter=62.0, length=80.0, dry=3.0)


def test_the_bottle_is_named_when_the_pressure_needs_it() -> None:
    assert "only glass made for sparkling wine" in cautions("priming_sugar", volume=10.0, pressure=4.0, alcohol=12.0)
    assert "only glass" not in cautions("priming_sugar", volume=10.0, pressure=1.0, alcohol=12.0)
    assert "about 2.8 bar" in cautions("priming_sugar", volume=10.0, pressure=4.0, alcohol=12.0)
    assert "already holds" in cautions("priming_sugar", volume=10.0, pressure=0.5, alcohol=12.0, co2=4.0)
    sweet = calc("priming_sugar", "dose", volume=1.0, pressure=4.0, alcohol=12.0, sugar=4.0)
    assert sweet < calc("priming_sugar", "dose", volume=1.0, pressure=4.0, alcohol=12.0)


def test_cane_sugar_and_a_warm_room_stand_beside_the_pressure() -> None:
    """24 g/L: 7.5 bar as grape sugar, 7.9 as cane, 10.6 at 30 C as cane (EU equation and IAPWS, computed)."""
    assert "as cane sugar it is 7.9 bar" in cautions("bottle_pressure", sugar=24.0, alcohol=12.3, co2=0.5)
    assert "at 30 C 10.6 bar" in cautions("bottle_pressure", sugar=24.0, alcohol=12.3, co2=0.5, kind="cane")
    cool = calc("bottle_pressure", "pressure", sugar=24.0, alcohol=12.3, co2=0.5, temperature=10.0)
    assert cool < calc("bottle_pressure", "pressure", sugar=24.0, alcohol=12.3, co2=0.5)


def test_a_spirit_cannot_be_thinned_to_nothing() -> None:
    with pytest.raises(OutOfRange, match="outside what water can reach"):
        run("spirit_dilution", volume=1.0, strength=40.0, wanted=0.0)


def test_a_trial_that_hardly_moved_the_ph_is_refused_with_the_range() -> None:
    with pytest.raises(OutOfRange, match="outside 2.2 to 3.58") as caught:
        run("buffer_capacity", acid="tartaric", dose=1.0, ph_before=3.6, ph_after=3.59)
    assert caught.value.field == "ph_after"
    assert "30 to 60" in cautions("buffer_capacity", acid="tartaric", dose=0.3, ph_before=3.6, ph_after=3.4)
    assert "30 to 60" not in cautions("buffer_capacity", acid="tartaric", dose=1.0, ph_before=3.6, ph_after=3.48)


def test_more_acid_than_the_law_allows_is_said() -> None:
    wine = {"volume": 10.0, "ph": 3.9, "buffer": 50.0, "acid": "tartaric"}
    assert "over the OIV's 4 g/L" in cautions("acid_for_ph", wanted=3.3, **wine)
    assert "over the OIV's" not in cautions("acid_for_ph", wanted=3.8, **wine)
    assert "bacteria eat citric" in cautions("acid_for_ph", wanted=3.8, **{**wine, "acid": "citric"})


def test_acid_moves_a_soft_wine_more() -> None:
    said = cautions("acid_addition", volume=10.0, acid="tartaric", **{"raise": 1.0})
    assert "pH falls by about 0.1 to 0.2, most in soft wine" in said


def test_the_constant_by_temperature_is_never_to_dose_less_on() -> None:
    assert "never dose less" in cautions("so2_pka", alcohol=12.0, temperature=20.0)
    assert calc("so2_pka", "default_pka", alcohol=12.0, temperature=20.0) == 1.81
    assert calc("so2_pka", "pka", alcohol=14.0, temperature=20.0) > calc(
        "so2_pka", "pka", alcohol=12.0, temperature=20.0
    )


def test_peroxide_and_copper_say_what_they_can_do() -> None:
    said = cautions("so2_removal", volume=20.0, lower=20.0, strength=30.0)
    assert "not permitted in the EU" in said
    assert "burns skin" in said
    assert "burns skin" not in cautions("so2_removal", volume=20.0, lower=20.0, strength=3.0)
    assert "STOP: over 0.5 mg/L" in cautions("copper_fining", volume=20.0, copper=0.51)
    copper = cautions("copper_fining", volume=20.0, copper=0.5)
    assert "STOP" not in copper
    assert "gloves, goggles" in copper
    grams = calc("copper_fining", "amount", volume=225.0, copper=0.2)
    assert grams * 1000.0 * topic("fining").COPPER_SHARE / 225.0 == pytest.approx(0.2)


def test_a_label_counts_all_that_burns() -> None:
    wine = {"alcohol": 13.0, "sugar": 2.0, "ta": 6.0}
    assert calc("label_figures", "energy_kj", **wine) == pytest.approx(316.0, abs=1.0)
    assert calc("label_figures", "energy_kcal", **wine) == pytest.approx(76.0, abs=1.0)
    assert calc("label_figures", "drinks_14g", alcohol=13.5, sugar=0.0, ta=0.0) == pytest.approx(5.7, abs=0.05)
    assert calc("label_figures", "energy_kj", **{**wine, "sugar": 50.0}) > calc("label_figures", "energy_kj", **wine)


def test_a_lot_too_small_for_a_bottle_has_no_cost_of_one() -> None:
    with pytest.raises(CalcError, match="fills no bottle"):
        run("bottle_cost", cost=100.0, volume=0.5, bottle=750.0)
    years = {"cost": 1200.0, "volume": 225.0, "bottle": 750.0, "loss": 4.5}
    assert calc("bottle_cost", "cost", years=2.0, **years) > calc("bottle_cost", "cost", **years)


def test_the_table_of_must_weights_stands_beside_the_potential_alcohol() -> None:
    assert "(100 Oechsle) gives 13.9 % vol" in cautions("potential_alcohol", sg=1.1)
    assert "Oechsle" not in cautions("potential_alcohol", sg=1.130)
    assert "Oechsle" not in cautions("potential_alcohol", sugar=220.0)


def test_what_is_left_out_is_taken_as_usual() -> None:
    """Glycerol 7 g/L and 1 % oxygen (common practice)."""
    wine = {"alcohol": 12.0, "sugar": 3.0, "ta": 6.0}
    assert calc("label_figures", "energy_kj", **wine) == calc("label_figures", "energy_kj", glycerol=7.0, **wine)
    assert calc("headspace_flush", "volume", headspace=100.0) == pytest.approx(304.2, abs=0.05)


def test_copper_left_in_wine_ends_at_half_a_milligram_in_the_us() -> None:
    """A university page of 2016 citing 27 CFR 24.246; older texts printed 0.2 and 1.0."""
    assert topic("legal").find("us", "copper", "any").value == 0.5
