"""The JSON of every command has the names and shapes that other programs rely on."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import Desk

TASK = {"vessel", "wine", "action", "due", "window", "show", "status", "why", "dose", "entries", "postponed"}
OUTCOME = {"entry", "before", "after", "plan_changes", "cautions", "stopped_by"}
FIGURES = {"volume_l", "free_so2", "molecular_so2", "total_so2", "sorbate", "sugar", "alcohol", "ph"}
KMBS = ("record", "Demijohn 1", "addition", "material=potassium_metabisulfite")


def test_due_tells_what_to_add_and_why(white: Desk) -> None:
    items = white("due", "--json").json
    assert items
    assert all(set(item) == TASK for item in items)
    sulfite = next(item for item in items if item["action"] == "sulfite")
    assert set(sulfite["dose"]) == {"material", "amount", "unit", "note"}
    assert sulfite["window"][0] == sulfite["due"]
    assert sulfite["why"]
    assert 4 in sulfite["entries"]


def test_due_is_sorted_by_the_day_shown(white: Desk) -> None:
    items = white("due", "--json").json
    assert items == sorted(items, key=lambda item: (item["show"], item["vessel"], item["action"]))


def test_due_within_leaves_out_what_is_further_ahead(white: Desk) -> None:
    everything = white("due", "--json").json
    soon = white("due", "--within", "0", "--json").json
    assert any(item["status"] == "ahead" for item in everything)
    assert soon == [item for item in everything if item["status"] != "ahead"]


def test_a_wine_is_shown_whole(white: Desk) -> None:
    wine = white("show", "demijohn 1", "--json").json
    names = "vessel wine style volume_l stage readings estimate totals verdicts due path forecast problems"
    assert set(wine) == set(names.split())
    assert (wine["vessel"], wine["wine"], wine["style"]) == ("Demijohn 1", "Terrace", "sweet_white")
    assert wine["volume_l"] == 22.7
    assert wine["readings"]["ph"] == {
        "value": 3.3,
        "on": wine["readings"]["free_so2"]["on"],
        "entry": 5,
        "method": "aspiration",
    }
    assert set(wine["totals"]) == {"so2_added_mg_l", "so2_total_mg_l", "sorbate_mg_l", "sugar_g_l"}
    assert set(wine["verdicts"]) == {"yeast", "bacteria", "air", "crystals", "haze"}
    assert all(set(one) == {"state", "evidence", "why", "until"} for one in wine["verdicts"].values())
    assert all(set(step) == {"action", "earliest", "needs", "why"} for step in wine["path"])
    assert [step["action"] for step in wine["path"]][-2:] == ["final_so2", "bottle"]


def test_the_forecast_is_a_band_that_widens_around_its_middle(white: Desk) -> None:
    white(*KMBS, "amount=1.5g", "--at", "-2d")
    white("record", "Demijohn 1", "reading", "free_so2=38", "method=aspiration", "--at", "today")
    forecast = white("show", "Demijohn 1", "--json").json["forecast"]
    assert set(forecast) == {"target", "free_on", "risk_day", "middle_day", "band"}
    assert forecast["risk_day"] <= forecast["middle_day"]
    assert all(low <= mid <= high for _, low, mid, high in forecast["band"])


def test_the_working_is_shown_on_request_as_data(white: Desk) -> None:
    wine = white("show", "Demijohn 1", "--because", "--json").json
    working = next(item for item in wine["due"] if item["action"] == "sulfite")["because"]
    assert {"reason", "facts", "formula", "source"} <= set(working)
    assert 5 in {entry for fact in working["facts"] for entry in fact["entries"]}
    assert all("because" in verdict for verdict in wine["verdicts"].values())


def test_an_empty_vessel_holds_no_wine(white: Desk) -> None:
    empty = white("show", "Demijohn 2", "--json").json
    assert empty["wine"] is None
    assert (empty["volume_l"], empty["stage"], empty["forecast"]) == (None, None, None)
    assert (empty["due"], empty["path"], empty["readings"]) == ([], [], {})


def test_an_entry_answers_with_both_sides(white: Desk) -> None:
    answer = white(*KMBS, "amount=1g", "--json").json
    assert set(answer) == OUTCOME
    assert set(answer["before"]) == set(answer["after"]) == FIGURES
    assert all(set(change) == {"action", "was", "now"} for change in answer["plan_changes"])
    sides = [change[side] for change in answer["plan_changes"] for side in ("was", "now") if change[side]]
    assert sides
    assert all(set(side) == TASK for side in sides)
    assert answer["entry"]["by"] == "ida"
    assert answer["stopped_by"] == []


def test_correcting_withdrawing_and_beginning_answer_as_an_entry_does(white: Desk) -> None:
    must = ("vessel=Demijohn 2", "style=dry_fruit", "volume=20L", "sg=1.08")
    begun = white("wine", "start", "Plum", *must, "--json").json
    amended = white("amend", "5", "ph=3.40", "--json").json
    undone = white("undo", "5", "--json").json
    vessel = white("vessel", "add", "Tub", "capacity=60L", "material=plastic", "--json").json
    retired = white("vessel", "retire", "Tub", "--json").json
    for answer in (begun, amended, undone, vessel, retired):
        assert set(answer) == OUTCOME
        assert isinstance(answer["entry"]["id"], int)
    assert begun["before"] is None
    assert begun["after"]["volume_l"] == 20


def test_one_entry_for_every_filling_of_a_wine_is_a_list(twins: Desk) -> None:
    sugar = ("addition", "material=sugar", "amount=300g", "--at", "-29d")
    answers = twins("record", "wine:hillside", *sugar, "--json").json
    assert [answer["vessel"] for answer in answers] == ["Barrel 1", "Barrel 2"]
    assert all(set(answer) == OUTCOME | {"vessel"} for answer in answers)
    assert [round(answer["entry"]["fields"]["amount"]) for answer in answers] == [200, 100]


def test_undo_of_one_entry_of_a_batch_withdraws_the_batch(twins: Desk) -> None:
    made = twins("record", "wine:Hillside", "reading", "sg=1.050", "--at", "-25d", "--json").json
    undone = twins("undo", str(made[1]["entry"]["id"]), "--json").json
    assert [answer["vessel"] for answer in undone] == ["Barrel 1", "Barrel 2"]
    assert twins("show", "Barrel 1", "--json").json["readings"] == {}


def test_nothing_of_a_batch_is_kept_where_one_vessel_is_stopped(twins: Desk) -> None:
    twins("record", "Barrel 2", "reading", "sg=0.994", "--at", "-8d")
    twins("record", "Barrel 2", "reading", "sg=0.994", "--at", "-4d")
    said = twins("record", "wine:Hillside", "loss", "volume=15L", "--json")
    assert said.status == 3
    assert [bool(answer["stopped_by"]) for answer in said.json] == [False, True]
    assert all(answer["entry"]["id"] is None for answer in said.json)
    assert twins("show", "Barrel 1", "--json").json["volume_l"] == 20


def test_house_rules_are_listed_with_their_source_and_what_was_changed(white: Desk) -> None:
    assert white("rule", "set", "dry_sg=0.997").status == 0
    rules = {one["name"]: one for one in white("rule", "--json").json}
    assert (rules["dry_sg"]["value"], rules["dry_sg"]["default"], rules["dry_sg"]["unit"]) == (0.997, 0.996, "SG")
    assert rules["dry_sg"]["changed"]
    assert not rules["gravity_days"]["changed"]
    assert all(one["source"] for one in rules.values())


def test_what_is_on_hand_is_listed_with_its_strength(white: Desk) -> None:
    assert all(one["entry"] is None for one in white("material", "--json").json)
    bag = ("potassium_metabisulfite", "strength=92%", "opened=2026-01-02", "amount=1/2kg")
    assert white("material", "set", *bag).status == 0
    (one,) = (one for one in white("material", "--json").json if one["entry"] is not None)
    assert (one["name"], one["strength"], one["amount"], one["unit"]) == ("potassium_metabisulfite", 0.92, 500.0, "g")
    assert (one["default"], one["changed"], one["opened"]) == (1.0, True, "2026-01-02")


def test_check_names_the_entry_that_a_later_one_made_wrong(white: Desk) -> None:
    assert white("check", "--json").json["problems"] == []
    white("record", "Demijohn 1", "loss", "volume=20L", "--at", "-2d")
    assert white("record", "Demijohn 1", "loss", "volume=15L", "--at", "-5d").status == 0
    said = white("check", "--json")
    assert said.status == 1
    (problem,) = said.json["problems"]
    assert set(problem) == {"vessel", "entry", "problem"}
    assert (problem["vessel"], problem["entry"]) == ("Demijohn 1", 6)


def test_a_backup_is_a_cellar_of_its_own(white: Desk, tmp_path: Path) -> None:
    copy = str(tmp_path / "copy.db")
    told = white("backup", copy, "--json").json
    assert (told["backup"], told["entries"], told["tip"]) == (copy, 5, white("check", "--json").json["tip"])
    assert white("--db", copy, "show", "Demijohn 1", "--json").json["wine"] == "Terrace"
    again = white("backup", copy, "--json")
    assert again.status == 1
    assert "there already" in again.json["error"]["message"]


@pytest.mark.parametrize(
    ("words", "status", "field", "part"),
    [
        (("record", "Demijohn 1", "reading", "ph=9"), 1, "ph", "ph 9"),
        (("record", "Demijohn 1", "reading", "free_so2=20 kg"), 1, "free_so2", "kg"),
        (("record", "Demijohn 1", "reading", "colour=red"), 1, "colour", "no field colour"),
        (("record", "Demijohn 1", "addition", "material=sugar", "amount=-2g"), 1, "amount", "amount"),
        (("record", "Demijohn 1", "stir"), 1, "kind", "no kind of entry stir"),
        (("record", "Demijohn 9", "reading", "ph=3.2"), 1, "vessel", "Demijohn 9"),
        (("record", "wine:Nobody", "reading", "ph=3.2"), 1, "wine", "Nobody"),
        (("record", "Demijohn 1", "reading", "ph=3.2", "--at", "+3d"), 1, "at", "more than a day ahead"),
        (("record", "Demijohn 1", "reading", "ph=3.2", "--at", "2026-01-02T10:00Z"), 1, "at", "zone"),
        (("record", "Demijohn 1", "reading", "ph=3.2", "--by", "x" * 90), 1, "by", "80 characters"),
        (("wine", "start", "Terrace: best", "vessel=Demijohn 2", "style=rose", "volume=9L"), 1, "name", "colon"),
        (("wine", "start", "Plum", "style=dry_fruit", "volume=9L"), 1, "vessel", "vessel=NAME"),
        (("vessel", "add", "demijohn 1", "capacity=9L", "material=glass"), 1, "name", "already"),
        (("vessel", "retire", "Demijohn 1"), 1, "name", "still holds wine"),
        (("amend", "99", "ph=3"), 1, "entry", "99"),
        (("undo", "first"), 1, "entry", "first"),
        (("rule", "set", "gravity_days=often"), 1, "value", "gravity_days"),
        (("rule", "set", "nothing=1"), 1, "name", "nothing"),
        (("show", "Demijohn 9"), 1, "vessel", "Demijohn 9"),
        (("due", "--on", "someday"), 1, "on", "day"),
        (("calc", "so2"), 1, "name", "no calculation so2"),
        (("calc", "molecular_so2", "ph=3.2", "free=30"), 1, "free", "no input free"),
        (("calc", "molecular_so2", "ph=3.2", "free_so2=30 L"), 1, "free_so2", "free_so2"),
        (("calc", "molecular_so2", "ph=3.2"), 1, "free_so2", "missing"),
        (("--db", "~nobody at all/cellar.db", "due"), 1, "db", "--db"),
        (("due", "--within", "soon"), 2, None, "--within"),
        (("due", "--at", "today"), 2, None, "--at"),
        (("record", "Demijohn 1"), 2, None, "kind"),
        (("record", "Demijohn 1", "reading", "ph"), 2, None, "field=value"),
        (("record", "Demijohn 1", "reading", "ph=3", "ph=4"), 2, None, "twice"),
        (("vessel", "add", "Tub", "name=Vat", "capacity=9L"), 2, None, "twice"),
        (("rule", "set", "dry_sg=0.99", "steady_sg=0.001"), 2, None, "one rule"),
        (("demo", "due"), 2, None, "due"),
        (("pour",), 2, None, "no command pour"),
        (("show", "Demijohn 1", "--json", "--as-of"), 2, None, "--as-of needs a value"),
    ],
)
def test_what_is_wrong_is_told_in_one_sentence_on_both_channels(
    white: Desk, words: tuple[str, ...], status: int, field: str | None, part: str
) -> None:
    said = white("--json", *words)
    assert said.status == status
    error = said.json["error"]
    assert error["field"] == field
    assert part in error["message"]
    assert said.err.strip() == error["message"]
    assert white("check").status == 0
