"""What a must asks for by its sugar, its acid and its solids. Doses worked out by hand from the balances quoted."""

from __future__ import annotations

from typing import Any

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.planning.plan import Due
from cellar_tui.planning.planner import plan
from cellar_tui.planning.rules.table import RULE_BY_ID
from tests.planning.stories import Story


def must(style: str = "dry_white", sg: float = 1.090, **more: Any) -> Story:
    """A must of 18 L in glass from 20 September."""
    return Story(style, sg=sg, **({"volume": 18.0} | more))


def asked(story: Story, rule: str) -> list[Due]:
    return list(RULE_BY_ID[rule].due(story.subject()))


def test_a_weak_must_asks_for_the_sugar_that_lifts_it_to_what_keeps() -> None:
    # SG 1.060 is 14.74 Brix: 156.0 g/L less 20 of solids, at 16.83 g/L a % vol: 8.08 % vol. To 10 % vol in 18 L:
    # 18 (10 - 8.08) / (1/16.83 - 0.00062 x 10) = 649 g; by 3 % vol (EU zone A): 54 / (1/16.83 - 0.00062 x 11.08) = 1028
    (due,) = asked(must(sg=1.060), "must_sugar")
    assert due.dose is not None
    assert (due.dose.material, due.dose.unit) == ("sugar", "g")
    assert due.dose.amount == pytest.approx(649, rel=0.005)
    assert "at most 1028 g" in due.dose.note


def test_sugar_put_in_takes_it_off_the_list_and_reaches_what_was_said() -> None:
    story = must(sg=1.060)
    (due,) = asked(story, "must_sugar")
    assert due.dose is not None
    story.add("2026-09-20", "sugar", due.dose.amount)
    assert asked(story, "must_sugar") == []


def test_the_law_ends_the_sugar_before_the_wish_does() -> None:
    # 8.08 % vol + 1.5 (zone C) is under 10: 18 x 1.5 / (1/16.83 - 0.00062 x 9.58) = 505 g
    (due,) = asked(must(sg=1.060).house(enrichment_most=1.5), "must_sugar")
    assert due.dose is not None
    assert due.dose.amount == pytest.approx(505, rel=0.01)


def test_a_must_too_strong_asks_for_water_and_says_what_it_does_to_the_acid() -> None:
    # SG 1.140: 365 g/L less 20, 20.6 % vol; to 16: 18 (20.6/16 - 1) = 5.2 L; TA 7.0 x 18 / 23.2 = 5.4
    (due,) = asked(must(sg=1.140).reading("2026-09-20", ta=7.0), "must_sugar")
    assert due.dose is not None
    assert (due.dose.material, due.dose.unit) == ("water", "L")
    assert due.dose.amount == pytest.approx(5.2, abs=0.1)
    assert "TA falls to 5.4 g/L" in due.dose.note


@pytest.mark.parametrize(
    ("style", "more"),
    [
        ("dry_white", {"sg": 1.075}),  # 10.5 % vol
        ("arrested_sweet", {"sg": 1.140}),  # a ferment stopped by cold leaves its sugar
        ("fortified", {"sg": 1.060, "colour": "red"}),  # spirit makes its strength
        ("dry_white", {"sg": None}),  # never measured: the gravity is asked for first
    ],
)
def test_other_musts_keep_their_sugar(style: str, more: dict[str, Any]) -> None:
    assert asked(must(style, **more), "must_sugar") == []


def test_yeast_ends_what_is_asked_of_a_must() -> None:
    story = must(sg=1.060).reading("2026-09-20", ta=4.0).add("2026-09-20", "yeast", 5)
    assert [asked(story, rule) for rule in ("must_sugar", "settle", "fining_trial")] == [[], [], []]


def test_a_must_with_little_acid_is_tried_with_the_doses_that_lift_it() -> None:
    # TA 4.2 g/L, wanted 5.0: tartaric acid lifts TA gram for gram, so 0.8 g/L at the least
    (due,) = asked(must().reading("2026-09-20", ta=4.2, ph=3.3), "fining_trial")
    assert "0.8 to 1.8 g/L" in due.task


def test_a_must_with_a_high_ph_is_tried_with_the_doses_for_its_buffer() -> None:
    # 40 mg/L free at 0.8 molecular: pH 1.81 + log10(49) = 3.50. Tartaric acid gives 0.96 charges a mole at pH 3.65; for
    # 30 and 60 meq/L a pH: 30 x 0.3 x 150.1 / 962 = 1.4 and 2.8 g/L
    (due,) = asked(must().reading("2026-09-20", ta=6.0, ph=3.8), "fining_trial")
    assert "1.4 to 2.8 g/L for pH 3.50" in due.task


def test_no_trial_of_acid_goes_past_what_the_law_lets_into_a_must() -> None:
    (due,) = asked(must().reading("2026-09-20", ta=6.0, ph=4.2), "fining_trial")
    # 30 meq/L a pH: 30 x 0.7 x 150.1 / 1101 = 2.9 g/L; 60 would take 5.7, and the OIV Code II.2.1.3.1.1 ends at 4
    assert "2.9 to 4.0 g/L" in due.task


def test_the_acid_chosen_is_the_dose_for_the_vessel() -> None:
    story = must().reading("2026-09-20", ta=4.2, ph=3.3)
    story.record("2026-09-20", k.Trial(material="tartaric_acid", doses=(80.0, 120.0), chosen=120.0))
    assert asked(story, "fining_trial") == []
    (due,) = asked(story, "fine")
    assert due.dose is not None
    assert due.dose.material == "tartaric_acid"
    assert due.dose.amount == pytest.approx(21.6)  # 1.2 g/L x 18 L


def test_a_white_must_settles_before_its_yeast() -> None:
    (due,) = asked(must(), "settle")
    assert (due.earliest.isoformat(), due.latest.isoformat()) == ("2026-09-20", "2026-09-21")
    assert due.dose is not None
    assert due.dose.material == "pectic_enzyme"
    assert due.dose.amount == pytest.approx(0.36)  # 2 g/hL in 18 L


@pytest.mark.parametrize(
    "told",
    [
        lambda: must().rack("2026-09-21"),
        lambda: must().reading("2026-09-21", turbidity=200),
        lambda: must().record("2026-09-20", k.Skip(action="settle", reason="pressed clear")),
        lambda: must("dry_red"),
        lambda: must("dry_fruit"),
        lambda: must(skins=True),
        lambda: must(source="juice"),
    ],
)
def test_a_must_settled_or_of_another_kind_does_not(told: Any) -> None:
    assert asked(told(), "settle") == []


def test_white_grapes_left_on_their_skins_settle_from_the_press_on() -> None:
    story = must(skins=True).record("2026-09-21", k.Press(volume=15.0))
    assert [one.earliest.isoformat() for one in asked(story, "settle")] == ["2026-09-21"]


def test_must_read_as_cloudy_goes_on_settling() -> None:
    assert len(asked(must().reading("2026-09-21", turbidity=600), "settle")) == 1


def test_the_cap_keeps_its_counts_of_a_day() -> None:
    story = must("dry_red", skins=True)
    story.record("2026-09-21", k.Check(test="cap", result="pass", punch_downs=2, pump_overs=1))
    s = story.subject()
    cap = next(one for one in plan(s.c, s.vessel, s.house).actions if one.rule == "cap")
    assert cap.due.isoformat() == "2026-09-22"
