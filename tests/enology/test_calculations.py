"""The register of calculations: names, inputs, results and units as promised, and refusals that say what to do."""

from __future__ import annotations

import math

import pytest

from cellar_tui.enology import legal
from cellar_tui.enology.calculations import CALCULATIONS, REQUIRED, CalcError, OutOfRange, run
from cellar_tui.enology.references import REFERENCES

Wine = dict[str, object]

PROMISED: dict[str, tuple[Wine, dict[str, str]]] = {
    "molecular_so2": ({"ph": 3.2, "free_so2": 25.0}, {"molecular_so2": "mg/L", "percent": "%"}),
    "free_so2_needed": ({"ph": 3.4, "molecular_so2": 0.8}, {"free_so2": "mg/L"}),
    "sulfite_addition": ({"volume": 20.0, "raise": 50.0}, {"amount": "g", "raise": "mg/L"}),
    "so2_forecast": ({"free_so2": 30.0, "half_life": 60.0, "days": 30.0}, {"free_so2": "mg/L"}),
    "so2_from_oxygen": ({"oxygen": 2.8}, {"free_so2": "mg/L"}),
    "brix_from_sg": ({"sg": 1.09}, {"brix": "Brix"}),
    "sg_from_brix": ({"brix": 22.0}, {"sg": ""}),
    "hydrometer_correction": ({"sg": 1.09, "sample_temperature": 28.0}, {"sg": ""}),
    "potential_alcohol": ({"sugar": 220.0}, {"alcohol": "% vol"}),
    "alcohol_from_gravity": ({"original_gravity": 1.095, "final_gravity": 0.992}, {"alcohol": "% vol"}),
    "dry_extract": ({"sg": 0.994, "alcohol": 12.5}, {"dry_extract": "g/L", "sg_extract": ""}),
    "ethanol_density": ({"alcohol": 12.0}, {"density": "kg/m3", "sg": ""}),
    "sugar_to_sweeten": ({"volume": 20.0, "raise": 30.0}, {"amount": "g", "volume": "L"}),
    "syrup_to_sweeten": ({"volume": 20.0, "raise": 30.0, "syrup": 614.8}, {"amount": "mL", "volume": "L"}),
    "bottle_pressure": ({"sugar": 4.0, "alcohol": 12.0}, {"pressure": "bar"}),
    "sorbate_dose": (
        {"volume": 23.0, "alcohol": 12.0, "ph": 3.3},
        {"dose": "mg/L", "sorbic_acid": "mg/L", "amount": "g"},
    ),
    "cold_hold_days": ({"temperature": 2.0}, {"days": "d"}),
    "freezing_point": ({"alcohol": 12.0}, {"temperature": "C", "range": "C"}),
    "bitartrate_solubility": ({"temperature": 10.0, "alcohol": 12.0}, {"solubility": "g/L"}),
    "tartrate_stability": (
        {"saturation_drop": 300.0, "colour": "red", "potassium": 900.0, "tartaric": 2.0, "ph": 3.5},
        {"saturation_temperature": "C", "concentration_product": "mol2/L2 x1e5", "stable": ""},
    ),
    "ta_after_malolactic": ({"ta": 7.2, "malic": 2.8}, {"ta": "g/L", "lactic": "g/L"}),
    "bench_trial": ({"dose": 50.0, "sample": 100.0, "stock": 5.0}, {"amount": "mL"}),
    "fining_dose": ({"dose": 50.0, "volume": 54.0}, {"amount": "g", "slurry": "mL"}),
    "acid_addition": ({"volume": 20.0, "raise": 1.0, "acid": "tartaric"}, {"amount": "g"}),
    "deacidification": ({"volume": 20.0, "lower": 1.0, "salt": "calcium_carbonate"}, {"amount": "g"}),
    "nutrient_addition": ({"volume": 23.0, "yan": 160.0, "need": 275.0}, {"amount": "g", "dose": "mg/L"}),
    "fortification": (
        {"volume": 20.0, "alcohol": 12.0, "strength": 40.0, "wanted": 18.5},
        {"amount": "L", "volume": "L"},
    ),
    "must_weight": (
        {"oechsle": 86.0},
        {
            "oechsle": "Oe",
            "kmw": "KMW",
            "baume": "Baume",
            "brix": "Brix",
            "sg": "",
            "sugar": "g/L",
            "alcohol": "% vol",
        },
    ),
    "spirit_strength": ({"proof_us": 100.0}, {"alcohol": "% vol", "proof_us": "proof", "proof_uk": "UK proof"}),
    "pearson_square": (
        {"volume": 100.0, "value1": 11.0, "value2": 14.0, "wanted": 12.5},
        {"volume1": "L", "volume2": "L"},
    ),
    "blend_lots": (
        {
            "volumes": (100.0, 60.0),
            "alcohol": (12.0, 13.5),
            "ta": (6.5, 5.2),
            "sugar": (2.0, 1.0),
            "va": (0.35, 0.55),
            "free_so2": (25.0, 18.0),
            "total_so2": (90.0, 70.0),
            "ph": (3.15, 3.8),
            "buffer": (40.0, 35.0),
        },
        {
            "volume": "L",
            "alcohol": "% vol",
            "ta": "g/L",
            "sugar": "g/L",
            "va": "g/L",
            "free_so2": "mg/L",
            "total_so2": "mg/L",
            "ph": "",
        },
    ),
    "chaptalization": ({"volume": 100.0, "alcohol": 11.0, "wanted": 13.0}, {"amount": "g", "volume": "L"}),
    "amelioration": ({"volume": 100.0, "ta": 12.0, "wanted": 8.0}, {"water": "L", "volume": "L"}),
    "so2_titration": ({"titrant": 2.3, "normality": 0.01, "sample": 20.0}, {"so2": "mg/L"}),
    "ta_titration": ({"titrant": 12.0, "normality": 0.1, "sample": 15.0}, {"ta": "g/L"}),
    "va_titration": ({"titrant": 0.95, "normality": 0.1, "sample": 10.0}, {"va": "g/L"}),
    "formol_yan": ({"titrant": 1.2, "normality": 0.1, "sample": 10.0}, {"yan": "mg/L"}),
    "refractometer_ferment": ({"brix_start": 22.0, "brix": 8.0}, {"sg": "", "error": ""}),
    "alcohol_from_refractometer": ({"brix": 7.0, "sg": 0.993}, {"alcohol": "% vol", "solids": "g/L"}),
    "tank_dip": ({"shape": "lying", "diameter": 100.0, "length": 150.0, "level": 20.0}, {"volume": "L"}),
    "barrel_ullage": (
        {"bung_diameter": 62.0, "head_diameter": 54.0, "length": 80.0, "dry": 3.0},
        {"empty": "L", "volume": "L"},
    ),
    "headspace_flush": ({"headspace": 100.0}, {"volume": "L", "displaced": "L", "co2": "g"}),
    "so2_removal": ({"volume": 20.0, "lower": 20.0, "strength": 3.0}, {"amount": "mL"}),
    "copper_fining": ({"volume": 225.0, "copper": 0.2}, {"amount": "g"}),
    "priming_sugar": (
        {"volume": 10.0, "pressure": 6.0, "alcohol": 12.0},
        {"dose": "g/L", "amount": "g", "pressure_30": "bar"},
    ),
    "spirit_dilution": ({"volume": 1.0, "strength": 96.0, "wanted": 40.0}, {"water": "L", "volume": "L"}),
    "buffer_capacity": (
        {"acid": "tartaric", "dose": 1.0, "ph_before": 3.6, "ph_after": 3.48},
        {"buffer": "meq/L a pH"},
    ),
    "acid_for_ph": (
        {"volume": 100.0, "ph": 3.6, "wanted": 3.45, "buffer": 49.1, "acid": "tartaric"},
        {"dose": "g/L", "amount": "g"},
    ),
    "so2_pka": ({"alcohol": 12.0, "temperature": 20.0}, {"pka": ""}),
    "label_figures": (
        {"alcohol": 12.0, "sugar": 3.0, "ta": 6.0},
        {"energy_kj": "kJ", "energy_kcal": "kcal", "drinks_10g": "", "drinks_14g": "", "units_uk": ""},
    ),
    "bottle_cost": ({"cost": 1200.0, "volume": 225.0, "bottle": 750.0}, {"cost": ""}),
    "bottle_count": ({"volume": 23.0, "bottle": 750.0}, {"bottles": ""}),
    "so2_in_air": ({"amount": 10.0, "room": 20.0}, {"concentration": "ppm"}),
    "co2_in_room": ({"volume": 100.0, "sugar": 220.0, "room": 60.0}, {"concentration": "%"}),
    "legal_limits": (
        {"jurisdiction": "eu", "colour": "red", "sugar": 2.0},
        {"total_so2": "mg/L", "sorbic_acid": "mg/L", "va": "g/L", "label_threshold": "mg/L", "date": ""},
    ),
}
OPTIONAL: dict[str, Wine] = {
    "molecular_so2": {"pka": 1.81},
    "free_so2_needed": {"pka": 1.81},
    "sulfite_addition": {"material": "potassium_metabisulfite", "share": 1.0, "strength": 1.0, "ph_error": 0.05},
    "so2_forecast": {"days": None, "target": None},
    "so2_from_oxygen": {"ratio": 4.0},
    "hydrometer_correction": {"calibration_temperature": 20.0, "alcohol": None},
    "potential_alcohol": {"sugar": None, "brix": None, "sg": None, "solids": 20.0},
    "alcohol_from_gravity": {"method": "balling"},
    "bottle_pressure": {"co2": 1.0, "temperature": 20.0, "kind": "grape"},
    "must_weight": {"oechsle": None, "kmw": None, "baume": None, "brix": None, "sg": None},
    "spirit_strength": {"alcohol": None, "proof_us": None, "proof_uk": None},
    "blend_lots": {"alcohol": None, "ta": None, "ph": None, "buffer": None},
    "chaptalization": {"factor": 16.83, "brix": None, "wanted_brix": None},
    "so2_titration": {"blank": 0.0},
    "headspace_flush": {"oxygen": 1.0},
    "priming_sugar": {"co2": 0.5},
    "label_figures": {"glycerol": 7.0, "bottle": 750.0},
    "bottle_cost": {"loss": 0.0, "dry_goods": 0.0, "years": 1.0},
    "tank_dip": {"length": None},
    "sorbate_dose": {"sweeten": None, "syrup": None},
    "ta_after_malolactic": {"malic_left": 0.0},
    "fining_dose": {"stock": 5.0},
    "nutrient_addition": {"need": None, "brix": None},
    "bottle_count": {"loss": 0.0},
}
NAMES = sorted(CALCULATIONS)


