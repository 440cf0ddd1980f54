"""The workbench without its screen: what a wine offers to a calculation, what is typed over it, what comes out."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cellar_tui.cli import calc
from cellar_tui.enology.calculations import CALCULATIONS
from cellar_tui.language import quantities
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Request
from cellar_tui.workbench import bench_trial
from cellar_tui.workbench.calculate import Unworked, Worked, beside, default_of, in_use, run_typed
from cellar_tui.workbench.prefill import Prefilled, prefill, unit_of
from tests.one_wine import EMPTY, WINE, cellar


@pytest.fixture(scope="module")
def wine(tmp_path_factory: pytest.TempPathFactory) -> Iterator[OpenCellar]:
    service = cellar(tmp_path_factory.mktemp("cellar"))
    yield service
    service.close()


def offers(service: OpenCellar, name: str, vessel: str = WINE) -> dict[str, Prefilled]:
    return dict(prefill(service.view.wine(vessel), service.view.house, name))


def worked(name: str, typed: dict[str, str], offered: dict[str, Prefilled] | None = None) -> Worked:
    found = run_typed(name, typed, offered)
    assert isinstance(found, Worked), found
    return found


def unworked(name: str, typed: dict[str, str], offered: dict[str, Prefilled] | None = None) -> Unworked:
    found = run_typed(name, typed, offered)
    assert isinstance(found, Unworked), found
    return found


# -- what a wine offers


def test_a_wine_offers_its_last_readings_with_their_day_and_entry(wine: OpenCellar) -> None:
    found = offers(wine, "molecular_so2")
    assert found["ph"] == Prefilled("3.20", "28 Sep, entry 7")
    # Read on 2 October, racked on the 6th: what is offered is the figure of the day that every other place shows.
    day = wine.view.wine(WINE).day
    assert day is not None
    assert day.so2 is not None
    assert found["free_so2"].text == f"{day.so2.free_so2:.0f}"
    assert found["free_so2"].source == "estimate of today, 49 d after its reading, 2 Oct, entry 9"


def test_every_offer_names_where_it_is_from_and_can_be_read_back(wine: OpenCellar) -> None:
    for name, calculation in CALCULATIONS.items():
        for one, offer in offers(wine, name).items():
            asked = next(item for item in calculation.inputs if item.name == one)
            assert offer.source, (name, one)
            assert asked.choices or quantities.parse(offer.text, unit_of(one, asked.unit)).text == offer.text


def test_a_calculation_is_offered_nothing_it_does_not_ask_for(wine: OpenCellar) -> None:
    for name, calculation in CALCULATIONS.items():
        assert set(offers(wine, name)) <= {one.name for one in calculation.inputs}


def test_sulfite_added_since_the_reading_counts_by_its_staying_share(tmp_path: Path) -> None:
    service = cellar(tmp_path / "with")
    added = {"material": "potassium_metabisulfite", "amount": "1 g"}
    service.recorder.record(Request(WINE, "addition", added, "2026-11-01"))
    before = float(offers(cellar(tmp_path / "without"), "molecular_so2")["free_so2"].text)
    offer = offers(service, "molecular_so2")["free_so2"]
    # 1 g in 22 L, faded over 19 d in glass at 0.4 % a day.
    raised = 1000 * 0.5762 / 22 * service.view.house.number("share_later") * math.exp(-0.004 * 19)
    assert float(offer.text) == pytest.approx(before + raised, abs=1.1)
    assert "after its reading, 2 Oct, entry 9" in offer.source
    service.close()


def test_an_empty_vessel_offers_the_house_rules_and_what_is_usual_alone(wine: OpenCellar) -> None:
    assert set(offers(wine, "legal_limits", EMPTY)) == {"jurisdiction"}
    assert set(offers(wine, "bottle_count", EMPTY)) == {"bottle"}
    assert dict(prefill(None, wine.view.house, "molecular_so2")) == {}


def test_a_changed_house_rule_is_offered_with_the_entry_that_changed_it(tmp_path: Path) -> None:
    service = cellar(tmp_path)
    assert offers(service, "legal_limits")["jurisdiction"].source == "house rule jurisdiction, default"
    entry = service.recorder.set_rule("jurisdiction", "eu").outcomes[0].entry.seq
    found = offers(service, "legal_limits")["jurisdiction"]
    assert found == Prefilled("eu", f"house rule jurisdiction, entry {entry}")
    service.close()


def test_the_must_is_told_by_its_gravity_and_the_wine_by_its_last(wine: OpenCellar) -> None:
    found = offers(wine, "alcohol_from_gravity")
    assert (found["original_gravity"].text, found["final_gravity"].text) == ("1.090", "0.993")
    assert set(offers(wine, "potential_alcohol")) == {"sg"}


def test_water_is_counted_in_what_the_must_and_its_acid_are_offered_with(tmp_path: Path) -> None:
    service = cellar(tmp_path)
    must = {"name": "Thin", "style": "dry_white", "volume": "16 L", "sg": "1.100"}
    service.recorder.start_wine(Request(EMPTY, "wine", must, "2026-09-20"))
    service.recorder.record(Request(EMPTY, "reading", {"ta": "10 g/L"}, "2026-09-20"))
    service.recorder.record(Request(EMPTY, "addition", {"material": "water", "amount": "4 L"}, "2026-09-20"))
    # 16 L of SG 1.100 and TA 10 g/L with 4 L of water.
    assert offers(service, "potential_alcohol", EMPTY)["sg"].text == "1.080"
    found = offers(service, "amelioration", EMPTY)["ta"]
    assert found.text == "8.0"
    assert found.source.endswith("thinned by what came in since")
    service.close()


def test_a_corrected_gravity_is_never_offered_as_one_read_off_the_stem(wine: OpenCellar) -> None:
    assert "sg" not in offers(wine, "hydrometer_correction")


def test_the_dose_chosen_in_the_last_bench_trial_is_offered_for_the_vessel(tmp_path: Path) -> None:
    service = cellar(tmp_path)
    for doses, chosen in (("0 25 50", "50"), ("40 50", "40")):
        service.recorder.record(Request(WINE, "trial", {"material": "bentonite", "doses": doses, "chosen": chosen}))
    found = offers(service, "fining_dose")
    assert found["dose"].text == "40"
    assert found["dose"].source.startswith("trial of bentonite, 20 Nov")
    assert worked("fining_dose", {}, found).lines[0] == "amount 8.8 g"
    service.close()


def test_a_house_in_gallons_is_offered_gallons(tmp_path: Path) -> None:
    service = cellar(tmp_path)
    service.recorder.set_rule("units", "us")
    found = offers(service, "sulfite_addition")
    assert found["volume"].text == "5.81"
    result = run_typed("sulfite_addition", {"raise": "30"}, found, system="us")
    assert isinstance(result, Worked)
    assert [one.text for one in result.inputs if one.name == "volume"] == ["5.81 gal"]
    service.close()


# -- what is typed


def test_what_is_typed_outdoes_what_is_offered_and_says_so(wine: OpenCellar) -> None:
    found = worked("molecular_so2", {"ph": "3,50"}, offers(wine, "molecular_so2"))
    inputs = {one.name: (one.text, one.source) for one in found.inputs}
    assert inputs["ph"] == ("3.50", "")
    free, source = inputs["free_so2"]
    assert source == offers(wine, "molecular_so2")["free_so2"].source
    assert inputs["pka"] == ("1.81", "default")
    # At pH 3.50 two in a hundred of it are molecular: 1 / (1 + 10^(3.50 - 1.81)).
    assert found.lines[0] == f"molecular SO2 {float(free.split()[0]) * 0.02001:.2f} mg/L"


def test_a_field_emptied_by_hand_stays_empty(wine: OpenCellar) -> None:
    found = unworked("molecular_so2", {"ph": ""}, offers(wine, "molecular_so2"))
    assert (set(found.missing), dict(found.faults)) == ({"ph"}, {})


def test_a_typed_rise_makes_the_readings_stand_aside(wine: OpenCellar) -> None:
    found = worked("sulfite_addition", {"raise": "30 mg/L"}, offers(wine, "sulfite_addition"))
    assert found.lines[1] == "rise 30 mg/L"
    assert not {"ph", "free_so2", "molecular_so2"} & {one.name for one in found.inputs}


def test_without_a_typed_rise_the_readings_say_what_to_add(wine: OpenCellar) -> None:
    typed = {"molecular_so2": "1.2"}
    found = worked("sulfite_addition", typed, offers(wine, "sulfite_addition"))
    assert {"ph", "free_so2", "molecular_so2", "share"} <= {one.name for one in found.inputs}


def test_a_lone_ph_does_not_ask_for_a_potassium_reading(wine: OpenCellar) -> None:
    offered = offers(wine, "tartrate_stability")
    assert worked("tartrate_stability", {"conductivity_drop": "3"}, offered).lines == ["stable yes"]
    assert "ph" in in_use("tartrate_stability", {"potassium": "900"}, offered)


@pytest.mark.parametrize(
    ("name", "typed", "field", "says"),
    [
        ("molecular_so2", {"ph": "3.2", "free_so2": "30 g"}, "free_so2", "use mg/L"),
        ("molecular_so2", {"ph": "7", "free_so2": "30"}, "ph", "pH 7 is outside 2.2 to 4.8"),
        ("sorbate_dose", {"volume": "22", "alcohol": "9", "ph": "3.2"}, "alcohol", "outside"),
        ("acid_addition", {"volume": "22", "raise": "1", "acid": "lactic"}, "acid", "use tartaric, malic, citric"),
        ("sulfite_addition", {"volume": "x", "raise": "30"}, "volume", "Begin with a number"),
    ],
)
def test_what_cannot_be_used_is_told_beside_its_own_field(
    name: str, typed: dict[str, str], field: str, says: str
) -> None:
    found = unworked(name, typed)
    assert list(found.faults) == [field]
    assert says in found.faults[field]


def test_every_fault_is_told_at_once() -> None:
    found = unworked("sulfite_addition", {"volume": "x", "raise": "9 L"})
    assert set(found.faults) == {"volume", "raise"}


def test_what_is_still_to_be_typed_is_no_fault() -> None:
    found = unworked("sulfite_addition", {"volume": "22"})
    assert (dict(found.faults), set(found.missing)) == ({}, {"raise"})
    assert "free_so2" not in found.missing["raise"]


@given(st.text(max_size=12))
def test_whatever_is_typed_is_worked_or_told(text: str) -> None:
    for name, asked in (("molecular_so2", "ph"), ("acid_addition", "acid"), ("bottle_count", "bottle")):
        assert isinstance(run_typed(name, {asked: text}), Worked | Unworked)


@given(st.floats(10, 400), st.floats(1, 120))
def test_typing_the_unit_beside_the_field_changes_nothing(volume: float, rise: float) -> None:
    for system in ("metric", "us", "imperial"):
        unit = beside(CALCULATIONS["sulfite_addition"].inputs[0], system)
        alone = {"volume": f"{volume:.2f}", "raise": f"{rise:.0f}"}
        with_unit = {"volume": f"{volume:.2f} {unit}", "raise": f"{rise:.0f} mg/L"}
        assert run_typed("sulfite_addition", alone, system=system) == run_typed(
            "sulfite_addition", with_unit, system=system
        )


def test_a_default_typed_by_hand_gives_the_same_result() -> None:
    plain = worked("sulfite_addition", {"volume": "22", "raise": "30"})
    inputs = CALCULATIONS["sulfite_addition"].inputs
    asked = {one.name: default_of(one) for one in inputs if one.name in ("share", "pka")}
    assert worked("sulfite_addition", {"volume": "22", "raise": "30", "share": asked["share"]}).results == plain.results
    assert asked["pka"] == "1.81"


def test_every_calculation_carries_its_working() -> None:
    found = worked("fining_dose", {"dose": "50", "volume": "54", "stock": "5"})
    assert found.lines == ["amount 27 g", "slurry 540 mL"]
    assert "g = dose * volume / 100" in found.formula
    assert found.source
    assert any("test the treated wine again" in one for one in found.cautions)


def test_the_command_line_reads_what_the_screen_reads() -> None:
    ratio = {"oxygen": "6", "ratio": "3"}
    assert calc.read(CALCULATIONS["so2_from_oxygen"], ratio) == {"oxygen": 6, "ratio": 3}
    assert calc.read(CALCULATIONS["molecular_so2"], {"ph": "pH 3.2", "free_so2": "30 ppm"})["ph"] == 3.2


# -- the bench trial


def test_the_chosen_dose_is_scaled_to_the_vessel(wine: OpenCellar) -> None:
    found = bench_trial.scaled("bentonite", 50.0, "5", offers(wine, "fining_dose"))
    assert isinstance(found, Worked)
    assert found.lines[:2] == ["amount 11 g", "slurry 220 mL"]


@pytest.mark.parametrize(
    ("stuff", "dose", "held", "lines"),
    [
        # 22 L: 28 g/L is 22 * 28 / (1 - 0.00062 * 28) = 627 g in 22.4 L. A wine that holds 3 g/L lacks 25: 559 g.
        ("sugar", 28.0, 0.0, ["amount 627 g", "volume after 22.4 L"]),
        ("sugar", 28.0, 3.0, ["amount 559 g", "volume after 22.3 L"]),
        # Syrup of 614.8 g/L: 1000 * 22 * 28 / (614.8 - 28) = 1050 mL.
        ("syrup", 28.0, 0.0, ["amount 1050 mL", "volume after 23 L"]),
        # Acid is weighed as it was in the glass: 22 L * 0.5 g/L.
        ("tartaric_acid", 0.5, 0.0, ["amount 11 g"]),
        ("malic_acid", 0.5, 0.0, ["amount 11 g"]),
        # 22 L * 0.1 mg/L / 254.5 = 0.0086 g of the sulfate, 22 * 0.1 / 2.545 = 0.86 mL of a 1 % solution.
        ("copper_sulfate", 0.1, 0.0, ["amount 0.01 g", "as stock solution 0.86 mL"]),
    ],
)
def test_each_material_is_scaled_by_its_own_calculation(
    wine: OpenCellar, stuff: str, dose: float, held: float, lines: list[str]
) -> None:
    found = bench_trial.scaled(stuff, dose, "", offers(wine, "fining_dose"), held=held)
    assert isinstance(found, Worked)
    assert found.lines[: len(lines)] == lines
