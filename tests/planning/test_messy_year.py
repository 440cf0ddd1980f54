"""What a messy year asks: late finds, blends, strips, limits; each need once, on no day before the wine existed."""

from __future__ import annotations

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.ledger.validate import faults
from cellar_tui.planning.plan import Action
from cellar_tui.planning.planner import on_day, plan
from cellar_tui.planning.rules.table import RULE_BY_ID
from tests.planning.stories import Story, all_but_air, day, dry, kept


def actions(story: Story) -> dict[str, Action]:
    """Return what the wine asks for, by rule."""
    s = story.subject()
    return {one.rule: one for one in plan(s.c, s.vessel, s.house).actions}


def listed(story: Story, on: str) -> set[str]:
    """Return the actions that are late or for today on a day."""
    s = story.subject()
    found = on_day(plan(s.c, s.vessel, s.house), day(on))
    return {one.rule for one in (*found.late, *found.today)}


def pressed(style: str, started: str, pressed_on: str, finished: str) -> Story:
    """A wine that began on its skins, was pressed and fermented out."""
    story = Story(style, started, sg=1.090, skins=True, volume=18.0).add(started, "yeast", 6)
    story.record(pressed_on, k.Press(volume=10.0)).reading(finished, sg=0.993, temperature=20)
    return story


def two_reds() -> Story:
    """Two reds pressed on 28 and 30 September, fermented out in October, blended on 1 November."""
    story = pressed("dry_red", "2026-09-18", "2026-09-28", "2026-10-10").reading("2026-10-13", sg=0.993)
    other = story.tell_vessel("glass", 15.0)
    start = WineStart(name="Dale", style="dry_red", volume=14.0, sg=1.092, skins=True)
    story.record("2026-09-20", start, other).record("2026-09-21", k.Addition(material="yeast", amount=5.0), other)
    story.record("2026-09-30", k.Press(volume=12.0), other)
    for on in ("2026-10-12", "2026-10-16"):
        story.record(on, k.Reading(sg=0.994), other)
    return story.record("2026-11-01", k.Blend(source=other, volume=10.0))


def test_a_blend_of_pressed_and_finished_wines_asks_for_nothing_that_lies_behind_it() -> None:
    asked = set(actions(two_reds()))
    assert asked.isdisjoint({"cap", "press", "yeast", "nutrient", "warm"})
    assert "malolactic_check" in asked or "malolactic_start" in asked, "what lies before it is asked for"


def test_musts_on_their_skins_that_are_poured_together_are_punched_down_and_pressed() -> None:
    story = Story("dry_red", sg=1.090, skins=True, volume=10.0)
    other = story.tell_vessel("glass", 15.0)
    story.record("2026-09-20", WineStart(name="Dale", style="dry_red", volume=8.0, sg=1.09, skins=True), other)
    story.record("2026-09-21", k.Blend(source=other, volume=8.0))
    assert {"cap", "press", "yeast"} <= set(actions(story))


def test_nothing_is_due_before_the_blend_that_made_the_wine() -> None:
    assert min(one.due for one in actions(two_reds()).values()) == day("2026-11-01")


def test_nothing_is_due_before_the_split_that_made_a_wine_of_its_own() -> None:
    story = dry()  # its first sulfite was due on 13 October
    twin = story.tell_vessel("glass", 6.0)
    story.record("2026-10-25", k.Split(to=twin, volume=5.0))
    assert actions(story)["sulfite"].due == day("2026-10-13"), "the wine it came from is as late as before"
    story.vessel = twin
    assert min(one.due for one in actions(story).values()) == day("2026-10-25")


def full_of_so2() -> Story:
    """A white of 15 mg/L free SO2 whose sum is 15 + 80 + 110 = 205 mg/L, over the 200 that the home rules take."""
    return kept().sulfite("2026-11-10", 110).reading("2026-11-20", free_so2=15, method="aspiration")


def test_a_sum_over_the_limit_is_measured_before_anything_else() -> None:
    found = actions(full_of_so2())
    assert found["sulfite"].dose is None
    assert found["sulfite"].task.startswith("test total SO2")


def test_a_measured_total_over_the_limit_is_not_asked_for_again_before_the_next_addition() -> None:
    story = full_of_so2().reading("2026-11-21", total_so2=205)
    assert not {"sulfite", "total_so2"} & set(actions(story))
    for on in ("2026-11-22", "2026-11-23"):
        story.reading(on, total_so2=205)
        assert not {"sulfite", "total_so2"} & set(actions(story))


