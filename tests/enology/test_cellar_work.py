"""Acid, nutrients, finings, bottles, air and the law."""

from __future__ import annotations

import pytest

from tests.enology.rows import calc, cautions, topic


def test_a_carbonate_says_how_far_the_published_rates_lie_apart() -> None:
    said = cautions("deacidification", volume=20.0, lower=1.0, salt="potassium_bicarbonate")
    assert "13.4 to 26.6 g (0.67 to 1.33 g/g)" in said
    assert "measure again" in said


def test_acid_is_known_with_and_without_the_word_acid() -> None:
    for acid, grams in (("tartaric", 20.0), ("malic_acid", 17.87), ("Citric", 17.07)):
        assert calc("acid_addition", "amount", volume=20.0, acid=acid, **{"raise": 1.0}) == pytest.approx(
            grams, abs=0.01
        )


def test_malolactic_takes_half_a_gram_of_acidity_for_each_gram_of_malic() -> None:
    assert calc("ta_after_malolactic", "ta", ta=7.2, malic=2.8, malic_left=0.1) == pytest.approx(5.69, abs=0.005)
    assert calc("ta_after_malolactic", "lactic", ta=7.2, malic=2.8, malic_left=0.1) == pytest.approx(
        2.7 * 0.6718, abs=0.001
    )


def test_more_malic_acid_than_the_wine_titrates_is_refused() -> None:
    with pytest.raises(topic("errors").CalcError, match="measure TA and malic again"):
        calc("ta_after_malolactic", "ta", ta=2.0, malic=5.0)
    with pytest.raises(topic("errors").CalcError, match="later, lower reading"):
        calc("ta_after_malolactic", "ta", ta=8.0, malic=1.0, malic_left=2.0)


def test_a_must_of_24_brix_with_160_nitrogen_lacks_542_mg_of_dap() -> None:
    must = {"volume": 23.0, "yan": 160.0, "brix": 24.0}
    assert calc("nutrient_addition", "dose", **must) == pytest.approx(542.2, abs=0.1)
    assert calc("nutrient_addition", "amount", **must) == pytest.approx(12.47, abs=0.01)
    assert "US limit" not in cautions("nutrient_addition", **must)
    assert "over the US limit of 960 mg/L" in cautions("nutrient_addition", volume=23.0, yan=60.0, need=300.0)


@pytest.mark.parametrize(("brix", "need"), [(21.0, 200.0), (22.0, 225.0), (23.0, 250.0), (26.0, 325.0), (27.0, 350.0)])
def test_the_need_for_nitrogen_follows_the_table(brix: float, need: float) -> None:
    assert topic("nutrients").yan_need(brix) == pytest.approx(need)


def test_outside_the_table_of_needs_the_need_itself_is_asked_for() -> None:
    with pytest.raises(topic("errors").OutOfRange, match="give need itself") as caught:
        calc("nutrient_addition", "dose", volume=20.0, yan=100.0, brix=19.0)
    assert caught.value.field == "brix"


def test_a_must_with_enough_nitrogen_gets_none() -> None:
    assert calc("nutrient_addition", "amount", volume=20.0, yan=300.0, need=250.0) == 0.0
    assert "add none" in cautions("nutrient_addition", volume=20.0, yan=300.0, need=250.0)


def test_a_trial_of_50_g_in_54_litres_is_27_g_and_540_ml_of_slurry() -> None:
    assert calc("fining_dose", "amount", dose=50.0, volume=54.0) == 27.0
    assert calc("fining_dose", "slurry", dose=50.0, volume=54.0) == pytest.approx(540.0)
    assert "make it thicker" in cautions("fining_dose", dose=51.0, volume=54.0)
    assert "make it thicker" not in cautions("fining_dose", dose=49.9, volume=54.0)


def test_a_trial_that_doses_in_drops_says_so() -> None:
    assert "dilute the stock tenfold" in cautions("bench_trial", dose=10.0, sample=100.0, stock=5.0)
    assert cautions("bench_trial", dose=25.0, sample=100.0, stock=5.0) == ""


def test_bottles_are_whole_and_an_exact_filling_counts_in_full() -> None:
    assert calc("bottle_count", "bottles", volume=22.5, bottle=750.0) == 30
    assert calc("bottle_count", "bottles", volume=22.49, bottle=750.0) == 29
    assert calc("bottle_count", "bottles", volume=0.9, bottle=100.0) == 9


