"""Cautions stand beside the work they belong to, and beside no other: someone can die of these."""

from __future__ import annotations

from dataclasses import replace

import pytest

from cellar_tui.language.cautions import care, care_of, how, in_glass
from cellar_tui.ledger.materials import MATERIALS
from cellar_tui.planning.plan import Action
from cellar_tui.planning.planner import plan
from cellar_tui.planning.rules import cautions
from tests.planning.stories import Story, clear, dry, fermenting, kept


def asked(story: Story, rule: str) -> Action:
    """Return the action of a rule that the wine asks for."""
    s = story.subject()
    return next(one for one in plan(s.c, s.vessel, s.house).actions if one.rule == rule)


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        ("check", {"test": "cap", "result": "pass"}),
        ("press", {"volume": "18"}),
        ("racking", {"to": "Barrel 2"}),
        ("reading", {"sg": "1.050"}),
        ("addition", {"material": "yeast", "amount": "5"}),
    ],
)
def test_work_where_carbon_dioxide_gathers_says_that_nobody_goes_in_and_nobody_follows(
    kind: str, fields: dict[str, str]
) -> None:
    said = " ".join(care(kind, fields))
    assert "Never go into a vat or tank" in said
    assert "If someone collapses, do not follow: call for help" in said
    assert "alone" not in said, "a vat is not safer in company"


def test_a_young_wine_is_never_sealed() -> None:
    for kind, fields in (("press", {"volume": "18"}), ("addition", {"material": "sugar", "amount": "500"})):
        assert cautions.AIRLOCK in care(kind, fields)


@pytest.mark.parametrize("stuff", ["potassium_metabisulfite", "sodium_metabisulfite", "so2_solution"])
def test_sulfite_never_meets_acid_dry_or_dissolved(stuff: str) -> None:
    said = " ".join(care("addition", {"material": stuff, "amount": "2"}))
    assert "dry or dissolved, with acid" in said
    assert "ventilation" in said


@pytest.mark.parametrize("stuff", ["tartaric_acid", "malic_acid", "citric_acid"])
def test_acid_never_meets_sulfite_dry_or_dissolved(stuff: str) -> None:
    assert "dry or dissolved, with sulfite" in " ".join(care("addition", {"material": stuff, "amount": "20"}))


def test_copper_is_said_to_be_poisonous_and_not_to_be_soaked_like_bentonite() -> None:
    assert care("addition", {"material": "copper_sulfate", "amount": "0.02"}) == [cautions.COPPER]
    assert care("addition", {"material": "copper sulfate", "amount": "0.02"}) == [cautions.COPPER]
    assert cautions.COPPER in care("trial", {"material": "copper_sulfate", "doses": "0.1; 0.2"})
    assert cautions.COPPER not in care("trial", {"material": "gelatin", "doses": "1; 2"})


def test_each_fining_has_the_caution_of_its_own_and_of_no_other() -> None:
    alone = {
        "lysozyme": cautions.EGG,
        "isinglass": cautions.FISH,
        "gelatin": cautions.ANIMAL,
        "bentonite": cautions.BENTONITE,
    }
    for stuff, caution in alone.items():
        assert care("addition", {"material": stuff, "amount": "2"}) == [caution]


@pytest.mark.parametrize("stuff", ["yeast hulls", "activated carbon", ""])
def test_a_material_that_is_not_known_borrows_no_caution(stuff: str) -> None:
    assert care("addition", {"material": stuff, "amount": "2"}) == []


def test_cautions_are_kept_for_materials_that_exist() -> None:
    assert set(cautions.OF_MATERIAL) <= set(MATERIALS)


def test_spirit_warns_of_its_vapour_and_of_the_licence() -> None:
    shown = care("addition", {"material": "spirit", "amount": "2.4"})
    assert cautions.FLAME in shown
    assert cautions.LICENCE in shown