def test_every_promised_calculation_is_there() -> None:
    assert set(PROMISED) == set(CALCULATIONS)


@pytest.mark.parametrize("name", NAMES)
def test_results_have_the_promised_names_and_units(name: str) -> None:
    inputs, results = PROMISED[name]
    values = run(name, **inputs).values
    assert {key: values[key].unit for key in results} == results


@pytest.mark.parametrize("name", NAMES)
def test_a_result_carries_its_working(name: str) -> None:
    inputs, _ = PROMISED[name]
    result = run(name, **inputs)
    assert {key: result.inputs[key].value for key in inputs} == inputs
    assert result.formula
    known = (*map(str, REFERENCES.values()), *(limit.source for limit in legal.LIMITS))
    assert any(source in result.source for source in known)
    assert all(caution and not caution.endswith(".") for caution in result.cautions)


@pytest.mark.parametrize("name", NAMES)
def test_a_result_is_finite(name: str) -> None:
    for key, quantity in run(name, **PROMISED[name][0]).values.items():
        if isinstance(quantity.value, float):
            assert math.isfinite(quantity.value), key


@pytest.mark.parametrize("name", sorted(OPTIONAL))
def test_what_may_be_left_out_has_the_promised_default(name: str) -> None:
    defaults = {item.name: item.default for item in CALCULATIONS[name].inputs}
    assert {key: defaults[key] for key in OPTIONAL[name]} == OPTIONAL[name]


