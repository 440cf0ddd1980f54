"""Slips of the pen and second hands: what is far from expected is asked to be read again, and what was done is said."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.planning.consider import CellarState, consider
from cellar_tui.planning.guards.base import Finding
from tests.planning.stories import Story, dry, fermenting, kept, red

Tale = Callable[[], Story]

# The kept white: pH 3.20 on 13 October.
FAR: dict[str, tuple[Tale, str, k.Reading, str]] = {
    "a pH of 3.70 typed as 3.07": (
        lambda: red().reading("2026-11-02", ph=3.7),
        "2026-11-10",
        k.Reading(ph=3.07),
        "ph_far",
    ),
    "a pH 0.25 off": (kept, "2026-11-10", k.Reading(ph=3.45), "ph_far"),
    "the first pH of a wine, 4.70": (dry, "2026-10-14", k.Reading(ph=4.7), "ph_far"),
    "a pH of 2.6": (dry, "2026-10-14", k.Reading(ph=2.6), "ph_far"),
    "a must that falls by 0.63": (
        lambda: Story(sg=1.09).reading("2026-09-20", ph=3.7),
        "2026-09-21",
        k.Reading(ph=3.07),
        "ph_far",
    ),
    "SG 1.010 typed as 1.090": (
        lambda: fermenting().reading("2026-09-28", sg=1.010),
        "2026-09-29",
        k.Reading(sg=1.090),
        "gravity_rises",
    ),
    "SG up by 0.003": (
        lambda: fermenting().reading("2026-09-28", sg=1.010),
        "2026-09-29",
        k.Reading(sg=1.013),
        "gravity_rises",
    ),
    "the same by Brix": (
        lambda: fermenting().reading("2026-09-28", sg=1.010),
        "2026-09-29",
        k.Reading(brix=21.5, method="hydrometer"),
        "gravity_rises",
    ),
    "malic acid up by 0.3": (
        lambda: kept().reading("2026-10-22", malic=1.2),
        "2026-11-10",
        k.Reading(malic=1.5),
        "malic_rises",
    ),
    "18 C typed as 38": (
        lambda: fermenting().reading("2026-09-28", temperature=18),
        "2026-09-29",
        k.Reading(temperature=38.0),
        "temperature_far",
    ),
    "TA of 6 typed as 8": (lambda: kept().reading("2026-10-22", ta=6), "2026-11-10", k.Reading(ta=8.0), "acid_far"),
}

NEAR: dict[str, tuple[Tale, str, k.Reading, str]] = {
    "a pH 0.24 off": (kept, "2026-11-10", k.Reading(ph=3.44), "ph_far"),
    "a pH of 4.2": (dry, "2026-10-14", k.Reading(ph=4.2), "ph_far"),
    "a pH after acid": (
        lambda: kept().add("2026-10-22", "tartaric_acid", 60),
        "2026-11-10",
        k.Reading(ph=2.9),
        "ph_far",
    ),
    "a pH after a blend": (
        lambda: kept().blend_in("2026-10-22", 0.05),
        "2026-11-10",
        k.Reading(ph=3.5),
        "ph_far",
    ),
    "a pH that bacteria raised by 0.3": (
        lambda: dry("dry_red", sg=0.994).reading("2026-10-14", ph=3.3).reading("2026-11-20", malic=0.1),
        "2026-11-20",
        k.Reading(ph=3.6),
        "ph_far",
    ),
    "SG up by 0.002": (
        lambda: fermenting().reading("2026-09-28", sg=1.010),
        "2026-09-29",
        k.Reading(sg=1.012),
        "gravity_rises",
    ),
    "SG up by sugar fed": (
        lambda: fermenting().reading("2026-09-28", sg=1.010).add("2026-09-28", "sugar", 1000),
        "2026-09-29",
        k.Reading(sg=1.025),
        "gravity_rises",
    ),
    "malic acid down": (
        lambda: kept().reading("2026-10-22", malic=1.2),
        "2026-11-10",
        k.Reading(malic=0.2),
        "malic_rises",
    ),
    "malic acid added": (
        lambda: kept().reading("2026-10-22", malic=1.2).add("2026-10-23", "malic_acid", 20),
        "2026-11-10",
        k.Reading(malic=2.0),
        "malic_rises",
    ),
    "11 C within a day": (
        lambda: fermenting().reading("2026-09-28", temperature=18),
        "2026-09-29",
        k.Reading(temperature=29.0),
        "temperature_far",
    ),
    "12 C over a season": (
        lambda: kept().reading("2026-10-22", temperature=18),
        "2027-01-10",
        k.Reading(temperature=5.0),
        "temperature_far",
    ),
    "chilled since": (
        lambda: kept().reading("2026-10-22", temperature=18).chill("2026-10-22", 15),
        "2026-10-23",
        k.Reading(temperature=1.0),
        "temperature_far",
    ),
    "TA of 6 read as 7.9": (lambda: kept().reading("2026-10-22", ta=6), "2026-11-10", k.Reading(ta=7.9), "acid_far"),
}


def said(story: Story, on: str, body: k.Body) -> dict[str, Finding]:
    """Return what is said of an entry, by guard."""
    return {one.guard: one for one in story.findings(on, body)}


@pytest.mark.parametrize("name", FAR)
def test_a_reading_far_from_what_is_expected_is_asked_to_be_repeated(name: str) -> None:
    story, on, body, guard = FAR[name]
    found = said(story(), on, body)[guard]
    assert "repeat the reading" in found.why
    assert not found.stops, "it is recorded all the same"


@pytest.mark.parametrize("name", NEAR)
def test_a_reading_that_can_be_is_taken_without_a_word(name: str) -> None:
    story, on, body, guard = NEAR[name]
    assert guard not in said(story(), on, body)


def test_what_was_expected_is_said_with_its_day() -> None:
    why = said(kept(), "2026-11-10", k.Reading(ph=3.45))["ph_far"].why
    assert "about 3.2 was expected, from the test of 13 Oct 2026" in why


def by_another(story: Story, on: str, minute: int | None, *, by: str = "Bo", grams: float = 2.0) -> Story:
    """Let another person add metabisulfite at an hour of a day."""
    story.add(on, "potassium_metabisulfite", grams)
    story.entries[-1] = replace(story.entries[-1], by=by, minute=minute)
    return story


def adds(story: Story, on: str, minute: int | None, stuff: str = "potassium_metabisulfite") -> dict[str, Finding]:
    """Return what is said of Ada's own addition at an hour of a day."""
    entry = replace(
        story._entry(on, k.Addition(material=stuff, amount=2.0, so2_mg=1152.0), story.vessel), minute=minute
    )
    found = consider(CellarState(story.entries), [entry]).weighed
    return {one.guard: one for weighed in found for one in weighed.findings}


