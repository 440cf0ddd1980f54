"""The sugar of a wine, and what is stopped because bottles can burst. Figures worked out by hand beside each story.

An arrested wine of SG 1.016 and 12.0 % vol: relative density of 12 % spirit 0.9841, so its extract has SG 1.0319,
which is 82.5 g/L of sucrose; less 18 g/L of a white without sugar 64.5 g/L, and from 54.5 to 70.5 g/L with the band.
"""

from __future__ import annotations

import pytest

from cellar_tui.ledger import ferment
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.planning import so2
from cellar_tui.planning.sugar import band
from tests.planning.stories import Story, dry, fermenting, sweetened

STOP = "sugar_before_sorbate"
UNKNOWN = "sugar_unknown"


def beside(story: Story, volume: float = 20.0, style: str = "dry_white", **more: object) -> int:
    """Put another finished wine beside it and return the number of its vessel."""
    other = story.tell_vessel("glass", 23.0)
    told: dict[str, object] = {"name": "Dale", "style": style, "volume": volume, "finished": True}
    story.record("2026-10-13", WineStart(**(told | more)), other)  # type: ignore[arg-type]
    return other


def with_arrested(*, sg: float = 1.016, alcohol: float = 12.0) -> tuple[Story, int]:
    """A white fermented out, 48 L, and beside it 20 L of a wine arrested with some 60 g/L of sugar, never tested."""
    story = dry(volume=48.0, capacity=54.0)
    other = beside(story, style="arrested_sweet")
    story.record("2026-10-14", k.Reading(sg=sg, alcohol=alcohol), other)
    return story, other


def poured(source: int, volume: float) -> k.Topping:
    return k.Topping(source=source, volume=volume)


def from_outside(volume: float, sugar: float | None = None, alcohol: float | None = None) -> k.Topping:
    return k.Topping(outside=True, wine="Port", volume=volume, sugar=sugar, alcohol=alcohol)


# -- what is known of it


def test_an_arrested_wine_that_nobody_tested_is_estimated_from_gravity_and_strength() -> None:
    story = Story("arrested_sweet", "2026-10-13", volume=20.0, finished=True).reading(
        "2026-10-14", sg=1.016, alcohol=12
    )
    s = story.subject()
    assert s.sugar == pytest.approx(64.5, abs=0.5)
    assert band(s) == pytest.approx((54.5, 70.5), abs=0.5)


def test_without_strength_or_reading_its_sugar_is_not_known() -> None:
    assert Story("dry_white", finished=True).reading("2026-10-14", sg=0.994).subject().sugar is None


def test_steady_gravity_at_the_dry_mark_leaves_nothing_and_is_marked_until_the_yeast_is_shown() -> None:
    story = dry()
    assert (story.subject().sugar, band(story.subject())) == (0, (0, 0))
    shown = story.reading("2026-10-17", sg=0.992).subject()
    assert (shown.sugar, band(shown)) == (0, None)


def test_no_estimate_overrules_steady_gravity_at_the_dry_mark() -> None:
    # 0.992 at 14 %: extract of SG 1.0100, 25.9 g/L: by the estimate 7.9 g/L would be left.
    assert dry().reading("2026-10-14", alcohol=14.0).subject().sugar == 0


def test_gravity_above_the_dry_mark_again_overrules_it() -> None:
    # From 1.090 to 1.000 is 12.0 % vol: extract of SG 1.0159, 41 g/L, less 18: some 23 g/L.
    assert dry().reading("2026-10-20", sg=1.000).subject().sugar == pytest.approx(23, abs=1)


def test_sugar_read_before_the_ferment_is_left_as_it_stands_is_carried_on() -> None:
    story = dry(sg=0.998).reading("2026-10-14", residual_sugar=6.0).reading("2026-10-16", sg=0.998)
    story.decide("2026-10-17", "ferment_stuck", "finish_here").rack("2026-10-18", volume=20.0)
    story.reading("2026-10-20", sg=0.9975)
    assert story.subject().sugar == pytest.approx(6.0)
    assert band(story.subject()) is None


def test_a_ferment_that_went_on_leaves_the_reading_behind() -> None:
    story = Story(sg=1.090).add("2026-09-21", "yeast", 6).reading("2026-09-28", sg=1.030, residual_sugar=85.0)
    story.reading("2026-10-10", sg=0.992).reading("2026-10-13", sg=0.992)
    assert story.subject().sugar == 0


