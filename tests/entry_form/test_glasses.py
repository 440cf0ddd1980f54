"""The glasses of a bench trial: what is poured into each by what is tried, and the words of what they showed."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cellar_tui.entry_form import glasses
from cellar_tui.entry_form.glasses import Trial

BENTONITE = Trial("bentonite")


def test_the_glasses_take_the_stock_that_the_arithmetic_gives() -> None:
    found = glasses.glasses(BENTONITE, "0 25 50 100", "100", "5")
    assert [(one.dose, one.stock) for one in found.glasses] == [
        ("0", "untreated"),
        ("25", "0.5 mL"),
        ("50", "1 mL"),
        ("100", "2 mL"),
    ]
    assert not found.faults


def test_glasses_stand_in_the_order_of_their_doses_once_each() -> None:
    assert [one.dose for one in glasses.glasses(BENTONITE, "100;25 0 25", "100", "5").glasses] == ["0", "25", "100"]


def test_a_drop_too_small_to_measure_is_told_beside_its_glass() -> None:
    glass = glasses.glasses(BENTONITE, "10", "100", "5").glasses[0]
    assert (glass.stock, "dilute the stock" in glass.caution) == ("0.2 mL", True)


@pytest.mark.parametrize(
    ("doses", "sample", "stock", "field"),
    [
        ("", "100", "5", "doses"),
        ("0 x", "100", "5", "doses"),
        ("1 2 3 4 5 6 7 8 9", "100", "5", "doses"),
        ("5000", "100", "5", "doses"),
        ("50", "", "5", "sample"),
        ("50", "100", "60", "stock"),
    ],
)
def test_a_trial_that_cannot_be_poured_says_which_figure_is_wrong(
    doses: str, sample: str, stock: str, field: str
) -> None:
    found = glasses.glasses(BENTONITE, doses, sample, stock)
    assert (found.glasses, list(found.faults)) == ((), [field])


@pytest.mark.parametrize("stuff", glasses.STUFF)
def test_the_usual_doses_of_a_material_can_be_poured(stuff: str) -> None:
    doses, stock = Trial(stuff).usual
    if doses:
        found = glasses.glasses(Trial(stuff), doses, "100", stock)
        assert not found.faults
        assert found.glasses[0].stock == "untreated"


@pytest.mark.parametrize(
    ("trial", "doses", "stock", "poured"),
    [
        # Syrup: 1000 * 0.1 L * rise / (syrup - rise): 28 g/L by 500 g/L is 5.93 mL, by 700 g/L 4.17 mL.
        (Trial("sugar"), "0 15 22 28 35", "50", ["untreated", "3.1 mL", "4.6 mL", "5.9 mL", "7.5 mL"]),
        (Trial("sugar"), "28", "70", ["4.2 mL"]),
        (Trial("sugar"), "28", "500 g/L", ["5.9 mL"]),
        # A wine that holds 3 g/L lacks 25 of 28: 2500 / 475. What it holds already is no addition.
        (Trial("sugar", held=3.0), "2 28", "50", ["untreated", "5.3 mL"]),
        # 0.5 g/L of 100 mL is 0.05 g, in half a millilitre of a 10 % stock.
        (Trial("tartaric_acid"), "0.5 1", "10", ["0.5 mL", "1 mL"]),
        # 0.1 mg/L copper: 0.1 L * 0.1 / (10 * 0.004 * 0.2545) = 0.98 mL of 0.004 % copper sulfate.
        (Trial("copper_sulfate"), "0.1 0.2", "0.004", ["0.98 mL", "2 mL"]),
    ],
)
def test_unit_and_stock_follow_what_is_tried(trial: Trial, doses: str, stock: str, poured: list[str]) -> None:
    found = glasses.glasses(trial, doses, "100", stock)
    assert [one.stock for one in found.glasses] == poured


def test_glasses_of_a_sweetness_stand_around_the_one_that_is_wished() -> None:
    assert Trial("sugar", wished=28.0).usual == ("0 14 21 28 35", "50")
    assert Trial("sugar").usual[0] == "0 10 20 30 40"
    # A wine that holds 8 g/L lacks 20 of 28: half, three quarters, all and a quarter more of that.
    assert Trial("sugar", held=8.2, wished=28.2).usual[0] == "8 18 23 28 33"
    assert Trial("sugar", held=73.0).usual[0] == "73 83 93 103 113"
    assert [Trial(one).shown_unit for one in ("sugar", "tartaric_acid", "copper_sulfate", "bentonite")] == [
        "g/L sugar",
        "g/L",
        "mg/L copper",
        "g/hL",
    ]


@pytest.mark.parametrize(
    ("trial", "dose", "said"),
    [
        (Trial("copper_sulfate"), "2", "outside 0 to 1 mg/L"),
        (Trial("tartaric_acid"), "50", "outside 0 to 10 g/L"),
        (Trial("sugar"), "600", "outside 0 to 500 g/L"),
        (Trial("bentonite"), "5050", "outside 0 to 1000 g/hL"),
    ],
)
def test_a_dose_that_no_glass_ever_needs_is_refused(trial: Trial, dose: str, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        glasses.chosen(trial, dose)


def test_what_the_glasses_showed_becomes_one_text() -> None:
    assert glasses.results({"0": "hazy", "25": "", "50": " faint  haze "}) == "0 hazy; 50 faint haze"
    assert glasses.results({"0": "", "25": " "}) == ""


@given(st.dictionaries(st.sampled_from(["0", "2.5", "25", "100"]), st.text("hazyclear ;,", max_size=12)))
def test_what_the_glasses_showed_can_be_told_apart_again(said: dict[str, str]) -> None:
    once = glasses.results(said)
    assert glasses.results(glasses.said_of(once)) == once
    assert set(glasses.said_of(once)) == {dose for dose, word in said.items() if word.replace(";", ",").strip()}