def test_50_g_of_metabisulfite_in_an_acid_bucket_pass_the_immediate_danger() -> None:
    assert calc("so2_in_air", "concentration", amount=50.0, room=100.0) == pytest.approx(110.0, abs=0.5)
    assert "immediate danger (100 ppm)" in cautions("so2_in_air", amount=50.0, room=100.0)
    assert "immediate danger" not in cautions("so2_in_air", amount=5.0, room=100.0)


def test_gas_never_passes_all_of_the_air() -> None:
    assert calc("co2_in_room", "concentration", volume=1000.0, sugar=220.0, room=10.0) == 100.0


def test_the_eu_steps_up_at_five_grams_and_the_oiv_over_four() -> None:
    def limit(where: str, sugar: float) -> object:
        return calc("legal_limits", "total_so2", jurisdiction=where, colour="red", sugar=sugar)

    assert [limit("eu", sugar) for sugar in (4.9, 5.0)] == [150.0, 200.0]
    assert [limit("oiv", sugar) for sugar in (4.0, 4.1)] == [150.0, 300.0]
    assert [limit("home", sugar) for sugar in (4.0, 4.1)] == [150.0, 300.0]
    assert [limit("us", sugar) for sugar in (4.0, 40.0)] == [350.0, 350.0]


@pytest.mark.parametrize(
    ("where", "colour", "sugar", "total", "sorbic", "va"),
    [
        ("eu", "white", 1.0, 200.0, 200.0, 1.081),
        ("eu", "white", 5.0, 250.0, 200.0, 1.081),
        ("eu", "rose", 1.0, 200.0, 200.0, 1.081),
        ("eu", "rose", 9.0, 250.0, 200.0, 1.081),
        ("eu", "fruit", 50.0, 200.0, 200.0, 1.201),
        ("oiv", "white", 1.0, 200.0, 200.0, 1.201),
        ("oiv", "white", 9.0, 300.0, 200.0, 1.201),
        ("oiv", "rose", 9.0, 300.0, 200.0, 1.201),
        ("home", "fruit", 50.0, 200.0, 200.0, 1.201),
        ("us", "red", 1.0, 350.0, 300.0, 1.4),
        ("us", "rose", 1.0, 350.0, 300.0, 1.2),
        ("us", "fruit", 1.0, 350.0, 300.0, 1.2),
    ],
)
def test_limits_by_jurisdiction_and_colour(
    where: str, colour: str, sugar: float, total: float, sorbic: float, va: float
) -> None:
    wine = {"jurisdiction": where, "colour": colour, "sugar": sugar}
    assert calc("legal_limits", "total_so2", **wine) == total
    assert calc("legal_limits", "sorbic_acid", **wine) == sorbic
    assert calc("legal_limits", "va", **wine) == pytest.approx(va, abs=0.001)
    assert calc("legal_limits", "label_threshold", **wine) == 10.0
    assert calc("legal_limits", "date", **wine)


def test_ten_milligrams_are_declared_in_the_us_and_not_yet_in_the_eu() -> None:
    must_declare = topic("legal").must_declare
    assert [must_declare("us", total) for total in (9.9, 10.0)] == [False, True]
    assert [must_declare("eu", total) for total in (10.0, 10.1)] == [False, True]
    assert calc("legal_limits", "label_rule", jurisdiction="eu", colour="red", sugar=1.0) == "more than"


@pytest.mark.parametrize(
    ("sugar", "ta", "style"),
    [
        (4.0, 0.0, "dry"),
        (7.5, 6.0, "dry"),
        (9.0, 7.0, "dry"),
        (9.0, 6.9, "medium dry"),
        (12.0, 1.0, "medium dry"),
        (18.0, 8.0, "medium dry"),
        (18.0, 7.9, "semi-sweet"),
        (44.9, 8.0, "semi-sweet"),
        (45.0, 8.0, "sweet"),
    ],
)
def test_sweetness_is_named_as_the_oiv_names_it(sugar: float, ta: float, style: str) -> None:
    assert topic("legal").sweetness(sugar, ta) == style


def test_a_limit_nobody_knows_is_not_invented() -> None:
    with pytest.raises(topic("errors").CalcError, match="no limit on lead"):
        topic("legal").find("eu", "lead", "red")


def test_small_bottles_may_miss_their_mark_by_more_than_large_ones() -> None:
    find = topic("legal").find
    assert find("us", "fill_tolerance", "750 mL").value == 2.0
    assert find("us", "fill_tolerance", "375 mL").value == 3.0