def test_a_sweetened_wine_that_ferments_again_holds_less_by_what_its_gravity_fell() -> None:
    # 612 g in 20.4 L are 30 g/L; a fall of 0.004 is 8.6 g/L eaten, 6.9 at least and 10.3 at most.
    story = sweetened().reading("2026-11-05", residual_sugar=30.0).reading("2026-11-06", sg=1.004)
    assert story.reading("2026-11-12", sg=1.0035).subject().sugar == pytest.approx(30.0), "within the steady width"
    assert story.reading("2026-11-20", sg=1.000).subject().sugar == pytest.approx(21.4, abs=0.1)
    assert band(story.subject()) == pytest.approx((19.7, 23.1), abs=0.1)


def test_limits_that_rise_with_sugar_take_the_low_side() -> None:
    # 0.994 at 12 %: 25.5 g/L of extract, 7.5 g/L of sugar, but perhaps none. Under 5 g/L the EU allows 200 mg/L, over
    # it 250 (Regulation 2019/934, annex I B).
    story = (
        Story("dry_white", "2026-10-13", finished=True)
        .house(jurisdiction="eu")
        .reading("2026-10-14", sg=0.994, alcohol=12)
    )
    assert story.subject().sugar == pytest.approx(7.3, abs=0.5)
    assert so2.total_limit(story.subject()) == 200
    assert so2.total_limit(story.reading("2026-10-15", residual_sugar=7.3).subject()) == 250


# -- what an entry brings


def test_arrested_wine_topped_into_a_dry_wine_is_stopped() -> None:
    # 5 L of it bring 70.5 x 5 / 53 = 6.7 g/L on the high side.
    story, other = with_arrested()
    assert STOP in story.cautioned("2026-10-15", poured(other, 5.0))
    assert "7 g/L" in next(one.why for one in story.findings("2026-10-15", poured(other, 5.0)) if one.guard == STOP)


def test_what_toppings_bring_is_summed_until_the_sugar_is_read() -> None:
    # 1.3 L bring 70.5 x 1.3 / 49.3 = 1.86 g/L; twice that is over 2; a reading of the whole starts the sum at 0.3.
    story, other = with_arrested()
    assert STOP not in story.cautioned("2026-10-15", poured(other, 1.3))
    story.record("2026-10-15", poured(other, 1.3))
    assert STOP in story.cautioned("2026-10-16", poured(other, 1.3))
    story.reading("2026-10-16", residual_sugar=0.1)
    assert STOP not in story.cautioned("2026-10-17", poured(other, 1.3))


def test_what_was_poured_in_with_a_reason_takes_the_road_of_a_sweetened_wine() -> None:
    story, other = with_arrested()
    story.reading("2026-10-17", sg=0.992).record("2026-10-18", poured(other, 5.0))
    assert story.state("yeast") == "in_progress"
    assert story.due("refermentation_watch") == ("2026-10-25", "2026-10-25")


def test_port_topped_into_a_dry_red_is_stopped() -> None:
    # 100 g/L: 4 L in 200 L make 2.0 g/L, 3 L in 199 L 1.5.
    story = dry("dry_red", sg=0.994, volume=196.0, capacity=225.0, vessel="oak")
    other = beside(story, style="fortified", colour="red", alcohol=19.0, sugar=100.0)
    assert STOP in story.cautioned("2026-10-15", poured(other, 4.0))
    assert STOP not in story.cautioned("2026-10-15", poured(other, 3.0))


def test_port_whose_sugar_nobody_knows_counts_as_sweet_as_port_can_be() -> None:
    # 200 g/L: 2 L in 198 L make 2.02 g/L.
    story = dry("dry_red", sg=0.994, volume=196.0, capacity=225.0, vessel="oak")
    other = beside(story, style="fortified", colour="red", alcohol=19.0)
    (stop,) = [one for one in story.findings("2026-10-15", poured(other, 2.0)) if one.guard == STOP]
    assert "the sugar of Dale is not known" in stop.why


def test_wine_from_outside_asks_for_its_sugar_and_strength() -> None:
    story = dry(volume=48.0, capacity=54.0).reading("2026-10-17", sg=0.992)
    assert story.cautioned("2026-10-18", from_outside(1.0)) >= {UNKNOWN}
    assert not story.cautioned("2026-10-18", from_outside(1.0, sugar=1.0, alcohol=12.0)) & {UNKNOWN, STOP}
    # 100 x 1 / 49 = 2.04 g/L
    assert STOP in story.cautioned("2026-10-18", from_outside(1.0, sugar=100.0, alcohol=19.0))
    story.record("2026-10-18", from_outside(1.0))
    assert (story.subject().sugar, story.subject().alcohol) == (None, None)


def test_a_dry_wine_whose_gravity_is_steady_brings_nothing() -> None:
    story, other = with_arrested(sg=0.992, alcohol=12.5)
    story.record("2026-10-18", k.Reading(sg=0.992), other)
    assert not story.cautioned("2026-10-19", poured(other, 5.0)) & {STOP, UNKNOWN}


