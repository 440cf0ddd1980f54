"""Malolactic fermentation that is hindered, overdue, or at work where nobody wants it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from cellar_tui.ledger import kinds as k
from tests.planning.stories import Story, dry, kept
from tests.planning.tables import statements

Window = tuple[str, str] | None
Tale = Callable[[], Story]


def inoculated(**more: float) -> Story:
    """A dry red, proved finished and pitched with bacteria on 13 October."""
    return dry("dry_red", sg=0.994, **more).add("2026-10-13", "malolactic_culture", 2)


def crushed(raised: float) -> Story:
    """The same red with sulfite at its crush."""
    story = Story("dry_red", sg=1.090).sulfite("2026-09-20", raised).add("2026-09-21", "yeast", 6)
    story.reading("2026-10-10", sg=0.994).reading("2026-10-13", sg=0.994)
    return story.add("2026-10-13", "malolactic_culture", 2)


def cold() -> Story:
    return inoculated().reading("2026-10-20", temperature=17.9)


# "running | at once when under 18 C, free SO2 over 10, total over 40, pH under 3.1 or alcohol over 14"
@statements(
    ("not before it runs", lambda: dry("dry_red", sg=0.994).reading("2026-10-20", temperature=15), None),
    ("nothing hinders it", inoculated, None),
    ("under 18 C: at once", cold, "2026-10-20"),
    ("at 18 C not", lambda: inoculated().reading("2026-10-20", temperature=18), None),
    ("free SO2 over 10", lambda: inoculated().reading("2026-10-20", free_so2=11), "2026-10-20"),
    ("total SO2 over 40", lambda: inoculated().reading("2026-10-20", total_so2=41), "2026-10-20"),
    ("pH under 3.1", lambda: inoculated().reading("2026-10-20", ph=3.05), "2026-10-20"),
    ("over 14 % vol", lambda: inoculated().reading("2026-10-20", alcohol=14.2), "2026-10-20"),
    ("50 mg/L at crush are harmless", lambda: crushed(50), None),
    ("80 are not: 15 of the yeast and 30 too many", lambda: crushed(80), "2026-10-13"),
    (
        "a note of what was done is quiet for 14 d",
        lambda: cold().record("2026-10-21", k.Note(text="heat mat on")),
        "2026-11-04",
    ),
    (
        "so is the decision to warm and feed it",
        lambda: cold().decide("2026-10-21", "malolactic_overdue", "warm_and_feed"),
        "2026-11-04",
    ),
    (
        "a decision about something else leaves it",
        lambda: cold().decide("2026-10-21", "ferment_stuck", "warm"),
        "2026-10-20",
    ),
    (
        "a reading that finds it cold still comes back a week later",
        lambda: cold().reading("2026-10-25", temperature=16),
        "2026-11-01",
    ),
    (
        "a further hindrance asks at once",
        lambda: cold().record("2026-10-21", k.Note(text="heat mat on")).reading("2026-10-24", free_so2=12),
        "2026-10-24",
    ),
    ("warm again", lambda: cold().reading("2026-10-22", temperature=20), None),
    ("done, whatever the cold", lambda: cold().reading("2026-10-30", malic=0.1), None),
    ("prevented, cold is no matter", lambda: kept().reading("2026-10-22", temperature=12), None),
    (
        "the house may want more warmth",
        lambda: inoculated().house(malolactic_warm=20).reading("2026-10-20", temperature=19),
        "2026-10-20",
    ),
)
def test_what_hinders_bacteria_is_shown(story: Tale, window: Window) -> None:
    assert story().due("malolactic_conditions") == window


def test_all_hindrances_are_shown_together() -> None:
    because = cold().reading("2026-10-20", ph=3.0, free_so2=12).dues("malolactic_conditions")[0].because
    assert [fact.name for fact in because.facts][::2] == ["temperature", "free SO2", "pH"]
    assert [fact.name for fact in because.facts][1] == "house rule malolactic_warm"


# "encouraged, not done | 60 d after dryness; or malic down by less than 0.2 g/L over 21 d; or never measured 45 d"
@statements(
    ("never measured: 45 d after dryness", inoculated, "2026-11-27"),
    ("not started at all is overdue alike", lambda: dry("dry_red", sg=0.994), "2026-11-27"),
    ("measured: 60 d", lambda: inoculated().reading("2026-10-27", malic=1.5), "2026-12-12"),
    ("a chromatogram is a measure", lambda: inoculated().check("2026-10-27", "chromatogram", "faint"), "2026-12-12"),
    (
        "down by 0.1 over 21 d: now",
        lambda: inoculated().reading("2026-10-27", malic=1.5).reading("2026-11-17", malic=1.4),
        "2026-11-17",
    ),
    (
        "down by 0.2: not",
        lambda: inoculated().reading("2026-10-27", malic=1.5).reading("2026-11-17", malic=1.3),
        "2026-12-12",
    ),
    (
        "over 20 d: not",
        lambda: inoculated().reading("2026-10-27", malic=1.5).reading("2026-11-16", malic=1.4),
        "2026-12-12",
    ),
    ("more than 10 mg/L SO2 into it: now", lambda: inoculated().sulfite("2026-11-01", 15), "2026-11-01"),
    ("less does not harm it", lambda: inoculated().sulfite("2026-11-01", 9), "2026-11-27"),
    (
        "a decision starts the days anew",
        lambda: (
            inoculated().reading("2026-10-27", malic=1.5).decide("2026-12-12", "malolactic_overdue", "warm_and_feed")
        ),
        "2027-01-26",
    ),
    (
        "a stall is counted anew too",
        lambda: (
            inoculated()
            .reading("2026-10-27", malic=1.5)
            .reading("2026-11-17", malic=1.4)
            .decide("2026-11-17", "malolactic_overdue", "warm_and_feed")
            .reading("2026-12-08", malic=1.4)
        ),
        "2026-12-08",
    ),
    (
        "a new culture after sulfite runs again",
        lambda: inoculated().sulfite("2026-11-01", 15).decide("2026-11-02", "malolactic_overdue", "new_culture"),
        "2026-12-17",
    ),
    ("given up, no more", lambda: inoculated().decide("2026-12-12", "malolactic_overdue", "give_up"), None),
    ("done", lambda: inoculated().reading("2026-10-27", malic=0.1), None),
    ("prevented", kept, None),
    (
        "let finish: from that decision",
        lambda: kept().decide("2026-11-01", "malolactic_unwanted", "let_finish"),
        "2026-12-16",
    ),
)
def test_a_malolactic_fermentation_that_lingers_wants_a_decision(story: Tale, window: Window) -> None:
    assert story().due("malolactic_overdue") == window


def falling() -> Story:
    """The kept white, malic acid down from 2.0 to 1.7 g/L on 20 November."""
    return kept().reading("2026-10-21", malic=2.0).reading("2026-11-20", malic=1.7)


# "prevented, and malic down by 0.3 g/L, a lactic spot, or gas with steady SG | at once"
@statements(
    ("nothing seen", kept, None),
    ("malic down by 0.3 g/L", falling, "2026-11-20"),
    ("not by less", lambda: kept().reading("2026-10-21", malic=2.0).reading("2026-11-20", malic=1.71), None),
    ("a lactic spot", lambda: kept().check("2026-11-20", "chromatogram", "fail", "lactic_spot"), "2026-11-20"),
    (
        "gas while the gravity stands",
        lambda: kept().reading("2026-11-19", sg=0.992).check("2026-11-20", "gas", "fail"),
        "2026-11-20",
    ),
    (
        "gas while it moves is the yeast's",
        lambda: kept().reading("2026-11-19", sg=0.990).check("2026-11-20", "gas", "fail"),
        None,
    ),
    (
        "wanted, a fall is well",
        lambda: inoculated().reading("2026-10-20", malic=2.0).reading("2026-11-20", malic=1.0),
        None,
    ),
    (
        "through already, nothing is left to stop",
        lambda: kept().reading("2026-10-21", malic=2.0).reading("2026-11-20", malic=0.1),
        None,
    ),
    ("decided to stop it", lambda: falling().decide("2026-11-21", "malolactic_unwanted", "stop"), None),
    (
        "falling on in spite of that",
        lambda: (
            falling()
            .decide("2026-11-21", "malolactic_unwanted", "stop")
            .reading("2026-12-05", malic=1.7)
            .reading("2026-12-19", malic=1.4)
        ),
        "2026-12-19",
    ),
    ("let finish", lambda: falling().decide("2026-11-21", "malolactic_unwanted", "let_finish"), None),
    (
        "given up with malic left, it is prevented",
        lambda: (
            inoculated()
            .reading("2026-10-27", malic=1.5)
            .decide("2026-12-12", "malolactic_overdue", "give_up")
            .reading("2026-12-20", malic=1.4)
            .reading("2027-01-20", malic=1.0)
        ),
        "2027-01-20",
    ),
)
def test_unwanted_bacteria_want_a_decision(story: Tale, window: Window) -> None:
    assert story().due("malolactic_unwanted") == window


@pytest.mark.parametrize(("choice", "follows"), [("stop", "2026-12-05"), ("let_finish", "2026-12-05")])
def test_malic_acid_is_followed_14_d_after_either_decision(choice: str, follows: str) -> None:
    assert falling().decide("2026-11-21", "malolactic_unwanted", choice).due("malolactic_check") == (follows, follows)


def test_a_running_malolactic_fermentation_is_not_racked_for_clearness() -> None:
    story = inoculated().rack("2026-10-18")
    assert story.due("rack") is None
    # 5 weeks after the first racking were up on 22 November; it waited for the bacteria.
    assert story.reading("2026-12-01", malic=0.1).due("rack") == ("2026-12-01", "2026-12-01")


def test_one_done_before_the_five_weeks_are_up_does_not_hurry_the_racking() -> None:
    assert inoculated().rack("2026-10-18").reading("2026-11-01", malic=0.1).due("rack") == ("2026-11-22", "2026-11-22")
