"""Strength and dryness by mass balance, told as wines: dates and doses worked out by hand beside each."""

from __future__ import annotations

import pytest

from cellar_tui.ledger import ferment
from cellar_tui.ledger import kinds as k
from cellar_tui.planning import sorbate
from tests.planning.stories import Story, at_once


def watered() -> Story:
    """20 L of white must of SG 1.100 with 5 L of water, yeast the day after: 25 L of SG 1.080."""
    story = Story("sweet_white", "2026-09-20", sg=1.100, volume=20.0, capacity=30.0)
    return story.add("2026-09-20", "water", 5.0).add("2026-09-21", "yeast", 6)


def test_water_thins_the_must_and_the_wine() -> None:
    story = watered()
    contents = story.subject().c
    # (20 x 1.100 + 5 x 1.000) / 25
    assert contents.now.original_gravity == pytest.approx(1.080, abs=1e-6)
    # SG 1.100 can give 14.3 %; four fifths of it is 11.4.
    assert ferment.potential_alcohol(contents) == pytest.approx(14.3 * 20 / 25, abs=0.05)
    # The mark of 11.4 %: 0.996 - 0.001 x 1.4.
    assert ferment.dry_mark(contents) == pytest.approx(0.9946, abs=0.0001)
    # A third of the sugar is gone at 1.080 - 0.080 / 3.
    story.reading("2026-09-24", sg=1.0533)
    assert ferment.sugar_gone(story.subject().c) == pytest.approx(1 / 3, abs=0.001)
    story.reading("2026-10-10", sg=0.994).reading("2026-10-13", sg=0.994)
    # Fall of 0.086: 11.3 % by the factor 131.25, 11.5 by Balling, not the 14.2 of SG 1.100.
    assert story.subject().alcohol == pytest.approx(11.5, abs=0.05)
    assert story.subject().end is not None


def test_sorbate_of_a_watered_wine_follows_its_true_strength() -> None:
    story = watered().reading("2026-10-10", sg=0.994).reading("2026-10-13", sg=0.994, ph=3.4)
    dose, _ = sorbate.dose(story.subject())
    # The table at pH 3.4: 210 mg/L at 11 %, 135 at 12 %; at 11.5 % 171 mg/L in 25 L. 14 % would ask 81: 2.0 g.
    assert dose is not None
    assert dose.amount == pytest.approx(4.3, abs=0.1)


def test_water_after_the_first_gravity_is_no_ferment() -> None:
    story = Story("dry_white", sg=1.100, volume=20.0, capacity=30.0).reading("2026-09-21", sg=1.100)
    story.add("2026-09-22", "water", 5.0)
    assert not ferment.fermenting(story.subject().c)
    story.reading("2026-09-22", sg=1.080)
    assert not ferment.fermenting(story.subject().c), "it reads what the water makes of it"
    assert story.due("yeast") is not None


def sugared() -> Story:
    """16 L of fruit must with 4.5 kg of sugar, then its gravity: 1.090."""
    story = Story("dry_fruit", "2026-09-20", volume=16.0, capacity=25.0, source="fruit")
    return story.add("2026-09-20", "sugar", 4500).reading("2026-09-21", sg=1.090)


def test_sugar_older_than_the_first_gravity_is_in_it() -> None:
    contents = sugared().subject().c
    assert ferment.potential_alcohol(contents) == pytest.approx(12.8, abs=0.05), "as calc has it for SG 1.090"
    story = sugared().add("2026-09-21", "yeast", 5).reading("2026-09-25", sg=1.060)
    assert ferment.sugar_gone(story.subject().c) == pytest.approx(1 / 3, abs=0.001)
    assert "strong_must" not in sugared().cautioned("2026-09-21", k.Addition(material="yeast", amount=5.0))


def test_a_gravity_read_before_the_yeast_replaces_a_stated_one() -> None:
    story = Story(sg=1.070, volume=20.0).add("2026-09-20", "sugar", 1000).reading("2026-09-21", sg=1.096)
    assert story.subject().c.now.original_gravity == pytest.approx(1.096)
    story.add("2026-09-21", "yeast", 5).reading("2026-09-23", sg=1.080)
    assert story.subject().c.now.original_gravity == pytest.approx(1.096), "the yeast works: it is a fall"


def test_sugar_fed_after_the_first_gravity_adds_to_it() -> None:
    story = Story(sg=1.080, volume=20.0, capacity=25.0).add("2026-09-21", "yeast", 5)
    story.reading("2026-09-24", sg=1.050).add("2026-09-24", "sugar", 1000)
    # 20 L of 11.2 % (SG 1.080) and 1000 g / 16.83 in 20.62 L.
    assert ferment.potential_alcohol(story.subject().c) == pytest.approx(11.2 * 20 / 20.62 + 2.88, abs=0.05)


def test_a_gravity_can_be_read_after_far_too_much_sugar() -> None:
    # 9 kg in 10 L by a slip: over 30 % potential alcohol, where the mark has no meaning but under what 30 % would give.
    story = Story(sg=1.090, volume=10.0, capacity=25.0).add("2026-09-21", "yeast", 5).add("2026-09-22", "sugar", 9000)
    story.reading("2026-09-23", sg=1.200)
    assert ferment.dry_mark(story.subject().c) == pytest.approx(0.976)
    assert story.subject().end is None


def weak(steady: float, style: str = "dry_white", sg: float = 1.050) -> Story:
    """A must of 6.5 % potential alcohol (SG 1.050), steady at a gravity from 10 October on."""
    story = Story(style, sg=sg).add("2026-09-21", "yeast", 5).reading("2026-10-07", sg=steady + 0.004)
    return story.reading("2026-10-10", sg=steady).reading("2026-10-13", sg=steady)