def test_a_blend_of_a_wine_not_shown_dry_counts_it_on_the_high_side() -> None:
    # 0.994 at 12.0 %: extract 25.5 g/L; less 12 at the leanest 13.5 g/L: 10 L of it in 58 L bring 2.3 g/L.
    story, other = with_arrested(sg=0.994)
    body = k.Blend(source=other, volume=10.0)
    assert STOP in story.cautioned("2026-10-15", body)
    story.record("2026-10-16", k.Reading(residual_sugar=0.5), other)
    assert STOP not in story.cautioned("2026-10-17", body)


def test_must_topped_into_a_finished_wine_is_stopped() -> None:
    story = dry(volume=48.0, capacity=54.0)
    other = story.tell_vessel("glass", 23.0)
    story.record("2026-10-14", WineStart(name="Dale", style="dry_white", volume=20.0, sg=1.090), other)
    assert STOP in story.cautioned("2026-10-15", poured(other, 1.0))


def test_sugar_feeds_a_ferment_and_is_stopped_where_no_gravity_shows_one() -> None:
    fed = k.Addition(material="sugar", amount=500, sugar_g=500, litres=0.31)
    must = Story(sg=1.090).add("2026-09-21", "yeast", 6)
    assert STOP not in must.cautioned("2026-09-22", fed)
    ferment = must.reading("2026-09-28", sg=1.040)
    assert STOP not in ferment.cautioned("2026-10-05", fed)
    assert STOP in ferment.cautioned("2026-10-13", fed), "the last gravity is 15 days old"
    assert STOP in ferment.reading("2026-10-14", sg=0.992).cautioned("2026-10-15", fed), "dry, though not proved yet"


def test_a_dry_live_wine_poured_into_a_sweet_one_whose_sorbate_it_thins_is_stopped() -> None:
    # 2.8 g in 20.4 L are 137 mg/L, 126 asked at 11.8 % and pH 3.3: 8 L of dry wine leave 99 mg/L.
    story = sweetened()
    other = beside(story, volume=20.0, alcohol=12.0, sugar=0.5)
    assert STOP in story.cautioned("2026-11-08", poured(other, 8.0))
    assert STOP not in story.cautioned("2026-11-08", poured(other, 0.2))


def test_the_same_wine_poured_together_brings_nothing() -> None:
    story, other = with_arrested()
    twin = story.tell_vessel("glass", 23.0)
    story.record("2026-10-15", k.Split(to=twin, volume=5.0), other)
    story.vessel = twin
    assert STOP not in story.cautioned("2026-10-16", poured(other, 3.0))


# -- what an outside topping leaves unknown


@pytest.mark.parametrize(
    "stated", [{}, {"sugar": 0.5}, {"alcohol": 12.0}], ids=["nothing stated", "no strength", "no sugar"]
)
def test_wine_from_outside_that_leaves_its_sugar_or_strength_unknown_asks_for_a_sugar_test(
    stated: dict[str, float],
) -> None:
    story = dry(volume=48.0, capacity=54.0).reading("2026-10-17", sg=0.992)
    assert story.due("sugar_test") is None
    story.record("2026-10-18", from_outside(1.0, **stated)).record("2026-10-19", from_outside(0.5, **stated))
    assert story.due("sugar_test") == ("2026-10-18", "2026-10-18"), "since the first of the two"
    assert story.reading("2026-10-20", residual_sugar=0.6).due("sugar_test") is None
    assert story.record("2026-10-22", from_outside(1.0)).due("sugar_test") == ("2026-10-22", "2026-10-22")


def test_wine_from_outside_whose_sugar_and_strength_are_stated_asks_for_no_test() -> None:
    story = dry(volume=48.0, capacity=54.0).reading("2026-10-17", sg=0.992)
    assert story.record("2026-10-18", from_outside(1.0, sugar=0.5, alcohol=12.0)).due("sugar_test") is None


def test_wine_of_the_same_name_from_outside_is_taken_to_be_like_it() -> None:
    story = dry(volume=48.0, capacity=54.0).reading("2026-10-17", sg=0.992)
    story.record("2026-10-18", k.Topping(outside=True, wine="Hill", volume=1.0))
    assert story.due("sugar_test") is None


def test_a_test_that_finds_what_the_topping_brought_asks_for_a_decision() -> None:
    # 5 L of a wine with 60 g/L, stated by nobody: 300 g in 53 L are 5.7 g/L on live yeast.
    story = dry(volume=48.0, capacity=54.0).reading("2026-10-17", sg=0.992).record("2026-10-18", from_outside(5.0))
    story.reading("2026-10-19", residual_sugar=5.7)
    assert story.due("sugar_test") is None
    assert story.due("ferment_decision") == ("2026-10-19", "2026-10-19")