@pytest.mark.parametrize("name", NAMES)
def test_every_input_says_what_it_is(name: str) -> None:
    calculation = CALCULATIONS[name]
    assert calculation.title
    assert len(calculation.docstring) > 40
    for item in calculation.inputs:
        assert item.help, item.name
        assert item.choices or item.limits, item.name


@pytest.mark.parametrize("name", NAMES)
def test_a_missing_input_is_named_with_its_unit(name: str) -> None:
    inputs, _ = PROMISED[name]
    for item in CALCULATIONS[name].inputs:
        if item.default is not REQUIRED:
            continue
        rest = {key: value for key, value in inputs.items() if key != item.name}
        with pytest.raises(CalcError, match=f"{item.name} is missing: give") as caught:
            run(name, **rest)
        assert caught.value.field == item.name
        assert item.unit in str(caught.value)


@pytest.mark.parametrize("name", NAMES)
def test_an_input_out_of_range_is_refused_with_the_range_and_what_to_do(name: str) -> None:
    inputs, _ = PROMISED[name]
    for item in CALCULATIONS[name].inputs:
        if item.limits is None:
            continue
        for outside in (item.limits.low - 1.0, item.limits.high * 1.5 + 1.0, math.nan, math.inf):
            with pytest.raises(OutOfRange) as caught:
                run(name, **{**inputs, item.name: outside})
            assert caught.value.field == item.name
            assert f"{item.limits.low:g} to {item.limits.high:g}" in str(caught.value)
            assert item.limits.instead in str(caught.value)


