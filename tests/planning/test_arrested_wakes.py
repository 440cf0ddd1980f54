"""A wine stopped with sugar left: when it counts as arrested, what wakes it, and what a wine left with its sugar asks.

Dates follow practice: arrested from a reading of its own at 4 C or less; then gravity at 3, 7 and 14 days; twice a day
(12 h after noon is the next day) while nothing holds it.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.planning import arrested as state
from cellar_tui.planning import so2, sulfur
from tests.planning.stories import Story, fermenting


def chilling(at: float = 14.0) -> Story:
    """Chilled and sulfited on 28 September close above its mark, when the wine itself stood at 14 C."""
    story = fermenting("arrested_sweet").intent("2026-09-21", finish_sg=1.015).reading("2026-09-28", sg=1.0175, ph=3.2)
    return story.chill("2026-09-28", at, "chiller").sulfite("2026-09-28", 120)


def held() -> Story:
    """Cold by the next day, racked on 2 October."""
    story = chilling().reading("2026-09-29", temperature=1.5, sg=1.0156)
    return story.reading("2026-10-02", temperature=1.5, sg=1.0156).rack("2026-10-02", cold=True)


def warm() -> Story:
    """The chiller failed: 13 C and SG 1.006 on 5 October."""
    return held().reading("2026-10-05", temperature=13.0, sg=1.006).check("2026-10-05", "gas", "fail")


def test_a_chill_at_14_c_is_no_arrest() -> None:
    story = chilling()
    assert story.subject().end is None
    assert story.due("arrest") == ("2026-09-28", "2026-09-28")
    assert story.due("gravity_check") == ("2026-09-29", "2026-09-29"), "twice a day close above its mark"


def test_it_is_arrested_from_its_first_reading_at_4_c_or_less() -> None:
    story = chilling().reading("2026-09-29", temperature=4.1)
    assert story.subject().end is None
    end = story.reading("2026-09-29", temperature=4.0, sg=1.0156).subject().end
    assert end is not None
    assert (end.how, end.on.isoformat()) == ("arrested", "2026-09-29")
    assert story.due("arrest") is None
    assert story.due("gravity_check") == ("2026-10-02", "2026-10-02")


def test_the_sulfite_of_the_chill_is_that_of_the_arrest() -> None:
    assert chilling().due("sulfite") is None
    assert held().due("sulfite") is None
    assert sulfur.sulfited(held().subject()) is True


def test_a_must_chilled_to_settle_it_is_not_arrested() -> None:
    story = (
        Story("arrested_sweet", sg=1.090)
        .chill("2026-09-20", 3.0)
        .warm("2026-09-21", 12.0)
        .add("2026-09-21", "yeast", 6)
    )
    assert story.subject().end is None


def test_a_wine_that_wakes_is_chilled_at_once_and_followed_twice_a_day() -> None:
    story = warm()
    assert story.due("arrest") == ("2026-10-05", "2026-10-05")
    assert story.due("gravity_check") == ("2026-10-06", "2026-10-06")
    assert story.due("rack") is None
    story.reading("2026-10-06", temperature=9.0, sg=1.005)
    assert story.due("arrest") == ("2026-10-05", "2026-10-05"), "until it is read cold again"
    assert story.due("gravity_check") == ("2026-10-07", "2026-10-07")
    story.chill("2026-10-06", 2.0, "chiller")
    assert story.due("arrest") is None
    assert story.due("gravity_check") == ("2026-10-09", "2026-10-09"), "the series begins again: 3 d"
    assert story.due("rack") == ("2026-10-08", "2026-10-11"), "2 to 5 d after it became cold"
    story.reading("2026-10-09", sg=1.005, temperature=1.0)
    assert story.due("gravity_check") == ("2026-10-13", "2026-10-13")
    story.reading("2026-10-13", sg=1.005, temperature=1.0)
    assert story.due("gravity_check") == ("2026-10-20", "2026-10-20")


def test_no_sorbate_until_it_has_stood_still_in_the_cold_again() -> None:
    def ready(story: Story) -> Story:
        story.chill("2026-10-06", 2.0, "chiller").rack("2026-10-08", cold=True)
        story.check("2026-10-22", "clarity").check("2026-10-22", "heat_test").check("2026-10-22", "cold_test")
        return story.reading("2026-10-22", free_so2=45, method="aspiration", temperature=1.0)

    story = ready(warm())
    assert story.due("sorbate") is None
    for on in ("2026-10-23", "2026-10-24", "2026-10-25"):
        story.reading(on, sg=1.005, temperature=1.0)
    assert story.due("sorbate") is not None, "steady over 3, 7 and 14 d after 6 October"


WAKES: tuple[tuple[str, Callable[[Story], Story], bool], ...] = (
    ("4.1 C", lambda s: s.reading("2026-10-05", temperature=4.1), True),
    ("4.0 C does not", lambda s: s.reading("2026-10-05", temperature=4.0), False),
    ("a fall of 0.0011", lambda s: s.reading("2026-10-05", sg=1.0145), True),
    ("not one of 0.0010", lambda s: s.reading("2026-10-05", sg=1.0146), False),
    ("gas", lambda s: s.check("2026-10-05", "gas", "fail"), True),
    ("not its absence", lambda s: s.check("2026-10-05", "gas"), False),
    ("pressure found in a look", lambda s: s.check("2026-10-05", "level", "fail", "pressure"), True),
    ("an end of its cold", lambda s: s.warm("2026-10-05", 2.0), True),
)


@pytest.mark.parametrize(("then", "wakes"), [pytest.param(*one[1:], id=one[0]) for one in WAKES])
def test_it_wakes(then: Callable[[Story], Story], wakes: bool) -> None:
    assert state.awake(then(held()).subject()) is wakes


def test_the_ferment_may_run_on_to_its_mark_while_it_cools() -> None:
    # chilled 0.0025 above its mark, at the mark when it was cold; 0.0035 more is no cooling
    cooled = chilling(2.0).reading("2026-10-01", sg=1.015, temperature=1.0)
    assert not state.awake(cooled.subject())
    assert state.awake(chilling(2.0).reading("2026-10-01", sg=1.014, temperature=1.0).subject())


def test_sorbate_in_a_wine_that_woke_is_cautioned() -> None:
    body = k.Addition(material="potassium_sorbate", amount=4, sorbate_g=4)
    assert "sorbate_ferment" in warm().cautioned("2026-10-06", body)


def test_held_by_sorbate_it_may_leave_the_cold() -> None:
    story = held().rack("2026-10-09", cold=True)
    for on in ("2026-10-06", "2026-10-13"):
        story.reading(on, sg=1.0156, temperature=1.0)
    story.check("2026-10-23", "clarity").reading("2026-10-23", free_so2=42, method="aspiration", alcohol=11.0)
    story.add("2026-10-24", "potassium_sorbate", 3.6).warm("2026-10-25", 2.0).reading("2026-10-26", temperature=19)
    assert not state.awake(story.subject())
    assert story.due("arrest") is None
    assert story.due("refermentation_watch") == ("2026-11-01", "2026-11-01")


@pytest.mark.parametrize("awake", [True, False], ids=["awake", "asleep"])
def test_sorbate_holds_only_yeast_that_was_not_awake_when_it_went_in(awake: bool) -> None:
    story = held().rack("2026-10-09", cold=True)
    for on in ("2026-10-06", "2026-10-13"):
        story.reading(on, sg=1.0156, temperature=1.0)
    story.check("2026-10-23", "clarity").reading("2026-10-23", free_so2=42, method="aspiration", alcohol=11.0)
    # 13 C on the morning before the sorbate; the chiller is mended on the day after it
    story.reading("2026-10-24", temperature=13.0 if awake else 1.0)
    story.add("2026-10-24", "potassium_sorbate", 3.6).chill("2026-10-25", 2.0, "chiller")
    assert (state.effective(story.subject()) is None) is awake
    sugar = k.Addition(material="sugar", amount=500, sugar_g=500, litres=0.31)
    assert ("sugar_before_sorbate" in story.cautioned("2026-10-26", sugar)) is awake
    story.warm("2026-10-26", 2.0)
    assert state.awake(story.subject()) is awake, "the end of the cold wakes what nothing else holds"
    assert story.due("refermentation_watch") == (None if awake else ("2026-11-02", "2026-11-02"))


# -- finish here


def left_with_sugar(sugar: float = 12.0) -> Story:
    """Stuck at SG 1.001 with 12 g/L on 3 October and left there."""
    story = fermenting().reading("2026-09-30", sg=1.002).reading("2026-10-03", sg=1.001, residual_sugar=sugar, ph=3.2)
    return story.decide("2026-10-03", "ferment_stuck", "finish_here")


def test_left_with_its_sugar_a_wine_is_chilled_first() -> None:
    story = left_with_sugar()
    assert story.due("arrest") == ("2026-10-03", "2026-10-03")
    assert story.due("gravity_check") == ("2026-10-04", "2026-10-04")
    assert [story.due(rule) for rule in ("sulfite", "rack", "sorbate")] == [None, None, None]
    assert story.chill("2026-10-03", 2.0, "chiller").due("arrest") is None
    assert story.due("sulfite") == ("2026-10-03", "2026-10-04")


def test_left_with_its_sugar_it_comes_to_sorbate_and_out_of_the_cold() -> None:
    story = (
        left_with_sugar().chill("2026-10-03", 2.0, "chiller").sulfite("2026-10-03", 125).rack("2026-10-05", cold=True)
    )
    for on in ("2026-10-06", "2026-10-10", "2026-10-17"):
        story.reading(on, sg=1.001, temperature=1.0)
    story.rack("2026-10-12", cold=True)  # again after 7 to 14 d
    assert story.due("cold_test") is not None, "its chill is its cold hold"
    story.check("2026-10-18", "cold_test").check("2026-10-26", "heat_test").check("2026-10-26", "clarity")
    story.reading("2026-10-26", free_so2=42, method="aspiration", temperature=1.0)
    assert story.due("sorbate") == ("2026-10-26", "2026-10-26")  # clear 14 d after the last racking
    assert story.state("crystals") == "shown"
    # 12.4 % at pH 3.2: 125 mg/L by the table at 12 %
    story.add("2026-10-26", "potassium_sorbate", 3.2)
    assert story.due("cold_hold_end") == ("2026-10-26", "2026-10-26")
    assert story.warm("2026-10-27", 1.0).due("refermentation_watch") == ("2026-11-03", "2026-11-03")


# -- sugar that no yeast can eat


def plum(second: float | None = 6.0, on: str = "2026-10-18", sg: float = 1.004, style: str = "sweet_fruit") -> Story:
    """A plum wine that stands at SG 1.004 with 6.2 g/L and is left there on 5 October; tested again 14 days later."""
    story = fermenting(style, sg=1.080).reading("2026-10-01", sg=1.004)
    story.reading("2026-10-04", sg=1.004, residual_sugar=6.2, ph=3.3).decide(
        "2026-10-05", "ferment_stuck", "finish_here"
    )
    return story if second is None else story.reading(on, residual_sugar=second, sg=sg)


def test_a_fruit_wine_left_with_little_sugar_is_tested_again_after_14_days() -> None:
    story = plum(None)
    assert story.due("sugar_test") == ("2026-10-18", "2026-10-18")
    assert story.due("arrest") == ("2026-10-05", "2026-10-05"), "until then it is alive"


def test_sugar_that_yeast_leaves_takes_the_road_of_sorbate() -> None:
    story = plum()
    assert not story.subject().alive_by_cold
    assert [story.due(rule) for rule in ("arrest", "sugar_test", "ferment_decision")] == [None, None, None]
    assert so2.target(story.subject()).molecular == 0.8, "not the 1.5 of live yeast"
    assert story.due("sulfite") is not None


ALIVE = (
    ("0.6 g/L less", {"second": 5.6}),
    ("8 g/L are more than fruit keeps", {"second": 8.0}),
    ("13 d apart", {"on": "2026-10-17"}),
    ("its gravity moved", {"sg": 1.0025}),
    ("a dry wine is not made sweet", {"style": "dry_fruit"}),
    ("grapes keep none", {"style": "sweet_white"}),
)


@pytest.mark.parametrize("other", [pytest.param(one, id=name) for name, one in ALIVE])
def test_else_it_stays_alive(other: dict[str, object]) -> None:
    assert plum(**other).subject().alive_by_cold  # type: ignore[arg-type]