# -- sweet wine into a running ferment


def running(volume: float = 20.0) -> Story:
    """A white must of SG 1.090, a third of its sugar gone on 25 September: 0.030 of 0.090."""
    return fermenting(volume=volume, capacity=30.0).reading("2026-09-25", sg=1.060)


def test_sweet_wine_of_the_cellar_feeds_the_ferment_it_is_topped_into() -> None:
    story = running()
    other = beside(story, style="sweet_white", volume=10.0, sugar=100.0, alcohol=12.0)
    story.reading("2026-10-13", sg=1.050)
    assert not story.cautioned("2026-10-14", poured(other, 2.0)) & {STOP, UNKNOWN}
    story.record("2026-10-14", poured(other, 2.0))
    now, event = story.subject().c.now, story.subject().c.log[-1]
    assert now.fed == pytest.approx(200.0)  # 2 L x 100 g/L
    assert event.fed
    assert event.sugar == pytest.approx(200 / 22)


def test_sweet_wine_from_outside_counts_in_what_there_was_to_ferment() -> None:
    story = running()
    before = ferment.potential_alcohol(story.subject().c)
    assert before is not None
    story.record("2026-09-25", from_outside(2.0, sugar=100.0, alcohol=12.0))
    contents = story.subject().c
    assert contents.now.fed == pytest.approx(200.0)
    # 2 L had 12.0 % to give and have 100 / 16.83 = 5.94 % left: 17.94 % beside 20 L of the must's.
    assert ferment.potential_alcohol(contents) == pytest.approx((20 * before + 2 * 17.94) / 22, abs=0.01)
    # Once 302 g/L of sugar and 20 of solids: 1.123; now 100 and 20 g/L in 12 % at 1.030 (0.984 + 0.046).
    # All of it: (20 x 1.090 + 2 x 1.123) / 22 = 1.0930, now (20 x 1.060 + 2 x 1.030) / 22 = 1.0573.
    assert contents.now.original_gravity == pytest.approx(1.0930, abs=0.0001)
    assert contents.now.gravity == pytest.approx(1.0573, abs=0.0001)
    # Two thirds of that are gone at 1.0930 - 0.0930 x 2 / 3 = 1.0310.
    story.reading("2026-09-28", sg=1.031)
    assert ferment.sugar_gone(story.subject().c) == pytest.approx(2 / 3, abs=0.004)


def test_sweet_wine_of_unknown_strength_counts_its_sugar_all_the_same() -> None:
    # 200 g in 22 L stand for 0.0035 of gravity: from 1.090 and from 1.060 alike.
    now = running().record("2026-09-25", from_outside(2.0, sugar=100.0)).subject().c.now
    assert (now.fed, now.original_gravity, now.gravity) == pytest.approx((200.0, 1.0935, 1.0635), abs=0.0002)


def test_dry_wine_feeds_no_ferment() -> None:
    story = running().record("2026-09-25", from_outside(2.0, sugar=0.0, alcohol=12.0))
    assert story.subject().c.now.fed == 0
    assert not story.subject().c.log[-1].fed


def test_wine_of_the_cellar_that_nobody_knows_the_sugar_of_asks_for_a_sugar_test_where_it_went() -> None:
    # Half a litre of a wine that came finished, never measured, into 22 L fermented out: at the most 220 g/L of it.
    story = dry(volume=22.0)
    other = beside(story)
    assert story.due("sugar_test") is None
    story.record("2026-10-18", poured(other, 0.5))
    assert not story.subject().sugar_held.known
    assert story.due("sugar_test") == ("2026-10-18", "2026-10-18")
    assert "0.5 L" in str(story.dues("sugar_test")[0].because.facts)
    assert story.reading("2026-10-19", residual_sugar=0.7).due("sugar_test") is None


def test_wine_of_the_cellar_with_its_sugar_known_asks_for_none() -> None:
    story = dry(volume=22.0)
    other = beside(story)
    story.record("2026-10-14", k.Reading(residual_sugar=0.4), other)
    assert story.record("2026-10-18", poured(other, 0.5)).due("sugar_test") is None


def test_a_gravity_within_a_steady_step_over_the_dry_mark_leaves_the_proof_and_one_past_it_does_not() -> None:
    mark = ferment.dry_mark(dry().subject().c)
    within, past = (dry().reading("2026-10-20", sg=round(mark + over, 4)).subject() for over in (0.0005, 0.0015))
    assert within.sugar_held.middle == 0
    assert past.sugar_held.middle > 0
