"""The forecast of free SO2: what a wine's own readings, its work and its vessel teach."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.planning import so2
from cellar_tui.planning.forecast import outlook
from cellar_tui.planning.forecast.belief import RACKED, Belief, Prior
from cellar_tui.planning.forecast.crossing import band, days_until
from cellar_tui.planning.forecast.track import Track, track
from cellar_tui.planning.plan import Forecast
from tests.planning.drawn import risk_day
from tests.planning.stories import Story, came_finished, day, fermenting, kept

GLASS, OAK = Prior(0.004, 1.5), Prior(0.008, 1.5)


def rested(vessel: str = "glass", free: float = 40.0) -> Story:
    """A dry white of pH 3.30 that came finished, 20 L, with one reading on 20 October."""
    return came_finished("dry_white", vessel=vessel).reading("2026-10-20", free_so2=free, method="aspiration")


def seen(story: Story) -> Track:
    found = track(story.subject())
    assert found is not None
    return found


def ahead(story: Story) -> Forecast:
    found = outlook.forecast(story.subject())
    assert found is not None
    return found


def began(value: float, prior: Prior = GLASS, method: str = "aspiration") -> Belief:
    return Belief.unread(prior).corrected(value, method)


# -- how it agrees with other routes


def test_even_odds_fall_where_the_usual_loss_reaches_the_target() -> None:
    # 40 to 25 mg/L at 0.4 % a day: ln(40 / 25) / 0.004 = 117.5 d; the doubt of the reading moves it by a few days.
    assert days_until(began(40.0), 25.0, 0.5) == pytest.approx(math.log(40 / 25) / 0.004, abs=5)


@pytest.mark.parametrize(
    ("readings", "target"),
    [
        ([(0, 40.0)], 25.0),
        ([(0, 32.0)], 25.0),
        ([(0, 45.0), (30, 40.0)], 25.0),
        ([(0, 45.0), (30, 38.0), (60, 31.0)], 25.0),
    ],
)
def test_the_day_of_one_chance_in_ten_is_that_of_wines_drawn_one_by_one(
    readings: list[tuple[int, float]], target: float
) -> None:
    belief, at = Belief.unread(OAK), 0
    for on, value in readings:
        belief, at = belief.aged(on - at).corrected(value, "aspiration"), on
    drawn = risk_day(OAK, readings, target, 0.10)
    # The filter bends a curve into a line at each reading, which makes it a few days early, hardly ever late.
    assert drawn - max(3, 0.25 * drawn) <= days_until(belief, target, 0.10) <= drawn + 3


def test_the_first_reading_is_taken_as_it_is() -> None:
    assert seen(rested()).belief.free == 40.0


# -- what readings teach


def test_a_reading_lowers_the_doubt_about_how_much_there_is_and_how_fast_it_goes() -> None:
    before = began(40.0).aged(30)
    after = before.corrected(35.0, "aspiration")
    assert after.ff < before.ff
    assert after.rr < before.rr


def test_a_strip_teaches_less_than_aspiration() -> None:
    before = began(40.0).aged(60)
    assert before.corrected(32.0, "aspiration").rr < before.corrected(32.0, "strip").rr < before.rr


def test_a_reading_without_a_method_counts_as_titration() -> None:
    before = began(40.0).aged(30)
    assert before.corrected(33.0, None) == before.corrected(33.0, "titration")


def test_a_wine_that_loses_faster_than_its_kind_learns_it() -> None:
    fast, slow = rested(), rested()
    for month, (low, high) in enumerate(((33.0, 39.0), (27.0, 38.0), (22.5, 37.0)), 1):
        on = (date(2026, 10, 20) + timedelta(days=30 * month)).isoformat()
        fast.reading(on, free_so2=low, method="aspiration")
        slow.reading(on, free_so2=high, method="aspiration")
    # 40 to 22.5 mg/L in 90 days is 0.64 % a day.
    assert 0.0045 < math.exp(seen(fast).belief.rate) < 0.0075
    assert math.exp(seen(slow).belief.rate) < 0.003
    assert seen(fast).belief.own > 0.5
    fast.reading("2027-01-20", free_so2=38, method="aspiration")
    slow.reading("2027-01-20", free_so2=38, method="aspiration")
    assert ahead(fast).middle_day < ahead(slow).middle_day


def test_a_wine_read_once_is_known_by_its_kind_of_vessel_alone() -> None:
    assert seen(rested()).belief.own == 0
    assert ahead(rested("oak")).risk_day < ahead(rested("glass")).risk_day < ahead(rested("steel")).risk_day


def test_a_reading_far_off_is_trusted_less_and_said_so_but_not_dropped() -> None:
    story = rested().reading("2026-11-20", free_so2=70, method="aspiration")
    found = seen(story)
    assert found.far
    assert 35.4 < found.belief.free < 60
    assert "repeat it" in ahead(story).because.reason
    assert not seen(rested().reading("2026-11-20", free_so2=36, method="aspiration")).far


def test_a_strip_is_said_to_show_a_trend_and_asks_for_two() -> None:
    story = rested().reading("2026-11-20", free_so2=35, method="strip")
    assert "test two on one day" in ahead(story).because.reason


def test_a_reading_of_the_must_says_nothing_of_the_wine() -> None:
    story = fermenting().reading("2026-09-22", free_so2=30).reading("2026-10-10", sg=0.992)
    story.reading("2026-10-13", sg=0.992, ph=3.2)
    assert not seen(story).belief.read
    assert outlook.forecast(story.subject()) is None


def test_what_does_not_touch_free_so2_leaves_the_forecast_where_it_stands() -> None:
    story = rested().check("2026-12-20", "level").reading("2026-12-21", malic=1.0)
    assert ahead(story) == ahead(rested())


def test_warmth_that_is_read_moves_the_loss_by_its_q10() -> None:
    read = rested().reading("2026-10-20", temperature=25.0)
    usual, warm = so2.expected(rested().subject(), day("2026-12-09")), so2.expected(read.subject(), day("2026-12-09"))
    # 40 mg/L in glass at 0.4 % a day; 50 d at 10 C above the usual 15 C: twice as fast.
    assert usual == pytest.approx(40 * math.exp(-0.004 * 50))
    assert warm == pytest.approx(40 * math.exp(-0.008 * 50))
    assert ahead(read).risk_day < ahead(rested()).risk_day


def test_an_old_temperature_and_the_end_of_a_cold_hold_leave_the_usual_loss() -> None:
    cold = rested().chill("2026-10-20", 5.0)
    # Half as fast while it is held at 5 C.
    assert so2.expected(cold.subject(), day("2026-11-29")) == pytest.approx(40 * math.exp(-0.002 * 40))
    out = cold.warm("2026-10-30")
    assert so2.expected(out.subject(), day("2026-11-29")) == pytest.approx(40 * math.exp(-0.002 * 10 - 0.004 * 30))
    old = rested().reading("2026-10-20", temperature=25.0).reading("2026-12-29", free_so2=30, method="aspiration")
    assert seen(old).belief.pace == 1


def test_between_two_temperatures_the_wine_was_on_its_way() -> None:
    story = rested().reading("2026-10-20", temperature=20.0).reading("2026-11-19", temperature=10.0)
    assert so2.expected(story.subject()) == pytest.approx(40 * math.exp(-0.004 * 30))


# -- what work does


def test_a_racking_takes_an_eighth_and_leaves_more_doubt() -> None:
    before = seen(rested()).on(day("2026-10-25"))
    after = seen(rested().rack("2026-10-25")).belief
    assert after.free == pytest.approx(RACKED * before.free)
    assert math.sqrt(after.ff) / after.free > math.sqrt(before.ff) / before.free
    assert ahead(rested().rack("2026-10-25")).risk_day < ahead(rested()).risk_day


def test_two_grams_of_metabisulfite_in_a_demijohn_are_expected_to_bring_25_to_34_free() -> None:
    # 2000 mg x 0.576 / 22.7 L = 50.7 mg/L total; half of it stays after the ferment, two thirds later.
    for stated in (0.0, 80.0):
        told = {"volume": 22.7, "total_so2": stated}
        story = came_finished("dry_white", **told).reading("2026-10-14", free_so2=6, method="aspiration")
        before = so2.expected(story.subject())
        story.add("2026-10-14", "potassium_metabisulfite", 2)
        after = so2.expected(story.subject())
        assert before is not None
        assert after is not None
        assert after - before == pytest.approx(25.4 if stated == 0 else 34.0, abs=0.1)


def test_a_sulfite_binds_within_days_and_a_reading_in_between_shows_more() -> None:
    at_once = began(20.0).dosed(30.0, 0.67)
    assert at_once.expected() == pytest.approx(50.0)
    assert at_once.free == pytest.approx(40.1)
    assert at_once.aged(6).expected() == pytest.approx(at_once.aged(6).free, abs=0.3)
    soon, late = at_once.aged(1), at_once.aged(6)
    assert soon.corrected(soon.expected(), "aspiration").ff > late.corrected(late.expected(), "aspiration").ff


def test_entries_of_one_day_count_in_their_order() -> None:
    # On the day itself a reading still shows the third of the sulfite that will bind.
    read_first = rested(free=30.0).reading("2026-10-27", free_so2=29, method="aspiration").sulfite("2026-10-27", 15)
    dosed_first = rested(free=30.0).sulfite("2026-10-27", 15).reading("2026-10-27", free_so2=44, method="aspiration")
    assert seen(read_first).belief.free == pytest.approx(29 + 0.67 * 15, abs=0.5)
    assert seen(dosed_first).belief.free == pytest.approx(44 - 0.33 * 15, abs=0.5)


def test_the_share_staying_free_is_the_wines_own_once_it_was_read_before_and_after_a_sulfite() -> None:
    story = rested(free=20.0).sulfite("2026-10-20", 40)
    assert so2.share(story.subject()) == (0.67, (story.subject().fact("share_later"),))
    told = story.reading("2026-10-27", free_so2=36, method="aspiration").subject()
    share, facts = so2.share(told)
    # 36 of 20 + 40 is a share of 0.4; the house rule's 0.67 still weighs in.
    assert 0.4 < share < 0.55
    assert facts[0].entries == tuple(entry.seq for entry in story.entries[-3:])
    assert "own history" in facts[0].name
    dose = so2.dose(told, 45.0)
    assert dose is not None
    assert facts[0] in dose.because.facts


def test_topping_with_its_own_wine_leaves_the_free_so2_and_water_thins_it() -> None:
    topped = came_finished("dry_white", volume=20.0).reading("2026-10-20", free_so2=40)
    thinned = so2.expected(topped.top("2026-10-20", 2.0).subject())
    other = came_finished("dry_white", volume=20.0).reading("2026-10-20", free_so2=40)
    mixed = so2.expected(other.top("2026-10-20", 2.0, wine="Moor").subject())
    assert thinned == pytest.approx(40.0)
    # 2 L that may hold as much or nothing: half, in 22 L.
    assert mixed == pytest.approx((20 * 40 + 2 * 20) / 22)


def test_a_blend_takes_the_rate_back_to_that_of_its_vessel() -> None:
    story = rested().reading("2026-11-20", free_so2=30, method="aspiration")
    assert seen(story).belief.own > 0.2
    story.blend_in("2026-11-21", 2.0, total_so2=80)
    assert so2.expected(story.subject()) is None  # the other wine was never read
    assert outlook.forecast(story.subject()) is None
    story.reading("2026-11-24", free_so2=31, method="aspiration")
    assert seen(story).belief.own == 0
    assert seen(story).belief.rate == pytest.approx(math.log(0.004))


def test_a_blend_holds_what_its_parts_hold_on_that_day_not_what_was_read_long_before() -> None:
    story = rested(free=30.0)
    other = story.tell_vessel("oak", 5.0)
    story.record("2026-09-20", WineStart(name="Dale", style="dry_white", volume=4.0, finished=True), other)
    story.record("2026-11-29", k.Reading(free_so2=12, method="aspiration"), other)
    story.record("2027-01-28", k.Blend(source=other, volume=3.0))
    # 100 d after 30 in glass and 60 d after 12 in oak.
    parts = 20 * 30 * math.exp(-0.004 * 100), 3 * 12 * math.exp(-0.008 * 60)
    assert so2.expected(story.subject()) == pytest.approx(sum(parts) / 23)


def test_a_topping_from_the_cellar_brings_its_own_free_so2() -> None:
    story = came_finished("dry_white", volume=20.0).reading("2026-10-20", free_so2=40)
    other = story.tell_vessel("glass", 5.0)
    story.record("2026-09-20", WineStart(name="Dale", style="dry_white", volume=4.0, finished=True), other)
    story.record("2026-10-20", k.Reading(free_so2=10), other)
    story.record("2026-10-20", k.Topping(source=other, volume=2.0))
    assert so2.expected(story.subject()) == pytest.approx((20 * 40 + 2 * 10) / 22)


def test_wines_that_top_each_other_for_years_are_worked_out_in_no_time() -> None:
    story = came_finished("dry_white", volume=20.0).reading("2026-10-20", free_so2=40)
    other = story.tell_vessel("glass", 25.0)
    story.record("2026-10-13", WineStart(name="Dale", style="dry_white", volume=20.0, finished=True), other)
    story.record("2026-10-20", k.Reading(free_so2=20), other)
    for turn in range(60):
        into, source = (story.vessel, other) if turn % 2 else (other, story.vessel)
        story.record((day("2026-10-21") + timedelta(days=turn)).isoformat(), k.Topping(source=source, volume=0.5), into)
    assert 20 < (so2.expected(story.subject()) or 0) < 40


def test_a_blend_is_expected_to_hold_what_its_parts_held_by_volume_until_it_is_read() -> None:
    story = rested(free=30.0)
    other = story.tell_vessel("glass", 5.0)
    story.record("2026-09-20", WineStart(name="Dale", style="dry_white", volume=4.0, finished=True), other)
    story.record("2026-10-20", k.Reading(free_so2=12, method="aspiration"), other)
    alone = story.record("2026-10-20", k.Blend(source=other, volume=3.0)).subject()
    assert so2.expected(alone) == pytest.approx((20 * 30 + 3 * 12) / 23)
    assert outlook.forecast(alone) is None
    sulfited = so2.expected(story.sulfite("2026-10-20", 10).subject())
    assert sulfited == pytest.approx(636 / 23 + 10 * so2.share(alone)[0])
    # A reading tells more than what the parts were read to hold, and no forecast was there to be scored.
    story.reading("2026-10-30", free_so2=26, method="aspiration")
    assert seen(story).belief.free == pytest.approx(26, abs=1.5)
    assert seen(story).scores == ()
    assert outlook.forecast(story.subject()) is not None


def test_a_wine_moved_into_oak_loses_as_oak_does_and_the_why_names_both_house_rules() -> None:
    story = rested().reading("2026-11-20", free_so2=35, method="aspiration")
    barrel = story.tell_vessel("oak", 25.0)
    story.house(loss_oak=0.01).rack("2026-11-21", to=barrel)
    changed = story.entries[-2].seq
    found = seen(story)
    assert (found.material, found.belief.own) == ("oak", 0)
    assert found.belief.rate == pytest.approx(math.log(0.01))
    story.reading("2026-11-25", free_so2=31, method="aspiration")
    rules = {fact.name: fact.entries for fact in story.dues("so2_recheck")[0].because.facts}
    assert rules["house rule loss_oak"] == (changed,)
    assert rules["house rule loss_glass"] == ()


def test_what_was_learned_in_another_vessel_is_the_same_however_it_is_looked_at() -> None:
    story = rested().reading("2026-11-20", free_so2=35, method="aspiration")
    before = seen(story)
    story.rack("2026-11-21", to=story.tell_vessel("oak", 25.0))
    later = story.subject()
    assert track(later.as_of(len(later.c.log) - 1)) == before
    track(later)
    assert track(later.as_of(len(later.c.log) - 1)) == before


def test_the_part_split_off_is_believed_like_the_rest() -> None:
    story = rested()
    part = story.tell_vessel("glass", 12.0)
    story.record("2026-10-21", k.Split(to=part, volume=10.0))
    rest = seen(story).belief
    story.vessel = part
    assert seen(story).belief.free == pytest.approx(rest.free, rel=0.01)
    assert seen(story).belief.rr == pytest.approx(rest.rr, rel=0.01)


# -- what is said of it


def test_the_reading_is_due_on_the_day_of_the_risk_within_the_limits_of_its_vessel() -> None:
    close = rested(free=28.0).house(keeping_margin=1)
    assert close.due("so2_recheck") == ("2026-10-27", "2026-10-27")
    between = rested("oak", free=36.0).house(recheck_oak=180)
    risk = ahead(between).risk_day.isoformat()
    assert between.due("so2_recheck") == (risk, risk)
    assert rested("oak", free=60.0).due("so2_recheck") == ("2026-11-19", "2026-11-19")


def test_a_house_rule_of_less_risk_reads_sooner_and_is_named() -> None:
    usual, careful = rested("oak"), rested("oak").house(forecast_risk=2)
    assert ahead(careful).risk_day < ahead(usual).risk_day
    assert ahead(careful).middle_day == ahead(usual).middle_day
    facts = {fact.name: fact.entries for fact in ahead(careful).because.facts}
    assert facts["house rule forecast_risk"] == (careful.last(),)
    assert "2 % risk of being below" in ahead(careful).because.reason


def test_the_why_says_how_much_is_known_from_its_own_readings() -> None:
    story = rested("oak").reading("2026-12-20", free_so2=28, method="aspiration")
    found = ahead(story)
    own = round(100 * seen(story).belief.own)
    assert f"({own} % weight on its own readings, {100 - own} % on typical oak)" in found.because.reason
    assert "5 % risk of being below" in found.because.reason
    assert "even odds by" in found.because.reason
    assert found.because.facts[0].name == "last free SO2 by aeration-oxidation"
    assert found.because.facts[0].entries == (story.last(),)
    assert any(fact.name == "a pH 0.05 off moves the target by" and fact.value == 12 for fact in found.because.facts)


def test_a_forecast_is_scored_by_the_next_reading_unless_it_is_of_the_same_day() -> None:
    story = rested().reading("2026-10-20", free_so2=39, method="aspiration")
    assert seen(story).scores == ()
    story.reading("2026-11-20", free_so2=35, method="aspiration").reading("2026-12-20", free_so2=55)
    assert [one.inside for one in seen(story).scores] == [True, False]
    assert seen(story).scores[0].entry == story.entries[-2].seq


def test_a_dose_aims_higher_in_a_wine_that_loses_faster() -> None:
    fast, slow = rested("oak"), rested("oak")
    for story, value in ((fast, 22.0), (slow, 38.0)):
        story.reading("2026-12-20", free_so2=value, method="aspiration")
    aims = [so2.aim(one.subject(), so2.target(one.subject()))[0] for one in (fast, slow)]
    assert aims[0] > aims[1]
    assert kept().subject().fact("dose_most") in so2.aim(kept().subject(), so2.target(kept().subject()))[1]


# -- what always holds


@st.composite
def beliefs(draw: st.DrawFn) -> Belief:
    """A wine with a history of readings, sulfites, rackings and toppings."""
    methods = st.sampled_from(("aspiration", "titration", "strip", None))
    belief = Belief.unread(Prior(draw(st.floats(0.0005, 0.02)), 1.5)).corrected(draw(st.floats(0, 80)), draw(methods))
    for _ in range(draw(st.integers(0, 6))):
        belief = belief.aged(draw(st.floats(0, 120)))
        what = draw(st.sampled_from(("read", "dose", "rack", "thin", "move")))
        if what == "read":
            belief = belief.corrected(draw(st.floats(0, 80)), draw(methods))
        elif what == "dose":
            belief = belief.dosed(draw(st.floats(1, 60)), draw(st.sampled_from((0.35, 0.5, 0.67))))
        elif what == "rack":
            belief = belief.racked()
        elif what == "thin":
            belief = belief.thinned(draw(st.floats(0.5, 1)), same=draw(st.sampled_from((True, False, None))))
        else:
            belief = belief.moved(OAK)
    return belief


@given(beliefs(), st.floats(1, 60), st.integers(0, 400))
@settings(max_examples=150, deadline=None)
def test_the_band_is_ordered_and_the_risk_comes_before_even_odds(belief: Belief, target: float, days: int) -> None:
    low, middle, high = band(belief, days)
    assert 0 <= low <= middle <= high
    assert days_until(belief, target, 0.1) <= days_until(belief, target, 0.5)


@given(beliefs(), st.floats(1, 60), st.floats(0, 30))
@settings(max_examples=150, deadline=None)
def test_a_higher_target_is_never_reached_later(belief: Belief, target: float, more: float) -> None:
    assert days_until(belief, target + more, 0.1) <= days_until(belief, target, 0.1)


@given(beliefs())
@settings(max_examples=150, deadline=None)
def test_no_doubt_is_ever_negative_and_no_free_so2_either(belief: Belief) -> None:
    assert belief.free >= 0
    assert min(belief.ff, belief.rr, belief.ss) >= 0
    assert belief.fr**2 <= belief.ff * belief.rr * (1 + 1e-6) + 1e-12