def test_what_to_do_with_a_total_over_the_limit_is_said_and_it_is_no_dose() -> None:
    found = full_of_so2().findings("2026-11-21", k.Reading(total_so2=205.0))
    (said,) = [one.why for one in found if one.guard == "total_full"]
    assert "blend it down" in said
    assert "peroxide" not in said
    after = full_of_so2().reading("2026-11-21", total_so2=205)
    assert "blend it down" in after.verdict("air").because.reason
    assert "total_full" not in full_of_so2().cautioned("2026-11-21", k.Reading(total_so2=180.0))


def test_a_total_under_the_limit_makes_room_for_the_dose_again() -> None:
    assert actions(full_of_so2().reading("2026-11-21", total_so2=150))["sulfite"].dose is not None


# Bottling wished on 20 January 2027: the final SO2 is asked for from 13 January.
def test_a_low_reading_before_the_final_so2_is_answered_by_a_keeping_dose_until_the_eve_of_it() -> None:
    story = all_but_air().reading("2027-01-10", free_so2=15, ph=3.2, method="aspiration")
    assert "sulfite" in listed(story, "2027-01-12")
    assert listed(story, "2027-01-13") & {"sulfite", "final_so2", "so2_recheck"} == {"final_so2"}


def test_a_low_reading_while_the_final_so2_is_open_asks_for_that_alone() -> None:
    story = all_but_air().reading("2027-01-14", free_so2=15, method="aspiration")
    assert "sulfite" not in actions(story)
    assert "so2_recheck" not in actions(story)
    assert actions(story)["final_so2"].dose is not None


def test_free_so2_is_not_asked_for_twice_a_day_apart() -> None:
    # Read on 6 January, the recheck would come 7 d later at the earliest: on the day the final SO2 is asked for.
    story = all_but_air().reading("2027-01-06", free_so2=24, method="aspiration")
    asked = [rule for rule in ("so2_recheck", "final_so2") if rule in listed(story, "2027-01-14")]
    assert asked == ["final_so2"]


def test_two_strips_of_one_visit_are_asked_for_as_one_action_with_two_fields() -> None:
    by_strip = kept().reading("2026-11-20", free_so2=18, method="strip")
    for rule in ("so2_recheck", "final_so2"):
        first = RULE_BY_ID[rule].open_answers(by_strip.subject())[0]
        assert (first.fields, dict(first.fixed)) == (("free_so2", "second_strip"), {"method": "strip"})
        usual = RULE_BY_ID[rule].open_answers(kept().subject())
        assert usual[0].fields == ("free_so2", "method")
        assert [one.fields for one in usual].count(("free_so2", "second_strip")) == 1


def test_the_mean_of_two_strips_carries_a_dose_and_a_verdict() -> None:
    one = kept().reading("2026-11-20", free_so2=26, method="strip").subject().free
    assert one is not None
    assert one.value == 38, "one strip over 20 mg/L is a trend"
    two = kept().reading("2026-11-20", free_so2=26, second_strip=20, method="strip")
    mean = two.subject().free
    assert mean is not None
    assert mean.value == 23
    assert actions(two)["sulfite"].dose is not None  # 20.4 and a margin of 5 are wanted


def test_one_strip_is_cautioned_and_two_are_not() -> None:
    assert "one_strip" in kept().cautioned("2026-11-20", k.Reading(free_so2=26.0, method="strip"))
    both = k.Reading(free_so2=26.0, second_strip=24.0, method="strip")
    assert "one_strip" not in kept().cautioned("2026-11-20", both)


def test_a_cellar_with_strips_only_can_bottle() -> None:
    story = all_but_air("2027-01-10").check("2027-01-10", "level")
    story.reading("2027-01-14", free_so2=24, second_strip=26, method="strip").sulfite("2027-01-15", 12)
    story.reading("2027-01-18", free_so2=30, second_strip=26, method="strip")
    assert "bottle" in listed(story, "2027-01-20")


@pytest.mark.parametrize("method", ["titration", None])
def test_a_second_strip_needs_the_first(method: str | None) -> None:
    assert [one.field for one in faults(k.Reading(second_strip=20.0, method="strip"))] == ["second_strip"]
    found = faults(k.Reading(free_so2=20.0, second_strip=20.0, method=method))
    assert [one.field for one in found] == ["second_strip"]


def test_a_decision_is_quiet_for_its_time() -> None:
    cold = dry("dry_red", sg=0.994).add("2026-10-13", "malolactic_culture", 2).reading("2026-12-14", temperature=14)
    assert "malolactic_conditions" in listed(cold, "2026-12-16")
    cold.decide("2026-12-16", "malolactic_overdue", "warm_and_feed")
    for on in ("2026-12-16", "2026-12-18", "2026-12-29"):
        assert "malolactic_conditions" not in listed(cold, on)
        assert "malolactic_overdue" not in listed(cold, on)
    assert "malolactic_conditions" in listed(cold, "2026-12-30")