@pytest.mark.parametrize("name", NAMES)
def test_a_choice_nobody_offers_is_refused_with_those_there_are(name: str) -> None:
    inputs, _ = PROMISED[name]
    for item in CALCULATIONS[name].inputs:
        if not item.choices:
            continue
        with pytest.raises(CalcError, match="is not known: use") as caught:
            run(name, **{**inputs, item.name: "moonlight"})
        assert caught.value.field == item.name
        assert all(choice in str(caught.value) for choice in item.choices)


@pytest.mark.parametrize("name", NAMES)
def test_an_input_nobody_asked_for_is_refused_with_those_there_are(name: str) -> None:
    with pytest.raises(CalcError, match="has no input 'moon'") as caught:
        run(name, **PROMISED[name][0], moon=1.0)
    assert caught.value.field == "moon"


def test_an_unknown_calculation_is_answered_with_the_list() -> None:
    with pytest.raises(CalcError, match="molecular_so2") as caught:
        run("moonlight")
    assert caught.value.field == "name"


@pytest.mark.parametrize("value", ["3.2", True, [3.2], {"ph": 3.2}])
def test_what_is_no_number_is_refused(value: object) -> None:
    with pytest.raises(CalcError, match="ph must be a number") as caught:
        run("molecular_so2", ph=value, free_so2=25.0)
    assert caught.value.field == "ph"


def test_whole_numbers_serve_as_numbers() -> None:
    assert run("cold_hold_days", temperature=-4).values["days"].value == 5.0


def test_an_input_left_open_takes_its_default() -> None:
    assert run("molecular_so2", ph=3.2, free_so2=25.0, pka=None).inputs["pka"].value == 1.81


def test_defaults_that_played_no_part_are_not_shown_as_inputs() -> None:
    assert "ph_error" not in run("sulfite_addition", volume=20.0, **{"raise": 50.0}).inputs
    assert "temperature" not in run("molecular_so2", ph=3.2, free_so2=25.0).inputs
    assert "solids" not in run("potential_alcohol", sugar=220.0).inputs
    assert "solids" in run("potential_alcohol", brix=22.0).inputs
