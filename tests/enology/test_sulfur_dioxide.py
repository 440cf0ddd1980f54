"""Doses of sulfite: what errs on the safe side, what is said beside them, and what cannot be weighed."""

from __future__ import annotations

import pytest

from tests.enology.rows import calc, cautions, topic


def test_the_molecular_figure_shows_the_other_constant_and_the_oivs_correction() -> None:
    said = cautions("molecular_so2", ph=3.2, free_so2=25.0, alcohol=12.0)
    assert "1.77" in said
    assert "0.90 mg/L" in said
    assert "1.955 gives 1.35 mg/L, one by the heat of ionisation 1.38" in said
    assert "do not dose less" in said


def test_the_oivs_correction_never_changes_the_figure_itself() -> None:
    plain = calc("molecular_so2", "molecular_so2", ph=3.2, free_so2=25.0)
    assert calc("molecular_so2", "molecular_so2", ph=3.2, free_so2=25.0, alcohol=12.0) == plain
    corrected = calc("molecular_so2", "oiv_molecular_so2", ph=3.2, free_so2=25.0, alcohol=12.0)
    assert corrected == pytest.approx(1.346, abs=0.005)


def test_the_oivs_correction_is_taken_at_20_degrees_unless_another_is_given() -> None:
    at_20 = calc("molecular_so2", "oiv_molecular_so2", ph=3.2, free_so2=25.0, alcohol=12.0, temperature=20.0)
    assert calc("molecular_so2", "oiv_molecular_so2", ph=3.2, free_so2=25.0, alcohol=12.0) == at_20
    assert calc("molecular_so2", "oiv_molecular_so2", ph=3.2, free_so2=25.0, alcohol=12.0, temperature=25.0) > at_20


def test_the_oivs_constant_at_7_and_a_half_per_cent_lies_half_way_between_its_rows() -> None:
    assert topic("so2").oiv_pkm(7.5, 20.0) == pytest.approx((1.819 + 1.916) / 2.0)
    assert topic("so2").oiv_pkt(2.5, 20.0) == pytest.approx((1.798 + 1.897) / 2.0)


def test_the_two_published_constants_agree_at_25_degrees() -> None:
    for alcohol in (0.0, 5.0, 10.0, 15.0, 20.0):
        assert topic("so2").oiv_pkt(alcohol, 25.0) == pytest.approx(topic("so2").usseglio_pk(alcohol, 25.0), abs=0.0121)


def test_225_litres_at_ph_3_50_with_18_free_need_4_08_g_when_two_thirds_stay_free() -> None:
    wine = {"volume": 225.0, "ph": 3.5, "free_so2": 18.0, "molecular_so2": 0.5, "share": 0.67}
    assert calc("sulfite_addition", "amount", **wine) == pytest.approx(4.08, abs=0.01)
    assert calc("sulfite_addition", "raise", **wine) == pytest.approx(7.0, abs=0.02)
    assert calc("sulfite_addition", "total_raise", **wine) == pytest.approx(10.45, abs=0.03)


def test_the_errors_of_the_readings_leave_a_band_around_the_dose() -> None:
    wine = {"volume": 225.0, "ph": 3.5, "free_so2": 18.0, "molecular_so2": 0.5}
    low, high = calc("sulfite_addition", "amount_low", **wine), calc("sulfite_addition", "amount_high", **wine)
    assert low < calc("sulfite_addition", "amount", **wine) < high
    need_low = 0.5 * (1.0 + 10.0 ** (3.45 - 1.81)) - 20.0
    need_high = 0.5 * (1.0 + 10.0 ** (3.55 - 1.81)) - 16.0
    assert (low, high) == pytest.approx((225.0 * need_low / 576.0, 225.0 * need_high / 576.0))
    exact = {**wine, "ph_error": 0.0, "free_so2_error": 0.0}
    assert calc("sulfite_addition", "amount_low", **exact) == calc("sulfite_addition", "amount_high", **exact)


def test_a_wine_at_its_target_gets_no_sulfite_and_is_told_so() -> None:
    wine = {"volume": 100.0, "ph": 3.2, "free_so2": 40.0, "molecular_so2": 0.8}
    assert calc("sulfite_addition", "amount", **wine) == 0.0
    assert "no addition is needed" in cautions("sulfite_addition", **wine)


