"""What is due and how a wine stands, as people read it."""

from __future__ import annotations

import re

from tests.cli.conftest import Desk


def test_what_is_due_is_grouped_by_how_it_stands_with_dose_and_reason(white: Desk) -> None:
    told = white("due", "--within", "31").out
    assert told.index("\nLate\n") < told.index("\nAhead\n")
    assert "add sulfite: potassium metabisulfite " in told
    assert "it is taken to stay free" in told
    assert "free SO2 15 mg/L on " in told
    assert "! Dissolve sulfite in water" in told


def test_due_tells_people_of_the_next_seven_days_unless_told_otherwise(white: Desk) -> None:
    white("record", "Demijohn 1", "check", "test=level", "result=pass", "--at", "-3d")
    week, month = white("due").out, white("due", "--within", "31").out
    assert week == white("due", "--within", "7").out
    assert "check level and airlock" not in week
    assert "check level and airlock" in month


def test_nothing_due_is_said(desk: Desk) -> None:
    assert desk("vessel", "add", "Tub", "capacity=60L", "material=plastic").status == 0
    assert "Nothing is due" in desk("due").out
    assert desk("due", "--json").json == []


def test_another_day_can_be_called_today(white: Desk) -> None:
    then = white("due", "--on", "+400d", "--json").json
    now = white("due", "--json").json
    assert {item["status"] for item in then} == {"late"}
    assert {item["action"] for item in then} <= {item["action"] for item in now}


def test_what_was_recorded_after_a_day_can_be_left_out(white: Desk) -> None:
    assert white("due", "--as-of", "-2d", "--json").json == []
    assert white("show", "Demijohn 1", "--as-of", "-2d").status == 1
    assert white("show", "Demijohn 1", "--as-of", "today", "--json").json["wine"] == "Terrace"


def test_a_wine_is_told_whole_to_people(white: Desk) -> None:
    told = white("show", "Demijohn 1").out
    assert told.startswith("Demijohn 1 · Terrace · sweet white · ageing\n22.7 L in glass, back wall\n")
    for part in ("pH 3.30 by aspiration", "total SO2 40 mg/L", "  yeast: "):
        assert part in told
    assert told.index("\nDue\n") < told.index("\nEarliest bottling ") < told.index("\nCare\n")


def test_the_working_names_inputs_entries_and_source(white: Desk) -> None:
    plain, working = white("show", "Demijohn 1").out, white("show", "Demijohn 1", "--because").out
    assert "Source: " not in plain
    assert "Source: " in working
    assert "(entry 5)" in working


def test_an_empty_vessel_is_called_empty(white: Desk) -> None:
    assert white("show", "demijohn 2").out == "Demijohn 2 · empty · glass, back wall\n"


def test_a_wine_that_moves_on_keeps_its_name_in_the_next_vessel(white: Desk) -> None:
    assert white("record", "Demijohn 1", "racking", "to=Demijohn 2", "volume=22L").status == 0
    assert white("show", "Demijohn 1", "--json").json["wine"] is None
    assert white("show", "Demijohn 2", "--json").json["wine"] == "Terrace"


def test_what_is_wrong_in_the_ledger_is_shown_beside_its_entry(white: Desk) -> None:
    assert "All is well" in white("check").out
    white("record", "Demijohn 1", "loss", "volume=20L", "--at", "-2d")
    white("record", "Demijohn 1", "loss", "volume=15L", "--at", "-5d")
    said = white("check")
    assert said.status == 1
    assert said.out.startswith("Demijohn 1, entry 6: ")
    assert "entry 6: " in white("show", "Demijohn 1").out


def test_materials_and_house_rules_are_listed_for_people(white: Desk) -> None:
    assert "Nothing is on hand yet" in white("material").out
    white("material", "set", "potassium_metabisulfite", "strength=0.9", "amount=250g", "opened=2026-01-02")
    assert "potassium metabisulfite: 250 g, strength 0.9 (default 1), opened 2 Jan 2026" in white("material").out
    rules = white("rule").out
    assert "* zone " in rules
    assert "  gravity_days " in rules
    assert "default 2, " in rules


def test_the_shelf_says_what_the_wines_will_need_and_what_to_get(white: Desk) -> None:
    told = white("material").out
    assert "potassium metabisulfite: not counted yet" in told
    assert re.search(r"· Demijohn 1 · Terrace: .* g \(add sulfite\)", told)
    assert re.search(r"To get until .*: potassium metabisulfite .* g\. Not known yet: .*sugar", told)
    white("material", "set", "potassium_metabisulfite", "amount=250g")
    assert "potassium metabisulfite: 250 g\n" in white("material").out
    assert re.search(r"To get until .*: nothing\.", white("material").out)
    white("record", "Demijohn 1", "addition", "material=potassium_metabisulfite", "amount=2g")
    assert "248 g, 250 g when last counted" in white("material").out
    near, far = (
        next(one for one in white("material", "--within", days, "--json").json if one["entry"]) for days in ("5", "365")
    )
    assert near["need"] < far["need"]
    assert {"vessel", "wine", "amount", "on", "action", "why"} <= set(far["needs"][0])
    assert white("material", "--within", "soon").status == 2


def test_a_strength_on_hand_is_what_a_dose_is_worked_out_with(white: Desk) -> None:
    white("material", "set", "potassium_metabisulfite", "strength=50%")
    answer = white(
        "record", "Demijohn 1", "addition", "material=potassium_metabisulfite", "amount=2g", "--preview", "--json"
    ).json
    assert 25 < answer["after"]["total_so2"] - answer["before"]["total_so2"] < 26
