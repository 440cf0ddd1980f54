"""Sorbate, sugar and the watch after it: always in that order."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.planning.rules.table import RULE_BY_ID
from tests.planning.stories import (
    Story,
    arrested,
    came_finished,
    clear,
    fermenting,
    kept,
    ready_to_sweeten,
    sweetened,
)
from tests.planning.tables import statements

Window = tuple[str, str] | None
Tale = Callable[[], Story]


def cold_arrested() -> Story:
    """An arrested wine racked twice in the cold, clear, haze and cold tests passed, free SO2 on its own high target."""
    story = arrested().sulfite("2026-09-29", 120).rack("2026-09-30").rack("2026-10-07")
    story.check("2026-10-21", "clarity").check("2026-10-21", "heat_test").check("2026-10-21", "cold_test")
    return story.reading("2026-10-22", free_so2=42, temperature=1)


def tasted(chosen: float | None, unit: str | None = "g/L") -> Story:
    """A clear wine of unknown sweetness, tried with syrup in four glasses on 4 November."""
    trial = k.Trial(material="sugar", doses=(0, 20, 30, 40), chosen=chosen, unit=unit)
    return ready_to_sweeten(sweetness=None).record("2026-11-04", trial)


@statements(
    ("when clear, stable and on target", ready_to_sweeten, "2026-11-03"),
    (
        "the latest need decides: a sweetness said later",
        lambda: ready_to_sweeten(sweetness=None).intent("2026-11-04", sweetness=30),
        "2026-11-04",
    ),
    ("a sweetness chosen in the glass says it too", lambda: tasted(30.0), "2026-11-04"),
    ("not into a dry wine", lambda: ready_to_sweeten("dry_white"), None),
    (
        "not where the yeast is left to a sterile filter",
        lambda: ready_to_sweeten().intent("2026-11-03", sterile_filtration=True),
        None,
    ),
    ("not at 18 % by spirit", lambda: ready_to_sweeten().reading("2026-11-03", alcohol=18.2), None),
    (
        "not before it is clear",
        lambda: (
            came_finished()
            .check("2026-11-01", "heat_test")
            .check("2026-11-02", "cold_test")
            .reading("2026-11-03", free_so2=38)
        ),
        None,
    ),
    (
        "not until 14 d after the last racking",
        lambda: ready_to_sweeten().rack("2026-11-04").check("2026-11-10", "clarity").reading("2026-11-10", free_so2=36),
        None,
    ),
    (
        "14 d after it",
        lambda: ready_to_sweeten().rack("2026-11-04").check("2026-11-18", "clarity").reading("2026-11-18", free_so2=36),
        "2026-11-18",
    ),
    (
        "not before the crystals are shown",
        lambda: (
            came_finished()
            .check("2026-11-01", "clarity")
            .check("2026-11-01", "heat_test")
            .reading("2026-11-03", free_so2=38)
        ),
        None,
    ),
    ("not with free SO2 under target", lambda: ready_to_sweeten(free=22), None),
    (
        "not with bacteria at work",
        lambda: ready_to_sweeten().reading("2026-11-03", malic=2.0).reading("2026-11-04", malic=1.6),
        None,
    ),
    ("not while the cold holds", lambda: ready_to_sweeten().chill("2026-11-03", -2), None),
    (
        "not before the crystals are racked off",
        lambda: ready_to_sweeten().chill("2026-11-03", -2).warm("2026-11-09").reading("2026-11-09", free_so2=36),
        None,
    ),
    ("not twice", lambda: ready_to_sweeten().add("2026-11-03", "potassium_sorbate", 2.8), None),
    ("too little is made up", lambda: ready_to_sweeten().add("2026-11-03", "potassium_sorbate", 1.5), "2026-11-03"),
    ("an arrested wine in the cold, after two rackings", cold_arrested, "2026-10-22"),
)
def test_sorbate_goes_in(story: Tale, window: Window) -> None:
    assert story().due("sorbate") == window


def test_the_dose_is_that_of_the_wine_as_it_will_be() -> None:
    # 20 L at 12 %: 611.4 g of sugar give 20.38 L at 11.78 %. Table at pH 3.3: 180 at 11 %, 120 at 12 %: 133.4 mg/L.
    dose = ready_to_sweeten().dues("sorbate")[0].dose
    assert dose is not None
    assert (dose.material, dose.unit) == ("potassium_sorbate", "g")
    assert dose.amount == pytest.approx(133.4 * 20.38 / 1000, rel=0.002)


def test_sorbate_rests_on_a_reading_of_7_days() -> None:
    assert str(ready_to_sweeten().dues("sorbate")[0].expires) == "2026-11-10"


def test_without_a_sweetness_there_is_no_dose_but_a_question() -> None:
    due = ready_to_sweeten(sweetness=None).dues("sorbate")[0]
    assert due.dose is None
    assert "intent sweetness" in due.because.reason


def test_the_sweetness_chosen_in_the_glass_is_what_is_wanted() -> None:
    said, glass = ready_to_sweeten(sweetness=None).intent("2026-11-04", sweetness=30), tasted(30.0)
    assert glass.subject().intents.sweetness == 30
    # Sorbate for the wine as it will be: the same by the glass as by word.
    assert glass.dues("sorbate")[0].dose.amount == said.dues("sorbate")[0].dose.amount  # type: ignore[union-attr]
    fact = next(one for one in glass.dues("sorbate")[0].dose.because.facts if one.name == "target sweetness")  # type: ignore[union-attr]
    assert fact.entries == (glass.last(),)


def test_a_trial_that_chose_nothing_or_counts_otherwise_leaves_the_sweetness_open() -> None:
    assert tasted(None).subject().intents.sweetness is None
    assert tasted(30.0, unit=None).subject().intents.sweetness is None


def test_a_sweetness_said_after_the_trial_is_the_one_wanted() -> None:
    assert tasted(30.0).intent("2026-11-05", sweetness=25).subject().intents.sweetness == 25


def test_what_would_not_fit_is_drawn_off_first() -> None:
    # 22.9 L and 30 g/L would make 23.33 L in a vessel of 23 L: 22.57 L may stay, 0.33 L must go: 0.35 L by a jug.
    due = ready_to_sweeten(volume=22.9).add("2026-11-03", "potassium_sorbate", 3.1).dues("sweeten")[0]
    assert due.dose is not None
    assert "draw off 0.35 L" in due.task
    assert due.dose.amount == pytest.approx(22.98 * 30, rel=0.001)


def test_nobody_draws_off_less_than_can_be_measured() -> None:
    # 22.58 L and 30 g/L make 23.008 L, which is within any reading of a vessel of 23 L; 22.59 make 23.018.
    fits = ready_to_sweeten(volume=22.58).add("2026-11-03", "potassium_sorbate", 3.1).dues("sweeten")[0]
    assert fits.task == "sweeten"
    over = ready_to_sweeten(volume=22.60).add("2026-11-03", "potassium_sorbate", 3.1).dues("sweeten")[0]
    assert over.task == "draw off 0.05 L, then sweeten"


@statements(
    ("not before the sorbate", ready_to_sweeten, None),
    (
        "1 to 7 d after it",
        lambda: ready_to_sweeten().add("2026-11-03", "potassium_sorbate", 2.8),
        ("2026-11-04", "2026-11-10"),
    ),
    ("not after too little of it", lambda: ready_to_sweeten().add("2026-11-03", "potassium_sorbate", 1.5), None),
    (
        "not after sorbate into a cloudy wine",
        lambda: (
            came_finished()
            .intent("2026-10-13", sweetness=30)
            .reading("2026-10-20", free_so2=38)
            .add("2026-10-21", "potassium_sorbate", 2.8)
        ),
        None,
    ),
    ("done", sweetened, None),
    ("not into a dry wine", lambda: kept().add("2026-11-03", "potassium_sorbate", 2.8), None),
    (
        "left to a sterile filter: from the day it is clear and stable",
        lambda: ready_to_sweeten().intent("2026-10-14", sterile_filtration=True),
        ("2026-11-02", "2026-11-16"),
    ),
)
def test_sugar_goes_in(story: Tale, window: Window) -> None:
    assert story().due("sweeten") == window


def test_the_sugar_reaches_the_sweetness_wished() -> None:
    dose = ready_to_sweeten().add("2026-11-03", "potassium_sorbate", 2.8).dues("sweeten")[0].dose
    assert dose is not None
    assert (dose.material, dose.unit) == ("sugar", "g")
    assert dose.amount == pytest.approx(611.4, abs=0.1)


def test_a_last_gram_of_sugar_is_not_asked_for_after_a_little_more_sorbate() -> None:
    told = ready_to_sweeten().add("2026-11-03", "potassium_sorbate", 2.8).add("2026-11-05", "sugar", 605)
    told.reading("2026-11-18", free_so2=38).add("2026-11-20", "potassium_sorbate", 0.1)
    assert told.due("sweeten") is None


def watched(warmth: float = 20.0) -> Story:
    """The sweetened wine read 7, 14 and 28 d after its sugar of 5 November."""
    story = sweetened().reading("2026-11-05", temperature=warmth)
    for on in ("2026-11-12", "2026-11-19", "2026-12-03"):
        story.reading(on, sg=1.003, temperature=warmth)
    return story


@statements(
    ("nothing to watch in a dry wine", clear, None),
    ("7 d after the sugar", sweetened, "2026-11-12"),
    ("14 d after it", lambda: sweetened().reading("2026-11-12", sg=1.003), "2026-11-19"),
    (
        "28 d after it",
        lambda: sweetened().reading("2026-11-12", sg=1.003).reading("2026-11-19", sg=1.003),
        "2026-12-03",
    ),
    ("a reading too early does not count", lambda: sweetened().reading("2026-11-10", sg=1.003), "2026-11-12"),
    ("passed, no more", watched, None),
    (
        "too cold: a warm sample, from the day that 21 warm days are out of reach",
        lambda: sweetened().reading("2026-11-12", sg=1.002, temperature=14),
        ("2026-11-13", "2026-11-27"),
    ),
    ("a gravity read in its days puts it off by 2 d", lambda: watched(warmth=14), "2026-12-05"),
    ("not while 7 cold days leave 21", lambda: sweetened().reading("2026-11-05", temperature=19), "2026-11-12"),
    (
        "at once, where a reading finds it warm too late",
        lambda: sweetened().reading("2026-11-12", sg=1.002, temperature=14).reading("2026-11-16", temperature=19),
        ("2026-11-16", "2026-11-30"),
    ),
    (
        "later by each day seen warm",
        lambda: (
            sweetened()
            .reading("2026-11-05", temperature=19)
            .reading("2026-11-12", sg=1.002, temperature=19)
            .reading("2026-11-13", temperature=14)
        ),
        "2026-11-19",
    ),
    ("a warm sample ends it", lambda: watched(warmth=14).check("2026-12-05", "warm_bottle"), None),
    ("more sugar begins it anew", lambda: watched().add("2026-12-10", "sugar", 60), "2026-12-17"),
    (
        "an arrested wine from the end of its cold",
        lambda: cold_arrested().add("2026-10-22", "potassium_sorbate", 4).warm("2026-10-23"),
        "2026-10-30",
    ),
    (
        "not where a sterile filter takes the yeast",
        lambda: sweetened().intent("2026-11-06", sterile_filtration=True),
        None,
    ),
)
def test_refermentation_is_watched_for(story: Tale, window: Window) -> None:
    assert story().due("refermentation_watch") == window


def test_topping_with_the_same_sweet_wine_is_no_sweetening() -> None:
    story = sweetened()
    other = story.tell_vessel("glass", 5.0)
    story.record("2026-11-06", k.Split(to=other, volume=5)).record("2026-11-07", k.Topping(source=other, volume=1))
    assert story.due("refermentation_watch") == ("2026-11-12", "2026-11-12")


def test_spirit_is_enough_when_a_reading_says_so() -> None:
    story = fermenting("fortified", colour="red", volume=19.0).reading("2026-09-25", sg=1.030)
    story.add("2026-09-25", "spirit", 2.3, 96)
    assert story.due("sulfite") is None, "17.8 % by mixing"
    assert story.reading("2026-09-26", alcohol=18.3).due("sulfite") == ("2026-09-26", "2026-09-29")


@pytest.mark.parametrize("rule", ["sorbate", "sweeten"])
def test_a_sweetness_that_nobody_named_is_asked_before_the_grams(rule: str) -> None:
    first, *rest = RULE_BY_ID[rule].answers
    assert (first.kind, first.fields) == ("intent", ("sweetness",))
    assert [one.kind for one in rest] == ["addition"]


def test_the_sample_that_made_gas_says_in_its_own_task_that_bottles_would_burst() -> None:
    (due, *_) = watched(warmth=14).check("2026-12-05", "warm_bottle", "fail", "pressure").dues("refermentation_watch")
    assert due.urgent
    assert due.task.startswith("its yeast is alive and bottles of it would burst: bottle none")
