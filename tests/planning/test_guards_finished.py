"""Cautions on the finished wine: recorded with the entry and never in the way."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.ledger.materials import active
from tests.planning.stories import Story, clear, dry, kept, red

Tale = Callable[[], Story]
Row = tuple[str, Tale, k.Body, str, bool]


def sulfite(grams: float) -> k.Addition:
    return _added("potassium_metabisulfite", grams)


def _added(material: str, amount: float) -> k.Addition:
    brought = active(material, amount, None)
    return k.Addition(
        material=material, amount=amount, so2_mg=brought.so2_mg, sorbate_g=brought.sorbate_g, litres=brought.litres
    )


def running() -> Story:
    return dry("dry_red", sg=0.994).add("2026-10-13", "malolactic_culture", 2)


def sorbate() -> k.Addition:
    return _added("potassium_sorbate", 4)


def poured(fault: str | None) -> tuple[Story, int]:
    """The kept wine, and beside it a demijohn that was smelt on 1 November."""
    story = kept()
    other = story.tell_vessel("glass", 5.0)
    start = WineStart(name="Dale", style="dry_white", volume=4.0, finished=True)
    story.record("2026-10-01", start, other)
    result = "pass" if fault is None else "fail"
    return story.record("2026-11-01", k.Check(test="smell", result=result, fault=fault), other), other


ON = "2026-11-20"


def must(style: str = "dry_red") -> Story:
    return Story(style, "2026-11-19", sg=1.09)


CASES: tuple[Row, ...] = (
    ("SO2 into a running malolactic fermentation", running, sulfite(2), "sulfite_before_malolactic", True),
    ("SO2 after it is done", red, sulfite(2), "sulfite_before_malolactic", False),
    ("50 mg/L at crush are harmless", must, sulfite(1.9), "sulfite_before_malolactic", False),
    ("more are not where it is wanted", must, sulfite(2.2), "sulfite_before_malolactic", True),
    ("and no matter where it is not", lambda: must("dry_white"), sulfite(2.2), "sulfite_before_malolactic", False),
    ("sorbate into a cloudy wine", kept, sorbate(), "sorbate_cloudy", True),
    ("sorbate into an unracked one", lambda: dry().check("2026-11-01", "clarity"), sorbate(), "sorbate_cloudy", True),
    ("sorbate into a clear racked one", clear, sorbate(), "sorbate_cloudy", False),
    ("titration reads high in reds", red, k.Reading(free_so2=30, method="titration"), "reads_high", True),
    ("not in whites", kept, k.Reading(free_so2=30, method="titration"), "reads_high", False),
    (
        "but with ascorbic acid in it",
        lambda: kept().add("2026-11-01", "ascorbic_acid", 1),
        k.Reading(free_so2=30, method="titration"),
        "reads_high",
        True,
    ),
    (
        "aspiration is not fooled by it",
        lambda: kept().add("2026-11-01", "ascorbic_acid", 1),
        k.Reading(free_so2=30, method="aspiration"),
        "reads_high",
        False,
    ),
    ("one strip is a trend", kept, k.Reading(free_so2=30, method="strip"), "one_strip", True),
    (
        "the second of a day makes the mean",
        lambda: kept().reading(ON, free_so2=30, method="strip"),
        k.Reading(free_so2=30, method="strip"),
        "one_strip",
        False,
    ),
    (
        "one of another day does not",
        lambda: kept().reading("2026-11-01", free_so2=30, method="strip"),
        k.Reading(free_so2=30, method="strip"),
        "one_strip",
        True,
    ),
    ("far from what was expected", kept, k.Reading(free_so2=60), "far_from_forecast", True),
    ("near it", kept, k.Reading(free_so2=34), "far_from_forecast", False),
    (
        "a bag open for more than a year",
        lambda: kept().on_hand("potassium_metabisulfite", "2025-11-01"),
        sulfite(1),
        "old_bag",
        True,
    ),
    ("a fresh one", lambda: kept().on_hand("potassium_metabisulfite", "2026-11-01"), sulfite(1), "old_bag", False),
    (
        "dimethyl dicarbonate takes a licence",
        kept,
        k.Addition(material="dimethyl dicarbonate", amount=4),
        "dicarbonate",
        True,
    ),
    ("potassium bicarbonate is another thing", kept, _added("potassium_bicarbonate", 4), "dicarbonate", False),
    ("a sterile filter is equipped work", kept, k.Filter(pore=0.45, sterile=True), "sterile_filtration", True),
    ("a coarse one is not", kept, k.Filter(pore=5.0), "sterile_filtration", False),
    ("nor when it is bottled", kept, k.Bottle(count=20, size=750, filter="sterile"), "sterile_filtration", True),
    ("nor when it is planned", kept, k.Intent(sterile_filtration=True), "sterile_filtration", True),
    ("a plan without one", kept, k.Intent(sweetness=20), "sterile_filtration", False),
)


@pytest.mark.parametrize(("story", "body", "name", "said"), [pytest.param(*case[1:], id=case[0]) for case in CASES])
def test_work_on_the_wine_is_cautioned(story: Tale, body: k.Body, name: str, said: bool) -> None:
    assert (name in story().cautioned(ON, body)) == said


@pytest.mark.parametrize(("fault", "said"), [("mouse", True), ("vinegar", True), ("rotten_egg", False), (None, False)])
def test_a_fault_is_not_carried_into_another_wine(fault: str | None, said: bool) -> None:
    story, other = poured(fault)
    for body in (k.Topping(source=other, volume=0.02), k.Blend(source=other, volume=0.02)):
        assert ("fault_carried" in story.cautioned(ON, body)) == said


def test_nor_is_good_wine_poured_into_a_spoilt_one() -> None:
    story = kept().check("2026-11-01", "smell", "fail", "mouse")
    assert "fault_carried" in story.cautioned(ON, k.Topping(outside=True, wine="Hill", volume=0.02))


@pytest.mark.parametrize(("story", "body", "name"), [pytest.param(*case[1:4], id=case[0]) for case in CASES if case[4]])
def test_a_caution_is_never_in_the_way(story: Tale, body: k.Body, name: str) -> None:
    found = [one for one in story().findings(ON, body) if one.guard == name]
    assert found
    assert not [one for one in found if one.stops]