@pytest.mark.parametrize(
    ("statement", "story", "finished"),
    [
        ("6.5 % is dry at 0.996 + 0.0035", lambda: weak(0.9994), True),
        ("not over it", lambda: weak(0.9996), False),
        ("a red 0.002 higher", lambda: weak(1.0014, "dry_red"), True),
        ("12.8 % not over 0.996", lambda: weak(0.9962, sg=1.090), False),
    ],
)
def test_a_weak_wine_dries_higher(statement: str, story: object, finished: bool) -> None:
    assert callable(story)
    told = story()
    assert (told.subject().end is not None) is finished, statement
    assert (told.due("ferment_decision") is None) is finished, statement


def test_a_dry_sugar_test_settles_a_steady_gravity_of_any_height() -> None:
    story = weak(1.0020, sg=1.090)
    assert story.due("ferment_decision") == at_once("2026-10-13"), "0.001 in 3 d, over 0.996"
    story.reading("2026-10-14", residual_sugar=1.5)
    end = story.subject().end
    assert end is not None
    assert (end.how, end.on.isoformat()) == ("dry", "2026-10-14")
    assert story.state("yeast") == "shown"
    assert story.due("ferment_decision") is None


def test_a_sugar_test_with_sugar_settles_nothing() -> None:
    assert weak(1.0020, sg=1.090).reading("2026-10-14", residual_sugar=2.0).subject().end is None


def test_a_dry_sugar_test_before_more_sugar_settles_nothing() -> None:
    story = Story(sg=1.050, capacity=30.0).add("2026-09-21", "yeast", 5).reading("2026-10-01", sg=1.001)
    story.reading("2026-10-02", residual_sugar=1.0).add("2026-10-02", "sugar", 2000)
    story.reading("2026-10-10", sg=1.003).reading("2026-10-13", sg=1.003)
    assert story.subject().end is None


def test_a_finish_stays_when_the_wine_grows_stronger_later() -> None:
    story = weak(0.9994)
    assert story.subject().end is not None
    story.add("2026-10-20", "spirit", 1.0, 96)
    assert story.subject().end is not None


def port() -> Story:
    """18 L of red must on skins, SG 1.090, to be stopped at 1.035."""
    story = Story("fortified", colour="red", sg=1.090, skins=True, volume=18.0, capacity=25.0)
    return story.intent("2026-09-20", finish_sg=1.035).add("2026-09-21", "yeast", 5)


def test_a_port_from_the_yeast_to_the_spirit() -> None:
    story = port().reading("2026-09-23", sg=1.062)
    assert story.due("gravity_check") == at_once("2026-09-24"), "daily on skins"
    assert story.due("fortify") is None
    story.reading("2026-09-24", sg=1.044)
    # 0.009 above the mark at noon: read again in 12 h, midnight is the next day; the spirit is announced for it.
    assert story.due("gravity_check") == at_once("2026-09-25")
    assert story.due("fortify") == at_once("2026-09-25")
    assert story.due("press") == at_once("2026-09-30"), "not yet: 10 d on the skins"
    dose = story.dues("fortify")[0].dose
    # SG 1.035 makes 7.4 %; 18 L of it take 18 / 19 of 2.66 L.
    assert dose is not None
    assert dose.amount == pytest.approx(2.52, abs=0.01)
    story.reading("2026-09-25", sg=1.035)
    assert story.due("press") == at_once("2026-09-25"), "pressed at the mark"
    assert story.dues("fortify")[0].task.startswith("press first")
    story.record("2026-09-25", k.Press(volume=16.0))
    dose = story.dues("fortify")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(2.66 * 16 / 19, abs=0.01)
    story.add("2026-09-25", "spirit", 2.25, 96).reading("2026-09-26", sg=1.012)
    end = story.subject().end
    assert end is not None
    assert (end.how, end.on.isoformat()) == ("fortified", "2026-09-25")
    # 16 L of 7.4 % and 2.25 L of 96 % are 3.35 L of ethanol in 18.08 L.
    assert story.subject().alcohol == pytest.approx(18.5, abs=0.1)
    assert story.due("nutrient") is None
    assert story.due("ferment_decision") is None


def test_what_ferments_after_a_first_spirit_makes_it_stronger() -> None:
    story = Story("fortified", colour="red", sg=1.090, volume=18.0, capacity=25.0).add("2026-09-21", "yeast", 5)
    story.intent("2026-09-20", finish_sg=1.030).reading("2026-09-24", sg=1.030).add("2026-09-24", "spirit", 1.0, 96)
    before = story.subject().alcohol
    expected = story.subject().c.now.gravity
    assert before is not None
    assert expected is not None
    story.reading("2026-09-24", sg=expected)
    assert story.subject().alcohol == pytest.approx(before), "spirit took the gravity down, no ferment"
    story.reading("2026-09-26", sg=expected - 0.010)
    # A fall of 0.010 makes 1.3 % by the factor 131.25.
    assert story.subject().alcohol == pytest.approx(before + 1.3, abs=0.15)


def test_an_alcohol_read_in_the_ferment_is_not_the_last_word() -> None:
    story = Story(sg=1.090).add("2026-09-21", "yeast", 5).reading("2026-09-25", sg=1.040, alcohol=6.5)
    story.reading("2026-10-05", sg=0.993)
    # From 1.040 to 0.993: 6.4 % by Balling more.
    assert story.subject().alcohol == pytest.approx(6.5 + 6.4, abs=0.2)
