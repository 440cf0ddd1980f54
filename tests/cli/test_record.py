"""What is recorded from the command line does what a cellar hand means by it, and says so in plain words."""

from __future__ import annotations

import re

import pytest

from tests.cli.conftest import Desk

KMBS = ("record", "Demijohn 1", "addition", "material=potassium_metabisulfite")
SUGAR = ("record", "Demijohn 1", "addition", "material=sugar", "amount=700g")


def test_two_grams_of_metabisulfite_in_a_demijohn_are_51_mg_a_litre_of_which_25_to_34_stay_free(white: Desk) -> None:
    # 2000 mg x 0.576 SO2 / 22.7 L = 50.7 mg/L; half to two thirds of it stays free (stoichiometry, computed).
    answer = white(*KMBS, "amount=2g", "--preview", "--json").json
    assert answer["after"]["total_so2"] - answer["before"]["total_so2"] == pytest.approx(50.7, abs=0.1)
    told = white(*KMBS, "amount=2g", "--preview").out
    assert "+51 mg/L total SO2, of which 25 to 34 mg/L stays free." in told
    assert "! Dissolve sulfite in water" in told


def test_a_dose_moves_the_recheck_and_closes_the_sulfite_asked_for(white: Desk) -> None:
    moved = {one["action"]: one for one in white(*KMBS, "amount=1.5g", "--json").json["plan_changes"]}
    assert moved["sulfite"]["now"] is None
    assert moved["so2_recheck"]["now"]["due"] != (moved["so2_recheck"]["was"] or {}).get("due")


def test_a_preview_keeps_nothing(white: Desk) -> None:
    said = white(*KMBS, "amount=1g", "--preview", "--json")
    assert (said.status, said.json["entry"]["id"]) == (0, None)
    assert white("show", "Demijohn 1", "--json").json["totals"]["so2_added_mg_l"] == 0


def test_a_finished_wine_is_not_sweetened_before_its_sorbate_unless_a_reason_is_given(white: Desk) -> None:
    stopped = white(*SUGAR, "--json")
    assert stopped.status == 3
    (stop,) = stopped.json["stopped_by"]
    assert (stop["guard"], stop["waivable"]) == ("sugar_before_sorbate", True)
    assert "bottles can burst" in stopped.err
    assert '--waive "reason"' in stopped.err
    assert white(*SUGAR, "--preview").status == 3
    assert white(*SUGAR, "--waive", "  ").status == 3
    assert white("show", "Demijohn 1", "--json").json["totals"]["sugar_g_l"] is None, "never read"
    weighed = white(*SUGAR, "--preview", "--waive", "sterile filter tomorrow")
    assert weighed.status == 0
    assert weighed.out.startswith("Would record")
    kept = white(*SUGAR, "--waive", "sterile filter tomorrow", "--json")
    assert kept.status == 0
    assert kept.json["entry"]["waived"] == "sterile filter tomorrow"
    assert white("show", "Demijohn 1", "--json").json["stage"] == "sweetened"


def test_must_is_sugared_without_a_word(twins: Desk) -> None:
    said = twins("record", "Barrel 1", "addition", "material=sugar", "amount=1kg", "--at", "-29d", "--json")
    assert said.status == 0
    assert said.json["stopped_by"] == []
    assert twins("show", "Barrel 1", "--json").json["stage"] == "must"


def test_wine_that_is_not_there_cannot_be_lost_whatever_the_reason(white: Desk) -> None:
    said = white("record", "Demijohn 1", "loss", "volume=90L", "--waive", "it is gone", "--json")
    assert said.status == 3
    assert [stop["waivable"] for stop in said.json["stopped_by"]] == [False]
    assert said.err.endswith("Nothing was recorded.\n")


def test_a_wine_that_came_finished_has_a_plan_to_the_bottle(white: Desk) -> None:
    actions = {item["action"] for item in white("due", "--json").json}
    assert {"sulfite", "gravity_check"} <= actions
    path = [step["action"] for step in white("show", "Demijohn 1", "--json").json["path"]]
    assert path.index("sorbate") < path.index("sweeten") < path.index("refermentation_watch") < path.index("bottle")


def test_a_retry_under_the_same_key_records_nothing_twice(white: Desk) -> None:
    first = white(*KMBS, "amount=1g", "--key", "evening round", "--json").json
    again = white(*KMBS, "amount=1g", "--key", "evening round", "--json")
    assert again.status == 0
    assert "already" not in first
    assert again.json["already"] is True
    assert again.json["entry"] == first["entry"]
    assert "Already recorded as entry 6" in white(*KMBS, "amount=1g", "--key", "evening round").out


def test_a_withdrawal_can_be_withdrawn(white: Desk) -> None:
    white(*KMBS, "amount=1g")
    dosed = white("show", "Demijohn 1", "--json").json
    white("undo", "6")
    assert white("show", "Demijohn 1", "--json").json["totals"]["so2_added_mg_l"] == 0
    assert "undo 7 brings it back" in white("undo", "6").err
    white("undo", "7")
    assert white("show", "Demijohn 1", "--json").json == dosed
    assert white("check").status == 0


