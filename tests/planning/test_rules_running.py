"""A running ferment: its warmth, its nutrient, standing still, the arrest, the spirit. Dates by hand from the rows."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import MaterialOnHand
from cellar_tui.planning.rules import needs, nutrient
from cellar_tui.planning.spirit import by_spirit
from tests.planning.stories import Story, arrested, dry, fermenting, fortified
from tests.planning.tables import statements

Window = tuple[str, str] | None
Tale = Callable[[], Story]


# "fermenting | at once: red under 21 C in its last third, white under 12 C; red over 30, white, rose, fruit over 22,
# anything over 33 | temperature reading". The last third of SG 1.090 begins at SG 1.030.
@statements(
    (
        "a red under 21 C in its last third",
        lambda: fermenting("dry_red").reading("2026-09-26", sg=1.030, temperature=20),
        "2026-09-26",
    ),
    ("not before it", lambda: fermenting("dry_red").reading("2026-09-26", sg=1.031, temperature=20), None),
    (
        "from the gravity that brings it there",
        lambda: fermenting("dry_red").reading("2026-09-25", temperature=20).reading("2026-09-27", sg=1.025),
        "2026-09-27",
    ),
    ("not at 21 C", lambda: fermenting("dry_red").reading("2026-09-26", sg=1.020, temperature=21), None),
    ("a white under 12 C", lambda: fermenting().reading("2026-09-24", temperature=11.5), "2026-09-24"),
    ("not at 12 C", lambda: fermenting().reading("2026-09-24", temperature=12), None),
    ("a rose may be colder", lambda: fermenting("rose").reading("2026-09-24", temperature=11), None),
    ("a red over 30 C", lambda: fermenting("dry_red").reading("2026-09-24", temperature=30.5), "2026-09-24"),
    ("not at 30 C", lambda: fermenting("dry_red").reading("2026-09-24", temperature=30), None),
    ("a white over 22 C", lambda: fermenting().reading("2026-09-24", temperature=22.5), "2026-09-24"),
    ("a rose too", lambda: fermenting("rose").reading("2026-09-24", temperature=23), "2026-09-24"),
    ("fruit too", lambda: fermenting("dry_fruit").reading("2026-09-24", temperature=23), "2026-09-24"),
    (
        "anything over 33 C, whatever the house lets a red do",
        lambda: fermenting("dry_red").house(hot_red=38).reading("2026-09-24", temperature=33.5),
        "2026-09-24",
    ),
    (
        "a reading that puts it right satisfies it",
        lambda: fermenting().reading("2026-09-24", temperature=24).reading("2026-09-24", temperature=20),
        None,
    ),
    (
        "one that leaves it so brings it back after 2 d",
        lambda: fermenting().reading("2026-09-24", temperature=24).reading("2026-09-25", temperature=23),
        "2026-09-27",
    ),
    ("a must is not warmed", lambda: Story(sg=1.09).reading("2026-09-20", temperature=8), None),
    (
        "but once its yeast is in",
        lambda: Story(sg=1.09).reading("2026-09-20", temperature=8).add("2026-09-21", "yeast", 5),
        "2026-09-21",
    ),
    ("nor a finished wine", lambda: dry().reading("2026-10-14", temperature=8), None),
    ("decided to be warmed: at once", lambda: still().decide("2026-09-29", "ferment_stuck", "warm"), "2026-09-29"),
    (
        "a temperature satisfies it",
        lambda: still().decide("2026-09-29", "ferment_stuck", "warm").reading("2026-09-29", temperature=18),
        None,
    ),
)
def test_its_warmth_is_seen_to(story: Tale, window: Window) -> None:
    assert story().due("warm") == window


def poor(style: str = "dry_white", yan: float | None = 100, sg: float = 1.101, **more: Any) -> Story:
    """A must of 24 Brix short of nitrogen, yeast on 21 September."""
    story = Story(style, sg=sg, volume=20.0, **more)
    return (story if yan is None else story.reading("2026-09-20", yan=yan)).add("2026-09-21", "yeast", 5)


# "YAN under need for its Brix, or fruit, honey, diluted must never measured; first half of the ferment | half after
# 24 h, half at one third of the sugar; never after half the sugar is gone". A third of SG 1.101 is gone at 1.067, half
# at 1.050.
@statements(
    ("half after 24 h", poor, "2026-09-22"),
    ("not before the yeast", lambda: Story(sg=1.101).reading("2026-09-20", yan=100), None),
    ("not with nitrogen enough: 275 mg/L at 24 Brix", lambda: poor(yan=280), None),
    ("a must under 21 Brix needs less", lambda: poor(yan=150, sg=1.080), None),
    ("grapes never measured are asked for it", lambda: poor(yan=None), ("2026-09-20", "2026-09-22")),
    ("as must already", lambda: Story(sg=1.101), "2026-09-20"),
    ("not once they are fed", lambda: poor(yan=None).add("2026-09-22", "dap", 5), None),
    (
        "half of it in the must already counts",
        lambda: (
            Story(sg=1.101, volume=20.0)
            .reading("2026-09-20", yan=100)
            .add("2026-09-20", "dap", 9)
            .add("2026-09-21", "yeast", 5)
        ),
        None,
    ),
    ("fruit never measured is not", lambda: poor("dry_fruit", yan=None), "2026-09-22"),
    ("nor must with honey", lambda: poor(yan=None).add("2026-09-21", "honey", 500), "2026-09-22"),
    ("nor diluted must", lambda: poor(yan=None).add("2026-09-21", "water", 2), "2026-09-22"),
    ("nor concentrate", lambda: poor(yan=None, source="concentrate"), "2026-09-22"),
    ("the first half satisfies it", lambda: poor().add("2026-09-22", "dap", 5), None),
    ("complex nutrient does too", lambda: poor().add("2026-09-22", "complex_nutrient", 5), None),
    (
        "the second at one third of the sugar",
        lambda: poor().add("2026-09-22", "dap", 5).reading("2026-09-24", sg=1.067),
        "2026-09-24",
    ),
    ("not before it", lambda: poor().add("2026-09-22", "dap", 5).reading("2026-09-24", sg=1.069), None),
    (
        "the second half satisfies it",
        lambda: poor().add("2026-09-22", "dap", 5).reading("2026-09-24", sg=1.065).add("2026-09-24", "dap", 5),
        None,
    ),
    ("the first, if left out, stays due from its day", lambda: poor().reading("2026-09-24", sg=1.067), "2026-09-22"),
    ("never after half the sugar is gone", lambda: poor().reading("2026-09-25", sg=1.050), None),
)
def test_yeast_is_fed(story: Tale, window: Window) -> None:
    assert story().due("nutrient") == window


def test_nitrogen_given_in_either_kind_counts_against_what_is_left() -> None:
    # 24 Brix needs 275, 160 are there: 115 mg N/L lack, 2300 mg in 20 L. 5 g of DAP bring 1060 mg of it, 5 g of complex
    # nutrient at 10 % another 500: 740 mg are left at a third of the sugar, 3.5 g of DAP.
    story = poor(yan=160).add("2026-09-22", "dap", 5).add("2026-09-22", "complex_nutrient", 5)
    dose = story.reading("2026-09-24", sg=1.066).dues("nutrient")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(740 / 212.1, abs=0.05)


def test_water_thins_the_nitrogen_that_was_read() -> None:
    # 5 L of water in 20 L leave 128 of 160 mg/L, and 24 Brix become 19.3, which need 140. Sugar thins too: 1 kg in 20 L
    # leaves 155 of 160.
    story = Story(sg=1.101, volume=20.0, capacity=30.0).reading("2026-09-20", yan=160).add("2026-09-20", "water", 5)
    assert nutrient.lack(story.subject()).whole == pytest.approx(140 - 160 * 20 / 25, abs=0.1)
    story = Story(sg=1.101, volume=20.0, capacity=30.0).reading("2026-09-20", yan=160).add("2026-09-20", "sugar", 1000)
    need, _ = nutrient.need(story.subject())
    assert nutrient.lack(story.subject()).whole == pytest.approx(need - 160 * 20 / 20.62, abs=0.1)


def test_half_the_lack_is_weighed_as_diammonium_phosphate() -> None:
    dose = poor(yan=160).dues("nutrient")[0].dose
    assert dose is not None
    # 24 Brix needs 275, 115 mg N/L are lacking: 542 mg/L, half of it in 20 L.
    assert dose.amount == pytest.approx(542 / 2 * 20 / 1000, rel=0.01)
    assert "complex" in dose.note


def test_a_forgotten_first_half_is_given_whole_at_a_third_of_the_sugar() -> None:
    dose = poor(yan=160).reading("2026-09-24", sg=1.066).dues("nutrient")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(542 * 20 / 1000, rel=0.01)


def test_diammonium_phosphate_stays_under_its_legal_most() -> None:
    dose = poor(yan=0, sg=1.115).reading("2026-09-24", sg=1.075).dues("nutrient")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(0.96 * 20), "960 mg/L in 20 L"


def still(style: str = "dry_white", **more: Any) -> Story:
    """A ferment that fell by 0.001 from 25 to 28 September."""
    return fermenting(style, **more).reading("2026-09-25", sg=1.020).reading("2026-09-28", sg=1.019)


def sugar_left() -> Story:
    """Proved finished on 13 October, its sugar test of the 14th found 5 g/L."""
    return dry(sg=0.9955).reading("2026-10-14", residual_sugar=5.0)


# "above 0.996 (arrested, fortified: above the finish mark), 4 d or more after the yeast, under 0.002 fall in 3 d; or
# finished, and a sugar test of 2 g/L or more | at once | decide"
@statements(
    ("at once where it fell by under 0.002 in 3 d", still, "2026-09-28"),
    (
        "not where it fell by 0.002",
        lambda: fermenting().reading("2026-09-25", sg=1.020).reading("2026-09-28", sg=1.018),
        None,
    ),
    (
        "two readings 2 d apart say nothing",
        lambda: fermenting().reading("2026-09-25", sg=1.0200).reading("2026-09-27", sg=1.0195),
        None,
    ),
    ("not within 4 d of the yeast", lambda: fermenting().reading("2026-09-24", sg=1.089), None),
    ("a ferment that never began", lambda: fermenting().reading("2026-09-25", sg=1.089), "2026-09-25"),
    ("not at SG 0.996", lambda: fermenting().reading("2026-10-05", sg=0.996).reading("2026-10-08", sg=0.996), None),
    ("above it", lambda: fermenting().reading("2026-10-05", sg=0.9965).reading("2026-10-08", sg=0.9965), "2026-10-08"),
    (
        "sugar fed in between starts the comparison anew",
        lambda: (
            fermenting().reading("2026-09-25", sg=1.020).add("2026-09-26", "sugar", 400).reading("2026-09-28", sg=1.030)
        ),
        None,
    ),
    ("above the stopping gravity", lambda: still("arrested_sweet").intent("2026-09-20", finish_sg=1.010), "2026-09-28"),
    (
        "not at the stopping gravity",
        lambda: still("fortified", colour="red").intent("2026-09-20", finish_sg=1.019),
        None,
    ),
    (
        "warmed, and still: again once the decision has had its 7 d",
        lambda: still().decide("2026-09-29", "ferment_stuck", "warm"),
        "2026-10-06",
    ),
    (
        "not once it moves",
        lambda: still().decide("2026-09-29", "ferment_stuck", "warm").reading("2026-10-01", sg=1.012),
        None,
    ),
    (
        "fresh yeast is given its 4 d",
        lambda: (
            still()
            .decide("2026-09-29", "ferment_stuck", "restart")
            .add("2026-09-30", "yeast", 9)
            .reading("2026-10-01", sg=1.019)
        ),
        None,
    ),
    ("finish here satisfies it", lambda: still().decide("2026-09-29", "ferment_stuck", "finish_here"), None),
    ("finished, and 2 g/L of sugar or more", sugar_left, "2026-10-14"),
    ("not under 2 g/L", lambda: dry(sg=0.9955).reading("2026-10-14", residual_sugar=1.9), None),
    ("restarted: again 7 d later", lambda: sugar_left().decide("2026-10-15", "ferment_stuck", "restart"), "2026-10-22"),
    ("finish here satisfies that too", lambda: sugar_left().decide("2026-10-15", "ferment_stuck", "finish_here"), None),
    ("a sugar test that finds it dry as well", lambda: sugar_left().reading("2026-10-20", residual_sugar=1.0), None),
    (
        "the sugar of a sweetened wine was put in",
        lambda: (
            Story("sweet_white", "2026-10-13", finished=True, alcohol=12, volume=20.0)
            .add("2026-10-14", "sugar", 600)
            .reading("2026-10-20", residual_sugar=30)
        ),
        None,
    ),
    ("that of a fortified one is meant", lambda: fortified().reading("2026-09-26", residual_sugar=80), None),
)
def test_a_ferment_that_stands_still_is_decided_on(story: Tale, window: Window) -> None:
    assert story().due("ferment_decision") == window


def test_a_finished_wine_left_with_its_sugar_takes_the_arrested_road() -> None:
    story = sugar_left().decide("2026-10-15", "ferment_stuck", "finish_here")
    assert story.subject().alive_by_cold
    # chill first, then the rest; gravity twice a day: 12 h after noon is the next day
    assert story.due("arrest") == ("2026-10-15", "2026-10-15")
    assert story.due("gravity_check") == ("2026-10-16", "2026-10-16")
    assert story.due("rack") is None
    story.chill("2026-10-15", 2.0)
    # "off the yeast: 2 to 5 d after"; "arrest held: SG at 3, 7, 14 d"
    assert story.due("rack") == ("2026-10-17", "2026-10-20")
    assert story.due("gravity_check") == ("2026-10-18", "2026-10-18")
    assert not story.reading("2026-10-25", residual_sugar=1.0).subject().alive_by_cold, "found dry later on"


def test_a_finished_wine_found_dry_stays_dry_whatever_is_decided() -> None:
    story = dry().reading("2026-10-14", residual_sugar=1.0).decide("2026-10-15", "ferment_stuck", "finish_here")
    assert not story.subject().alive_by_cold


def test_work_before_the_decision_is_none_of_the_arrested_road() -> None:
    story = sugar_left().rack("2026-10-17").decide("2026-10-20", "ferment_stuck", "finish_here")
    story.chill("2026-10-20", 2.0)
    assert story.due("rack") == ("2026-10-22", "2026-10-25"), "2 to 5 d after the decision, the first cold racking"
    assert story.rack("2026-10-22").due("rack") == ("2026-10-29", "2026-11-05"), "again after 7 to 14 d"
    story = sugar_left().decide("2026-10-20", "ferment_stuck", "finish_here")
    for early in ("2026-10-21", "2026-10-22", "2026-10-27"):
        story.reading(early, sg=0.9955, temperature=2)
    assert not needs.held(story.subject()), "3, 7 and 14 d after the finish, not after it became cold on 21 October"
    for marked in ("2026-10-30", "2026-11-04"):
        story.reading(marked, sg=0.9955, temperature=2)
    assert needs.held(story.subject())


def sweet(sg: float, on: str = "2026-09-27", **more: Any) -> Story:
    """A white to be arrested at SG 1.020, its gravity read."""
    return fermenting("arrested_sweet", **more).intent("2026-09-21", finish_sg=1.020).reading(on, sg=sg, ph=3.2)


# "arrested_sweet fermenting | from 0.010 above the stopping gravity read twice a day; at 0.003 above it the same hour |
# chill to 2 C or under; SO2 to 1.5 mg/L molecular at share 0.35"
@statements(
    ("at 0.003 above the mark", lambda: sweet(1.023), "2026-09-27"),
    ("not above that", lambda: sweet(1.024), None),
    ("a lower gravity does not put it off", lambda: sweet(1.022).reading("2026-09-28", sg=1.017), "2026-09-27"),
    ("the chill satisfies it", lambda: sweet(1.022).chill("2026-09-27", 2), None),
    ("without a mark it asks for one", lambda: fermenting("arrested_sweet"), "2026-09-21"),
    ("which the intent satisfies", lambda: fermenting("arrested_sweet").intent("2026-09-22", finish_sg=1.02), None),
    ("a dry wine is not arrested", lambda: fermenting().reading("2026-09-27", sg=1.01), None),
    ("a must is not either", lambda: Story("arrested_sweet", sg=1.09), None),
)
def test_it_is_arrested(story: Tale, window: Window) -> None:
    assert story().due("arrest") == window


@statements(
    ("2 d after the last, far above the mark", lambda: sweet(1.031), "2026-09-29"),
    ("twice a day from 0.010 above it: 12 h after noon is the next day", lambda: sweet(1.030), "2026-09-28"),
    ("then the next half day", lambda: sweet(1.030).reading("2026-09-28", sg=1.027), "2026-09-29"),
    ("a dry wine goes on every 2 d", lambda: fermenting().reading("2026-09-27", sg=1.021), "2026-09-29"),
    ("chilled, after 3 d", lambda: sweet(1.022).chill("2026-09-27", 2), "2026-09-30"),
)
def test_it_is_read_twice_a_day_near_the_mark(story: Tale, window: Window) -> None:
    assert story().due("gravity_check") == window


def test_the_arrest_brings_the_sulfite_that_will_be_asked_after_the_chill() -> None:
    story = sweet(1.022)
    before = story.dues("arrest")[0].dose
    after = story.chill("2026-09-27", 2).dues("sulfite")[0].dose
    assert before is not None
    assert before == after
    shares = [fact.value for fact in before.because.facts if fact.name == "house rule share_sweet"]
    assert shares == [0.35]
    wanted = [fact.value for fact in before.because.facts if fact.name == "molecular SO2 aimed at"]
    assert wanted == [1.5]


def test_the_arrest_asks_for_a_ph_that_its_dose_can_rest_on() -> None:
    story = fermenting("arrested_sweet").intent("2026-09-21", finish_sg=1.020).reading("2026-09-27", sg=1.022)
    assert story.due("ph_check") == ("2026-09-27", "2026-09-27")
    assert story.reading("2026-09-27", ph=3.2).due("ph_check") is None


def strong(sg: float = 1.030, mark: float | None = 1.030, **more: Any) -> Story:
    """A red to be fortified, 19 L from SG 1.090, its gravity read on 25 September."""
    story = fermenting("fortified", colour="red", volume=19.0, **more)
    story = story if mark is None else story.intent("2026-09-21", finish_sg=mark)
    return story.reading("2026-09-25", sg=sg)


# "fortified | at the stopping gravity, none: at dryness | spirit to 18.5 % by mixing, stirred; rack 3 to 7 d after; SG
# steady 14 d"
@statements(
    ("at the stopping gravity", strong, "2026-09-25"),
    ("above it announced for the next day", lambda: strong(1.031), "2026-09-26"),
    ("from 0.010 above it", lambda: strong(1.040), "2026-09-26"),
    ("not farther above it", lambda: strong(1.0401), None),
    ("without a mark it is not announced above dryness", lambda: strong(1.000, None), None),
    ("without one at dryness", lambda: strong(0.994, None).reading("2026-09-28", sg=0.994), "2026-09-28"),
    ("and announced for the first day that can prove it", lambda: strong(0.994, None), "2026-09-28"),
    (
        "put off by a gravity that is dry no longer",
        lambda: strong(0.994, None).reading("2026-09-26", sg=1.002),
        None,
    ),
    (
        "read each day, still for the third",
        lambda: strong(0.9945, None).reading("2026-09-26", sg=0.994),
        "2026-09-28",
    ),
    ("the spirit satisfies it", lambda: strong().add("2026-09-25", "spirit", 2.6, 96), None),
    (
        "spirit that leaves it under 18 %: again 2 d later",
        lambda: strong().add("2026-09-26", "spirit", 1, 96),
        "2026-09-28",
    ),
    ("a dry wine is not fortified", lambda: fermenting().reading("2026-09-25", sg=1.0), None),
)
def test_it_is_fortified(story: Tale, window: Window) -> None:
    assert story().due("fortify") == window


def test_spirit_is_worked_out_by_mixing() -> None:
    story = strong()
    alcohol = story.subject().alcohol or 0.0
    dose = story.dues("fortify")[0].dose
    assert alcohol == pytest.approx(7.9, abs=0.3), "a fall of 0.060 x 131.25"
    # 19 L of 8.1 % hold 1.54 L of ethanol; with 2.50 L of 96 % they are 3.94 L in 21.30 L, 0.20 L lost by contraction.
    assert dose is not None
    assert dose.amount == pytest.approx(2.50, abs=0.01)
    assert "21.3 L after contraction" in dose.note
    weaker = MaterialOnHand(name="spirit", strength=70)
    story.record("2026-09-20", weaker)
    dose = story.dues("fortify")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(3.79, abs=0.01)


def test_spirit_is_announced_for_the_strength_at_the_mark() -> None:
    due = strong(1.038, 1.035).dues("fortify")[0]
    # SG 1.090 to 1.035 makes 7.4 %: 2.66 L of 96 % for 19 L.
    assert due.dose is not None
    assert due.dose.amount == pytest.approx(2.66, abs=0.01)
    assert strong(1.038, 1.035).due("gravity_check") == ("2026-09-26", "2026-09-26"), "twice a day"


def test_no_spirit_is_worked_out_of_a_strength_that_is_not_known() -> None:
    story = Story("fortified", colour="red", volume=19.0).add("2026-09-21", "yeast", 5)
    story.intent("2026-09-21", finish_sg=1.030).reading("2026-09-25", sg=1.030)
    due = story.dues("fortify")[0]
    assert due.dose is None
    assert "test its alcohol" in due.task
    dose = story.reading("2026-09-25", alcohol=8.0).dues("fortify")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(2.53, abs=0.01), "2.57 without contraction"


def test_spirit_that_cannot_reach_the_strength_is_refused() -> None:
    story = strong().record("2026-09-20", MaterialOnHand(name="spirit", strength=18))
    due = story.dues("fortify")[0]
    assert due.dose is None
    assert "stronger spirit" in due.task


def test_spirit_that_will_not_fit_is_told_beforehand() -> None:
    due = strong(capacity=20.0).dues("fortify")[0]
    # 19 L would become 21.30: of 19 L only 19 x 20 / 21.30 = 17.84 may stay, and 1.2 L can be measured.
    assert "draw off 1.2 L first" in due.task
    assert due.dose is not None
    assert due.dose.amount == pytest.approx(2.50 * 17.8 / 19, abs=0.01)
    assert "draw off" not in strong(capacity=23.0).dues("fortify")[0].task


def test_wine_that_thins_a_fortified_one_asks_for_spirit_again() -> None:
    """21.3 L of 18.5 % and 8 L of 12 % are 29.3 L of 16.7 %: with the sugar left in it 4.5 x 16.7 is under 80."""
    story = strong(capacity=30.0).add("2026-09-25", "spirit", 2.5, 96)
    for on in ("2026-09-26", "2026-10-10"):
        story.reading(on, sg=1.006)
    assert story.state("yeast") == "shown"
    story.blend_in("2026-10-12", 8.0, alcohol=12.0)
    assert story.state("yeast") == "lapsed"
    assert by_spirit(story.subject()) is None
    assert story.due("fortify") == ("2026-10-12", "2026-10-12")
    dose = story.dues("fortify")[0].dose
    assert dose is not None
    # 29.3 x (18.5 - 16.7) / (96 - 18.5) is 0.67 L before contraction.
    assert dose.amount == pytest.approx(0.66, abs=0.02)
    story.add("2026-10-13", "spirit", 0.67, 96)
    assert story.due("fortify") is None
    assert by_spirit(story.subject()) is not None


def test_a_little_other_wine_in_a_strong_one_asks_for_nothing() -> None:
    story = strong(capacity=30.0).add("2026-09-25", "spirit", 2.7, 96)
    assert story.blend_in("2026-10-12", 1.0, alcohol=12.0).due("fortify") is None


def test_spirit_that_tops_a_fortified_wine_up_is_a_topping_and_no_ferment() -> None:
    story = strong(vessel="steel", capacity=23.0).add("2026-09-25", "spirit", 2.5, 96)
    for on in ("2026-09-26", "2026-10-10"):
        story.reading(on, sg=1.006)
    assert story.due("top_up") is not None
    story.add("2026-10-11", "spirit", 1.8, 96).reading("2026-10-12", sg=0.995)
    assert story.state("yeast") == "shown", "spirit took the gravity down"
    assert story.due("top_up") is None


def test_a_fortified_wine_still_on_its_skins_is_pressed_first() -> None:
    story = strong(skins=True)
    assert story.due("press") == ("2026-09-25", "2026-09-25")
    assert story.dues("fortify")[0].task.startswith("press first")
    assert story.record("2026-09-25", k.Press(volume=17)).dues("fortify")[0].task.startswith("add the spirit")


def test_after_the_spirit_it_is_racked_and_stands_for_14_days() -> None:
    story = strong().add("2026-09-25", "spirit", 2.6, 96)
    assert story.due("rack") == ("2026-09-28", "2026-10-02"), "rack 3 to 7 d after"
    assert story.due("gravity_check") == ("2026-09-25", "2026-09-25")
    assert story.reading("2026-09-25", sg=1.006).due("gravity_check") == ("2026-10-09", "2026-10-09")


@pytest.mark.parametrize(
    ("told", "rule", "kind", "fields"),
    [
        (lambda: fermenting().reading("2026-09-24", temperature=24), "warm", "reading", {"temperature": 18.0}),
        (poor, "nutrient", "addition", {"material": "dap", "amount": 5}),
        (still, "ferment_decision", "decide", {"about": "ferment_stuck", "choice": "warm", "reason": "cold room"}),
        (
            still,
            "ferment_decision",
            "decide",
            {"about": "ferment_stuck", "choice": "finish_here", "reason": "so liked"},
        ),
        (lambda: sweet(1.022), "arrest", "chill", {"start": "yes", "temperature": 1.5, "place": "fridge"}),
        (strong, "fortify", "addition", {"material": "spirit", "amount": 2.7}),
    ],
)
def test_the_answer_takes_it_off_the_list(told: Tale, rule: str, kind: str, fields: dict[str, Any]) -> None:
    story = told()
    before = story.dues(rule)[0]
    after = story.then(kind, fields, before.earliest.isoformat()).dues(rule)
    assert all(one.earliest > before.earliest for one in after)


@pytest.mark.parametrize("told", [still, poor, strong, lambda: sweet(1.022), lambda: sweet(1.028)])
def test_every_house_rule_used_is_named_with_its_entry(told: Tale) -> None:
    story = told()
    used = {
        (rule, fact.name.removeprefix("house rule "))
        for rule in ("nutrient", "ferment_decision", "arrest", "fortify", "gravity_check")
        for due in story.dues(rule)
        for fact in due.because.facts
        if fact.name.startswith("house rule ")
    }
    assert used
    for rule, name in used:
        changed = told()
        value = changed.subject().house.values.get(name) or changed.subject().fact(name).value
        changed.house(**{name: value})
        assert any(changed.last() in due.because.entries for due in changed.dues(rule))


def test_an_arrested_or_stopped_wine_asks_for_nothing_of_the_ferment() -> None:
    for rule in ("warm", "nutrient", "ferment_decision", "arrest", "fortify"):
        assert arrested().due(rule) is None
        assert dry().due(rule) is None
