"""What a careful cellar hand mentions of must and ferment before an entry is made."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.planning.consider import CellarState, consider
from tests.planning.stories import Story, clear, dry, fermenting

Tale = Callable[[], Story]


def said(story: Story) -> list[str]:
    """Return what the guards say of the last entry told; here they only caution."""
    *before, last = [replace(entry, root=entry.seq) for entry in story.entries]
    findings = consider(CellarState(before), [last]).weighed[0].findings
    assert not any(one.stops for one in findings)
    return [one.guard for one in findings]


def must(style: str = "dry_white", volume: float = 18.0, sg: float = 1.090) -> Story:
    return Story(style, sg=sg, volume=volume)


CAUTIONED: dict[str, tuple[Tale, str]] = {
    "a must over 80 % of its vessel": (lambda: must(volume=18.5), "full_ferment"),
    "yeast into so full a vessel": (lambda: must(volume=19).add("2026-09-21", "yeast", 5), "full_ferment"),
    "juice that fills a ferment up": (
        lambda: must().add("2026-09-21", "yeast", 5).add("2026-09-22", "juice", 2),
        "full_ferment",
    ),
    "a must of over 16 % potential alcohol": (lambda: must(sg=1.120), "strong_must"),
    "sugar that brings it there": (lambda: must(sg=1.105).add("2026-09-20", "sugar", 900), "strong_must"),
    "a gravity that shows it": (lambda: Story(volume=18.0).reading("2026-09-20", sg=1.120), "strong_must"),
    "enzyme onto bentonite": (
        lambda: clear("dry_fruit").add("2026-11-02", "bentonite", 9).add("2026-11-03", "pectic_enzyme", 4),
        "enzyme_bentonite",
    ),
    "bentonite onto enzyme": (
        lambda: must("dry_fruit").add("2026-09-20", "pectic_enzyme", 2).add("2026-09-20", "bentonite", 9),
        "enzyme_bentonite",
    ),
    "enzyme 6 h after SO2": (
        lambda: must("dry_fruit").sulfite("2026-09-20", 40).add("2026-09-20", "pectic_enzyme", 2),
        "soon_after_sulfite",
    ),
    "yeast the day of the SO2": (
        lambda: must().sulfite("2026-09-20", 40).add("2026-09-20", "yeast", 5),
        "soon_after_sulfite",
    ),
    "nutrient past half the sugar": (
        lambda: fermenting().reading("2026-09-25", sg=1.045).add("2026-09-25", "dap", 5),
        "late_nutrient",
    ),
    "heating a stuck wine": (lambda: fermenting().decide("2026-09-29", "ferment_stuck", "warm"), "heating"),
    "heating a wine for its bacteria": (
        lambda: dry("dry_red", sg=0.994).decide("2026-12-13", "malolactic_overdue", "warm_and_feed"),
        "heating",
    ),
}

SILENT: dict[str, tuple[Tale, str]] = {
    "a must at 80 %": (lambda: must(volume=18.4), "full_ferment"),
    "a finished wine fills its vessel": (lambda: Story(started="2026-10-13", finished=True), "full_ferment"),
    "a calm ferment is pressed into a full vessel": (
        lambda: (
            Story("dry_red", sg=1.09, skins=True)
            .add("2026-09-21", "yeast", 5)
            .reading("2026-09-28", sg=1.005)
            .record("2026-09-28", k.Press(volume=22))
        ),
        "full_ferment",
    ),
    "what was too full before is not told again": (
        lambda: must(volume=19).reading("2026-09-21", sg=1.09),
        "full_ferment",
    ),
    "a must under 16 %": (must, "strong_must"),
    "a strong must is not told again": (lambda: must(sg=1.12).reading("2026-09-20", sg=1.12), "strong_must"),
    "enzyme once racked off": (
        lambda: (
            clear("dry_fruit")
            .add("2026-11-02", "bentonite", 9)
            .rack("2026-11-09")
            .add("2026-11-09", "pectic_enzyme", 4)
        ),
        "enzyme_bentonite",
    ),
    "yeast a day later": (lambda: must().sulfite("2026-09-20", 40).add("2026-09-21", "yeast", 5), "soon_after_sulfite"),
    "yeast without SO2": (lambda: must().add("2026-09-20", "yeast", 5), "soon_after_sulfite"),
    "nutrient in the first half": (
        lambda: fermenting().reading("2026-09-25", sg=1.050).add("2026-09-25", "dap", 5),
        "late_nutrient",
    ),
    "a restart without heat": (lambda: fermenting().decide("2026-09-29", "ferment_stuck", "restart"), "heating"),
}


@pytest.mark.parametrize("name", CAUTIONED)
def test_cautioned(name: str) -> None:
    story, guard = CAUTIONED[name]
    assert guard in said(story())


@pytest.mark.parametrize("name", SILENT)
def test_not_cautioned(name: str) -> None:
    story, guard = SILENT[name]
    assert guard not in said(story())