def test_a_correction_keeps_its_place_in_time_unless_told_otherwise(white: Desk) -> None:
    day = white("show", "Demijohn 1", "--json").json["readings"]["ph"]["on"]
    kept = white("amend", "5", "ph=3.40", "--json").json["entry"]
    assert (kept["on"], kept["fields"]["ph"], kept["fields"]["free_so2"]) == (day, 3.4, 15)
    assert kept["supersedes"] == 5
    moved = white("amend", "5", "--at", "-9d", "free_so2=", "--json").json["entry"]
    assert moved["on"] < day
    assert "free_so2" not in moved["fields"]
    readings = white("show", "Demijohn 1", "--json").json["readings"]
    assert set(readings) == {"ph"}
    assert readings["ph"]["on"] == moved["on"]


def test_a_correction_can_move_an_entry_to_the_vessel_it_was_meant_for(twins: Desk) -> None:
    made = twins("record", "Barrel 1", "reading", "sg=1.040", "--at", "-20d", "--json").json["entry"]["id"]
    assert twins("amend", str(made), "vessel=Barrel 2").status == 0
    assert twins("show", "Barrel 1", "--json").json["readings"] == {}
    assert twins("show", "Barrel 2", "--json").json["readings"]["sg"]["value"] == 1.04
    assert twins("check").status == 0


@pytest.mark.parametrize("at", ["-3d", "yesterday", "today"])
def test_a_day_follows_its_option_after_a_space(twins: Desk, at: str) -> None:
    assert twins("record", "Barrel 1", "note", "text=seen", "--at", at, "--preview").status == 0
    assert twins("record", "--at", at, "Barrel 1", "note", "--preview", "text=seen").status == 0


def test_bare_degrees_are_refused_where_the_house_is_not_metric(white: Desk) -> None:
    assert white("record", "Demijohn 1", "reading", "temperature=12").status == 0
    assert white("rule", "set", "units=us").status == 0
    refused = white("record", "Demijohn 1", "reading", "temperature=54")
    assert refused.status == 1
    assert "C or F" in refused.err
    kept = white("record", "Demijohn 1", "reading", "temperature=54F", "--json")
    assert kept.json["entry"]["fields"]["temperature"] == pytest.approx(12.22, abs=0.01)


def test_who_records_is_named_by_option_else_by_the_environment(white: Desk) -> None:
    assert white("record", "Demijohn 1", "note", "text=a", "--by", "jon", "--json").json["entry"]["by"] == "jon"
    assert white("record", "Demijohn 1", "note", "text=b", "--json").json["entry"]["by"] == "ida"


def test_people_read_before_and_after_in_columns(white: Desk) -> None:
    told = white(*KMBS, "amount=1g").out.splitlines()
    assert re.fullmatch(r"Entry 6 · Demijohn 1 · \d+ \w{3} \d{4} · 1 g potassium metabisulfite", told[0])
    arrows = {line.index("->") for line in told if line.startswith("  ") and "·" not in line and "->" in line}
    assert len(arrows) == 1
    assert any(re.search(r"test free SO2: .* -> \d+ \w{3} \d{4}", line) for line in told)


def test_cautions_stand_where_the_work_is(white: Desk) -> None:
    assert "! Carbon dioxide collects" in white("record", "Demijohn 1", "racking", "volume=22L", "--preview").out
    assert "airlock" in white("record", "Demijohn 1", "chill", "start=yes", "temperature=4", "--preview").out
    assert "!" not in white("record", "Demijohn 1", "note", "text=quiet").out


def test_a_changed_house_rule_tells_the_dates_it_moves(white: Desk) -> None:
    told = white("rule", "set", "level_days=20").out
    assert "level_days is 20 now" in told
    assert re.search(r"Demijohn 1 · check level and airlock: .* -> ", told)


def test_a_house_rule_is_previewed_set_and_put_back(white: Desk) -> None:
    assert "Would record: level_days is 20 now; " in white("rule", "set", "level_days=20", "--preview").out
    assert white("rule", "set", "level_days=").status == 1
    white("rule", "set", "level_days=20")
    assert "level_days is back at its default, 30; " in white("rule", "set", "level_days=").out
    rules = {one["name"]: one for one in white("rule", "--json").json}
    assert (rules["level_days"]["value"], rules["level_days"]["changed"]) == (30, False)


def test_text_that_steers_a_terminal_is_printed_as_text(white: Desk) -> None:
    hostile = "text=\x1b]0;gone\x07 \x9b31m[bold]\u202e"
    assert "\x1b" not in white("record", "Demijohn 1", "note", hostile).out
    said = white("record", "Demijohn\x1b[2J 1", "note", "text=a")
    assert said.status == 1
    assert "\x1b" not in said.err
    assert all(" " <= sign < "\x7f" or sign == "\n" for sign in white("--json", "show", "Caf\u00e9\x9b").out)