def test_warming_a_stuck_ferment_tells_what_it_costs() -> None:
    shown = care("decide", {"about": "ferment_stuck", "choice": "warm", "reason": "cold room"})
    assert cautions.WARMING in shown
    assert cautions.STUCK in shown


def test_a_wish_warns_only_where_it_answers_the_work() -> None:
    assert cautions.COOLING in care("intent", {"finish_sg": "1.020"})
    assert care("intent", {"bottling": "2027-05-01"}) == []


def test_the_weight_of_glass_is_told_only_where_glass_is_moved() -> None:
    assert cautions.LIFTING in care("racking", {"to": "Demijohn 2"})
    assert cautions.LIFTING not in care("racking", {"to": "Tank 2"}, glass=False)
    for kind, fields in (
        ("check", {"test": "level", "result": "pass"}),
        ("topping", {"volume": "0.4"}),
        ("gas", {}),
        ("addition", {"material": "sugar", "amount": "500"}),
    ):
        assert cautions.LIFTING not in care(kind, fields), kind


def test_a_vessel_of_glass_at_either_end_of_a_move_is_moved_glass() -> None:
    story = Story(vessel="oak", capacity=225.0, volume=220.0)
    story.tell_vessel("glass", 23.0)
    vessels = story.cellar().vessels.values()
    assert not in_glass(vessels, "V1")
    assert in_glass(vessels, "V1", "V3")
    assert in_glass(vessels, "wine:Hill"), "where the vessel is not named it may be glass"


def test_a_racking_from_oak_says_nothing_of_glass() -> None:
    action = asked(dry(vessel="oak"), "rack")
    assert cautions.GAS in care_of(action, glass=False)
    assert cautions.LIFTING not in care_of(action, glass=False)
    assert cautions.LIFTING in care_of(action, glass=True)


def test_a_fining_that_is_due_shows_the_caution_of_what_the_trial_chose() -> None:
    def fined(stuff: str) -> list[str]:
        story = clear().check("2026-11-02", "heat_test", "fail").trial("2026-11-03", stuff, 25)
        return care_of(asked(story, "fine"))

    assert fined("bentonite") == [cautions.BENTONITE]
    assert fined("lysozyme") == [cautions.EGG]
    assert fined("yeast hulls") == []
    stinks = kept().check("2026-11-02", "smell", "fail", "rotten_egg").rack("2026-11-02")
    stinks.check("2026-11-05", "smell", "fail", "rotten_egg").trial("2026-11-05", "copper_sulfate", 0.1)
    assert care_of(asked(stinks, "fine")) == [cautions.COPPER]


def test_gas_on_top_warns_of_suffocation() -> None:
    assert care("gas", {}) == [cautions.BRIM, cautions.INERT]


def test_the_heat_test_scalds_and_the_pectin_test_burns() -> None:
    heat, pectin = ({"test": name, "result": "pass"} for name in ("heat_test", "pectin_test"))
    assert care("check", heat) == [cautions.SCALD]
    assert care("check", pectin) == [cautions.FLAME]


def test_each_haze_test_is_taught_by_its_own_method() -> None:
    white = asked(clear(), "haze_test")
    assert "Heat a sample" in how(white)
    assert "spirit" not in how(white)
    both = asked(clear("dry_fruit"), "haze_test")
    assert "Heat a sample" in how(both)
    assert "3 to 4 parts strong spirit" in how(both)
    pectin = asked(clear("dry_fruit").check("2026-11-02", "heat_test"), "haze_test")
    assert "Away from any flame" in how(pectin)
    assert "Heat a sample" not in how(pectin)
    assert care_of(pectin) == [cautions.FLAME]
    assert care_of(white) == [cautions.SCALD]


def test_an_action_without_a_method_of_its_own_is_taught_by_its_rule() -> None:
    action = asked(fermenting(), "gravity_check")
    assert how(action) == how(replace(action, ways=()))
    assert "never proves dryness" in how(action)
