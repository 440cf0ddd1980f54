"""Slips of sweetening, sweeteners that bring more than sugar, chilled must, and what fruit other than grapes asks."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.planning import handling
from cellar_tui.planning.rules.table import RULE_BY_ID
from cellar_tui.planning.stage import stage
from tests.planning.stories import Story, dry, ready_to_sweeten

# -- sweetening


def sorbated() -> Story:
    """20 L of 12 % at pH 3.3 to be 30 g/L, its sorbate in since 3 November."""
    return ready_to_sweeten().add("2026-11-03", "potassium_sorbate", 3.0)


def sugar(grams: float) -> k.Addition:
    return k.Addition(material="sugar", amount=grams, sugar_g=grams, litres=grams * 0.00062)


def test_sugar_twice_past_the_wish_is_cautioned_with_both_figures() -> None:
    # 1300 g in 20.81 L are 62.5 g/L
    (said,) = [one for one in sorbated().findings("2026-11-05", sugar(1300)) if one.guard == "sugar_past_wish"]
    assert "62 g/L" in said.why
    assert "where 30 is the target" in said.why
    assert not said.stops
    assert "sugar_past_wish" not in sorbated().cautioned("2026-11-05", sugar(700))


def test_a_second_helping_of_sugar_is_cautioned() -> None:
    assert "sugar_past_wish" in sorbated().add("2026-11-05", "sugar", 612).cautioned("2026-11-06", sugar(640))


def test_concentrate_that_gives_less_than_wished_leaves_the_rest_open() -> None:
    # 200 mL of 880 g/L are 176 g in 20.2 L: 8.71 g/L; 21.29 x 20.2 / (1 - 0.00062 x 21.29) = 435.8 g are missing
    story = sorbated().add("2026-11-05", "concentrate", 200)
    assert story.due("sweeten") == ("2026-11-04", "2026-11-10")
    dose = story.dues("sweeten")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(435.8, abs=1)
    assert story.add("2026-11-06", "sugar", 436).due("sweeten") is None


def test_concentrate_asks_its_strength() -> None:
    def poured(strength: float | None) -> k.Addition:
        return k.Addition(material="concentrate", amount=200, strength=strength, sugar_g=176, litres=0.2)

    assert "strength_taken" in sorbated().cautioned("2026-11-05", poured(None))
    assert "strength_taken" not in sorbated().cautioned("2026-11-05", poured(880))


@pytest.mark.parametrize(
    ("material", "amount", "left"), [("concentrate", 200, False), ("juice", 0.5, False), ("sugar", 600, True)]
)
def test_what_comes_from_grapes_undoes_the_cold_test(material: str, amount: float, left: bool) -> None:
    story = sorbated()
    assert story.state("crystals") == "shown"
    assert (story.add("2026-11-05", material, amount).state("crystals") == "shown") is left


# -- must


def test_a_must_chilled_to_settle_it_holds_no_cold() -> None:
    story = Story(sg=1.090).chill("2026-09-20", 8.0, "chiller")
    assert story.due("cold_hold_check") is None
    assert stage(story.subject(), ready=False) == "must"


def test_the_chill_of_a_must_is_no_hold_of_the_wine_either() -> None:
    story = Story(sg=1.090).chill("2026-09-20", 3.0).warm("2026-09-21", 12.0).add("2026-09-21", "yeast", 6)
    story.reading("2026-10-10", sg=0.992).reading("2026-10-13", sg=0.992)
    assert story.state("crystals") == "not_yet"
    assert story.due("rack") == ("2026-10-16", "2026-10-23"), "the first racking, none off crystals"


# -- fruit


def test_a_hazy_fruit_wine_that_had_no_enzyme_is_tested_for_pectin() -> None:
    hazy = dry("dry_fruit").rack("2026-10-18").check("2026-11-01", "clarity", "fail", "haze")
    assert hazy.due("haze_test") == ("2026-11-01", "2026-11-01")
    assert hazy.dues("haze_test")[0].task == "pectin test"
    rule = RULE_BY_ID["haze_test"]
    ways = rule.ways(hazy.subject(), None)
    assert [dict(rule.answers[place].fixed)["test"] for place in ways] == ["pectin_test"]
    assert rule.carried(ways) == "strong spirit"
    assert hazy.check("2026-11-02", "pectin_test", "fail").due("haze_test") is None


def test_not_where_the_enzyme_was_in_from_the_crush() -> None:
    story = Story("dry_fruit", sg=1.090).add("2026-09-20", "pectic_enzyme", 2).add("2026-09-21", "yeast", 6)
    story.reading("2026-10-10", sg=0.992).reading("2026-10-13", sg=0.992).rack("2026-10-18")
    assert story.check("2026-11-01", "clarity", "fail", "haze").due("haze_test") is None


def finished(style: str = "dry_fruit", **more: object) -> Story:
    return Story(style, "2026-10-13", finished=True, alcohol=11.0, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("story", "drops"),
    [
        pytest.param(lambda: finished(source="juice", fruit="apple"), False, id="apple juice"),
        pytest.param(lambda: finished(source="juice"), False, id="juice of a fruit nobody named"),
        pytest.param(lambda: finished(source="juice", fruit="white grape"), True, id="grape juice"),
        pytest.param(lambda: finished("dry_white", source="juice"), True, id="juice of a white wine"),
        pytest.param(lambda: finished("dry_white", source="juice", fruit="Pear"), False, id="pear juice, as a white"),
        pytest.param(lambda: finished("dry_white", source="honey"), False, id="honey"),
        pytest.param(lambda: finished().add("2026-10-14", "tartaric_acid", 20), True, id="tartaric acid in it"),
        pytest.param(lambda: finished().add("2026-10-14", "concentrate", 200), True, id="grape concentrate in it"),
    ],
)
def test_only_grapes_and_tartaric_acid_drop_crystals(story: Callable[[], Story], drops: bool) -> None:
    assert handling.tartrate(story().subject()) is drops


def begun(**more: object) -> set[str]:
    """Return what is said when 20 L of a wine are begun in an empty vessel."""
    story = Story("dry_red", sg=1.090)
    story.vessel = story.tell_vessel("glass", 30.0)
    return story.cautioned("2026-09-20", WineStart(name="Dale", volume=20.0, **more))  # type: ignore[arg-type]


def test_juice_in_a_fruit_style_asks_which_fruit() -> None:
    assert "fruit_unknown" in begun(style="dry_fruit", source="juice")
    assert "fruit_unknown" not in begun(style="dry_fruit", source="juice", fruit="apple")
    assert "fruit_unknown" not in begun(style="dry_white", source="juice")


def test_honey_says_what_it_asks() -> None:
    assert "honey" in begun(style="dry_white", source="honey", sg=1.090)


def test_the_sugar_of_honey_wine_is_not_told_by_its_gravity() -> None:
    story = Story("sweet_white", "2026-10-13", finished=True, source="honey").reading(
        "2026-10-14", sg=1.010, alcohol=12
    )
    assert story.subject().sugar is None
    assert story.reading("2026-10-15", residual_sugar=40).subject().sugar == 40
