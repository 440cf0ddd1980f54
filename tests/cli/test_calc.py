"""Calculations on the command line: typed in any unit, answered with the working."""

from __future__ import annotations

import json

import pytest

from cellar_tui.enology.calculations import CALCULATIONS
from tests.cli.conftest import Desk


def test_the_list_names_every_calculation(desk: Desk) -> None:
    assert [one["name"] for one in desk("calc", "--json").json] == list(CALCULATIONS)
    told = desk("calc").out.splitlines()
    assert [line.split()[0] for line in told] == list(CALCULATIONS)


def test_no_cellar_is_needed_to_calculate(desk: Desk) -> None:
    answer = desk("calc", "free_so2_needed", "ph=3,40", "molecular_so2=0.8", "--json").json
    assert set(answer) == {"result", "formula", "inputs", "source", "cautions"}
    assert answer["result"]["free_so2"]["unit"] == "mg/L"
    assert answer["result"]["free_so2"]["value"] == pytest.approx(31.9, abs=0.1)  # Henderson-Hasselbalch, computed


def test_amounts_are_read_in_any_unit_that_fits(desk: Desk) -> None:
    # 6 US gal = 22.712 L; 30 mg/L x 22.712 L / 0.576 = 1183 mg (computed).
    answer = desk("calc", "sulfite_addition", "volume=6 gal", "raise=30", "--json").json
    assert answer["result"]["amount"] == {"value": pytest.approx(1.183, abs=0.002), "unit": "g"}
    assert answer["inputs"]["volume"]["value"] == pytest.approx(22.712, abs=0.001)


@pytest.mark.parametrize("acid", ["tartaric", "tartaric_acid", "tartaric acid"])
def test_an_acid_is_named_with_or_without_the_word(desk: Desk, acid: str) -> None:
    answer = desk("calc", "acid_addition", "volume=10", "raise=1", f"acid={acid}", "--json").json
    assert answer["result"]["amount"]["value"] == pytest.approx(10.0)


def test_a_choice_that_is_not_there_is_answered_with_those_that_are(desk: Desk) -> None:
    said = desk("calc", "acid_addition", "volume=10", "raise=1", "acid=acetic", "--json")
    assert said.status == 1
    assert said.json["error"]["field"] == "acid"
    assert "tartaric" in said.json["error"]["message"]


def test_people_read_result_formula_inputs_source_and_cautions(desk: Desk) -> None:
    told = desk("calc", "sulfite_addition", "volume=22.7", "raise=30").out
    assert told.startswith("amount: 1.2 g\n")
    for part in ("1.18 g on a 0.01 g scale", "  volume = 22.7 L", "Source: ", "! "):
        assert part in told


def test_a_gravity_keeps_its_figures(desk: Desk) -> None:
    told = desk("calc", "sg_from_brix", "brix=21.6").out
    assert told.startswith("sg: 1.090")


def test_help_on_a_calculation_is_its_docstring_and_its_inputs(desk: Desk) -> None:
    said = desk("calc", "sulfite_addition", "--help")
    assert said.status == 0
    assert said.out.startswith(CALCULATIONS["sulfite_addition"].docstring.splitlines()[0])
    for one in CALCULATIONS["sulfite_addition"].inputs:
        assert f"  {one.name} " in said.out


def test_an_input_before_the_name_is_a_wrong_command_line(desk: Desk) -> None:
    assert desk("calc", "ph=3.2").status == 2


def test_every_answer_is_plain_json(desk: Desk) -> None:
    said = desk("calc", "tartrate_stability", "conductivity_drop=3", "--json")
    plain = json.loads(said.out, parse_constant=lambda word: pytest.fail(f"{word} is no JSON"))
    assert plain["result"]["stable"] == {"value": True, "unit": ""}
