"""Vessels apart from their wine: kept while empty, measured in centimetres, known by age, fills and last contents."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from cellar_tui.language import describe_vessel
from cellar_tui.service.open import OpenCellar, create_cellar
from cellar_tui.service.views import CellarError, Request, SaveResult

NOW = datetime(2027, 6, 1, 12, tzinfo=UTC)
BARREL = {"bung_diameter": "62", "head_diameter": "54", "length": "80"}


class Place:
    """A barrel of 225 L, made 2021 and filled three times elsewhere, and a tank; wine in the barrel to 1 March."""

    def __init__(self, path: Path) -> None:
        self.service: OpenCellar = create_cellar(path / "cellar.db", lambda: NOW, by="ida", zone="UTC")
        cask = {"name": "Cask", "capacity": "225", "material": "oak", "made": "2021", "fills": "3", **BARREL}
        self.service.recorder.add_vessel(cask)
        self.service.recorder.add_vessel(
            {"name": "Tank", "capacity": "500", "material": "steel", "shape": "upright", "diameter": "80"}
        )
        told = {"name": "Hill", "style": "dry_red", "volume": "220", "finished": "yes", "alcohol": "12"}
        assert self.service.recorder.start_wine(Request("Cask", "wine", told, "2026-11-01")).saved
        self.do("Cask", "racking", "2027-03-01", to="Tank", volume="215")

    def do(self, vessel: str, kind: str, at: str, **said: str) -> SaveResult:
        answer = self.service.recorder.record(Request(vessel, kind, said, at, waive="for the story"))
        assert answer.saved, answer
        return answer

    def asked(self, vessel: str = "Cask") -> dict[str, str]:
        """Return what is asked of an empty vessel, with its day."""
        found = self.service.view.wine(vessel).empty
        return {} if found is None else {one.rule: one.due.isoformat() for one in found.actions}


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    found = Place(tmp_path)
    yield found
    found.service.close()


def test_an_emptied_barrel_is_sulfured_every_four_weeks(place: Place) -> None:
    assert place.asked() == {"empty_wood": "2027-03-29", "wood_soak": "2027-04-30"}  # 28 and 60 d after 1 March
    place.do("Cask", "cleaning", "2027-03-05", how="sulfur_stick", agent="10 g sulfur")
    assert place.asked() == {"empty_wood": "2027-04-02", "wood_soak": "2027-05-04"}
    place.do("Cask", "cleaning", "2027-03-06", how="rinsed")
    assert place.asked()["empty_wood"] == "2027-04-02"  # water keeps nothing from moulding


def test_it_is_due_on_the_board_without_a_wine(place: Place) -> None:
    (task, _) = [one for one in place.service.view.tasks() if one.vessel == "Cask"]
    assert (task.action.rule, task.wine, task.status) == ("empty_wood", "", "late")
    line = next(one for one in place.service.view.board().lines if one.name == "Cask")
    assert line.wine is None
    assert line.summary == "held Hill until 1 Mar 2027"


def test_a_tank_of_steel_and_a_barrel_that_never_held_wine_are_asked_for_nothing(place: Place) -> None:
    place.service.recorder.add_vessel({"name": "New", "capacity": "225", "material": "oak"})
    place.do("Tank", "racking", "2027-04-01", to="New", volume="210")
    assert place.asked("Tank") == {}
    place.service.recorder.add_vessel({"name": "Newer", "capacity": "225", "material": "oak"})
    assert place.asked("Newer") == {}


def test_wine_into_dry_wood_is_cautioned_until_it_was_soaked(place: Place) -> None:
    asked = Request("Tank", "racking", {"to": "Cask", "volume": "210"}, "2027-05-20")
    (outcome,) = place.service.recorder.record(asked, preview=True).outcomes
    assert "dry_barrel" in [one.guard for one in outcome.cautions]
    place.do("Cask", "cleaning", "2027-05-18", how="soaked", agent="hot water")
    (outcome,) = place.service.recorder.record(asked, preview=True).outcomes
    assert "dry_barrel" not in [one.guard for one in outcome.cautions]
    assert place.asked() == {"empty_wood": "2027-03-29"}


def test_a_barrel_that_smells_of_vinegar_is_named_before_it_is_filled(place: Place) -> None:
    place.do("Cask", "cleaning", "2027-03-02", how="smelled", result="fail")
    asked = Request("Tank", "racking", {"to": "Cask", "volume": "210"}, "2027-03-03")
    (outcome,) = place.service.recorder.record(asked, preview=True).outcomes
    assert "bad_barrel" in [one.guard for one in outcome.cautions]


def test_nothing_is_asked_of_a_barrel_once_wine_is_in_it_again(place: Place) -> None:
    place.do("Tank", "racking", "2027-03-10", to="Cask", volume="214")
    assert place.asked() == {}
    view = place.service.view.wine("Cask")
    told = list(describe_vessel.lines(view.info, view.care, date(2027, 6, 1)))
    assert told[0] == "made 2021, 6 years old, filled 5 times"  # three elsewhere, two here


def test_a_skip_and_a_postponement_hold_for_an_empty_vessel(place: Place) -> None:
    place.do("Cask", "skip", "2027-03-29", action="empty_wood", until="2027-05-01", reason="full of holding water")
    assert place.asked()["empty_wood"] == "2027-05-01"
    place.do("Cask", "postpone", "2027-04-30", action="wood_soak", until="2027-05-10", reason="away")
    found = place.service.view.wine("Cask").empty
    assert found is not None
    soak = next(one for one in found.actions if one.rule == "wood_soak")
    assert (soak.due.isoformat(), soak.show.isoformat()) == ("2027-04-30", "2027-05-10")
    with pytest.raises(CellarError, match="no action top_up"):
        place.do("Cask", "skip", "2027-05-01", action="top_up", reason="full")


def test_a_cleaning_is_amended_and_undone_like_any_entry(place: Place) -> None:
    entry = place.do("Cask", "cleaning", "2027-03-05", how="sulfur_stick").outcomes[0].entry.seq
    place.service.recorder.amend(entry, {}, at="2027-03-07")
    assert place.asked()["empty_wood"] == "2027-04-04"
    place.service.recorder.undo(entry)
    assert place.asked()["empty_wood"] == "2027-03-29"
    assert not [one for one in place.service.check() if "board" in one.problem]


def test_a_vessel_with_wine_in_it_is_not_cleaned(place: Place) -> None:
    answer = place.service.recorder.record(Request("Tank", "cleaning", {"how": "caustic"}, "2027-03-05"))
    assert not answer.saved
    assert answer.outcomes[0].stops[0].why == "Tank holds Hill: empty it before it is cleaned."


def test_a_dip_becomes_litres_by_the_tank(place: Place) -> None:
    # pi 80^2 / 4 = 5026.5 cm2: 42 cm are 211.1 L
    body = place.do("Tank", "reading", "2027-03-05", dip="42 cm").outcomes[0].entry.body
    assert (getattr(body, "volume", None), getattr(body, "dip", None)) == (211.1, 42.0)


def test_an_ullage_is_taken_off_what_the_barrel_holds(place: Place) -> None:
    # 3 cm under the bung of 62/54/80 cm are 2.23 L (check value of barrel_ullage): 225 - 2.23
    place.do("Tank", "racking", "2027-03-10", to="Cask", volume="214")
    entry = place.do("Cask", "reading", "2027-03-12", ullage="3").outcomes[0].entry
    assert getattr(entry.body, "volume", None) == 222.8
    place.service.recorder.amend(entry.seq, {"ullage": "1 cm"})
    assert place.service.view.wine("Cask").plan is not None
    assert place.service.view.wine("Cask").plan.volume == pytest.approx(224.75, abs=0.06)  # type: ignore[union-attr]


def test_a_dip_needs_measures_and_must_fit_them(place: Place) -> None:
    with pytest.raises(CellarError, match=r"Tank has no bung_diameter, head_diameter, length"):
        place.do("Tank", "reading", "2027-03-05", ullage="3")
    place.do("Tank", "racking", "2027-03-10", to="Cask", volume="214")
    with pytest.raises(CellarError, match="outside 0 to 62 cm"):
        place.do("Cask", "reading", "2027-03-12", ullage="70")