def test_old_powder_and_a_share_that_binds_ask_for_more() -> None:
    plain = calc("sulfite_addition", "amount", volume=100.0, **{"raise": 20.0})
    assert calc("sulfite_addition", "amount", volume=100.0, strength=0.8, **{"raise": 20.0}) == pytest.approx(
        plain / 0.8
    )
    assert calc("sulfite_addition", "amount", volume=100.0, share=0.5, **{"raise": 20.0}) == pytest.approx(2.0 * plain)


def test_a_dose_too_small_for_the_kitchen_scale_comes_with_its_solution() -> None:
    said = cautions("sulfite_addition", volume=20.0, **{"raise": 50.0})
    assert "weigh 1.74 g on a 0.01 g scale (a kitchen scale cannot), or make a 10 % solution: 17.4 mL" in said
    assert "kitchen" not in cautions("sulfite_addition", volume=1000.0, **{"raise": 40.0})


def test_a_dose_no_scale_can_weigh_is_measured_as_a_solution() -> None:
    said = cautions("sulfite_addition", volume=1.0, **{"raise": 50.0})
    assert "cannot be weighed well on any common scale: make a 10 % solution: 0.868 mL" in said


def test_each_scale_is_used_down_to_twenty_of_its_divisions() -> None:
    scale_for = topic("weighing").scale_for
    assert [scale_for(grams) for grams in (20.0, 19.9, 2.0, 1.99, 0.2, 0.199)] == [
        "a kitchen scale",
        "a 0.1 g scale",
        "a 0.1 g scale",
        "a 0.01 g scale",
        "a 0.01 g scale",
        "",
    ]


def test_an_so2_solution_of_unstated_strength_is_taken_as_5_per_cent_and_says_so() -> None:
    wine = {"volume": 225.0, "material": "so2_solution", "raise": 20.0}
    assert calc("sulfite_addition", "amount", **wine) == pytest.approx(90.0)
    assert calc("sulfite_addition", "concentration", **wine) == 5.0
    assert "5 % solution is assumed" in cautions("sulfite_addition", **wine)
    assert "assumed" not in cautions("sulfite_addition", concentration=6.0, **wine)


def test_a_rise_and_readings_together_are_refused() -> None:
    with pytest.raises(topic("errors").CalcError, match="leave out") as caught:
        calc("sulfite_addition", "amount", volume=20.0, ph=3.3, **{"raise": 20.0})
    assert caught.value.field == "raise"


def test_free_so2_already_under_its_target_is_not_forecast() -> None:
    with pytest.raises(topic("errors").CalcError, match="add sulfite now"):
        calc("so2_forecast", "days", free_so2=15.0, half_life=60.0, target=20.0)


def test_days_and_target_exclude_each_other_in_a_forecast() -> None:
    for both in ({"days": 3.0, "target": 20.0}, {}):
        with pytest.raises(topic("errors").CalcError, match="days or target"):
            calc("so2_forecast", "days", free_so2=30.0, half_life=60.0, **both)


def test_oxygen_is_planned_with_four_and_said_to_cost_two_to_four() -> None:
    assert calc("so2_from_oxygen", "free_so2", oxygen=3.0) == 12.0
    assert "lost 7.5 mg/L on average, and never under 6" in cautions("so2_from_oxygen", oxygen=3.0)
    assert "not been published" in cautions("so2_from_oxygen", oxygen=3.0, ratio=1.5)


def test_a_half_life_is_read_off_two_readings() -> None:
    assert topic("oxygen").half_life_between(30.0, 15.0, 45.0) == pytest.approx(45.0)
    with pytest.raises(topic("errors").CalcError, match="did not fall"):
        topic("oxygen").half_life_between(20.0, 21.0, 45.0)


def test_potassium_in_the_salts_is_what_their_formulas_hold() -> None:
    assert pytest.approx(2 * 39.0983 / 222.32, abs=0.002) == topic("sulfite").POTASSIUM_SHARE_METABISULFITE
    assert pytest.approx(39.0983 / 150.217, abs=0.001) == topic("sorbate").POTASSIUM_SHARE_SORBATE