def test_the_same_addition_by_another_person_within_12_h_is_said_with_who_and_when() -> None:
    found = adds(by_another(kept(), "2026-11-10", 9 * 60), "2026-11-10", 21 * 60)["second_hand"]
    assert "Bo added 2 g potassium metabisulfite on 10 Nov 2026 09:00" in found.why
    assert not found.stops


def test_without_hours_a_day_is_one_moment() -> None:
    assert "second_hand" in adds(by_another(kept(), "2026-11-10", None), "2026-11-10", None)
    assert "second_hand" not in adds(by_another(kept(), "2026-11-10", None), "2026-11-11", None)


def test_what_another_person_did_earlier_or_else_is_no_second_hand() -> None:
    assert "second_hand" not in adds(by_another(kept(), "2026-11-10", 9 * 60), "2026-11-10", 21 * 60 + 1)
    assert "second_hand" not in adds(by_another(kept(), "2026-11-10", 540), "2026-11-10", 600, "tartaric_acid")
    assert "second_hand" not in adds(by_another(kept(), "2026-11-10", 540, by="Ada"), "2026-11-10", 600)


def refilled() -> tuple[Story, int]:
    """A white in one vessel, and another vessel that another wine fills on 10 November."""
    story = kept()
    other = story.tell_vessel("glass", 25.0)
    start = WineStart(name="Dale", style="dry_white", volume=24.0, finished=True)
    return story.record("2026-11-10", start, other), other


@pytest.mark.parametrize(
    "move",
    [
        lambda other: k.Racking(to=other),
        lambda other: k.Split(to=other, volume=10.0),
    ],
    ids=["a racking", "a split"],
)
def test_a_back_dated_move_into_a_vessel_that_another_wine_fills_later_stops(move: Callable[[int], k.Body]) -> None:
    story, other = refilled()
    found = said(story, "2026-11-05", move(other))["filled_later"]
    assert found.waivable is True
    assert "another wine fills" in found.why
    assert story.cellar().holds[other].wine == "Dale", "the later wine is still the later wine"


def test_a_wine_started_back_dated_in_a_vessel_filled_later_stops() -> None:
    story, other = refilled()
    start = story._entry("2026-11-05", WineStart(name="Moor", style="dry_white", volume=5.0), other)
    found = consider(CellarState(story.entries), [start]).weighed[0].findings
    assert "filled_later" in {one.guard for one in found}


def test_a_move_into_a_vessel_that_was_emptied_again_before_is_no_matter() -> None:
    story, other = refilled()
    third = story.tell_vessel("glass", 25.0)
    story.record("2026-11-05", k.Racking(to=other))
    moved_on = story._entry("2026-11-06", k.Racking(to=third), other)
    found = consider(CellarState(story.entries), [moved_on]).weighed[0].findings
    assert "filled_later" not in {one.guard for one in found}
    assert "filled_later" not in said(kept(), "2026-11-05", k.Racking(to=kept().tell_vessel("glass", 25.0)))


def test_a_total_under_the_running_sum_is_told_and_is_no_problem() -> None:
    story = kept()  # 15 and 80 mg/L by the ledger
    assert "total_lower" in said(story, "2026-11-10", k.Reading(total_so2=60.0))
    assert "total_lower" not in said(story, "2026-11-10", k.Reading(total_so2=75.0))
    assert [one.code for one in story.reading("2026-11-10", total_so2=60).cellar().problems] == []
    assert [one.code for one in kept().reading("2026-11-10", total_so2=130).cellar().problems] == ["differs"]
