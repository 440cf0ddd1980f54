"""Blends take the cautious side of every fact."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from cellar_tui.ledger import ferment, pour
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.house import House
from cellar_tui.ledger.malolactic import malolactic
from tests.ledger.lines import Lines

HOUSE = House()


def blended(first: dict[str, Any], second: dict[str, Any]) -> Contents:
    """Blend two wines that came finished unless told otherwise, both ways, and hold that it is the same wine."""
    found = []
    for one, other in ((first, second), (second, first)):
        lines = Lines(50, 50)
        lines.finished(1, 20, **one)
        lines.finished(2, 10, **other)
        lines.write("2026-11-01", k.Blend(source=2, volume=10.0), 1)
        found.append(lines.held())
    assert found[0].given == found[1].given
    return found[0]


MUST = {"finished": None, "alcohol": None, "total_so2": None}


def test_a_blend_with_an_unfinished_wine_is_unfinished() -> None:
    held = blended({}, MUST)
    assert ferment.finish(held, HOUSE) is None
    assert ferment.fermenting(held)


def test_two_finished_wines_are_finished_on_the_later_day() -> None:
    lines = Lines(50, 50)
    lines.finished(1)
    lines.finished(2, at="2026-10-05")
    lines.write("2026-11-01", k.Blend(source=2, volume=10.0), 1)
    held = lines.held()
    assert held.given.finished == held.started == date(2026, 10, 5)


@pytest.mark.parametrize(
    ("first", "second", "state", "live"),
    [
        ("done", "done", "done", False),
        ("done", "running", "running", True),
        ("running", "none", "running", True),
        ("none", "none", "none", False),
        ("done", "none", "none", True),  # the bacteria of the one meet the malic acid of the other
    ],
)
def test_malolactic_fermentation_is_done_only_where_it_is_done_in_all(
    first: str, second: str, state: str, live: bool
) -> None:
    found = malolactic(blended({"malolactic": first}, {"malolactic": second}), HOUSE)
    assert (found.state, found.live) == (state, live)


@pytest.mark.parametrize(
    ("first", "second", "sulfited"),
    [
        (60.0, 60.0, True),
        (60.0, 10.0, False),  # no more than yeast makes by itself
        (60.0, None, None),
        (10.0, None, False),
    ],
)
def test_the_first_sulfite_is_in_only_where_it_is_in_all(
    first: float, second: float | None, sulfited: bool | None
) -> None:
    assert pour.sulfited(blended({"total_so2": first}, {"total_so2": second}), HOUSE) is sulfited


def test_any_sorbate_is_in_the_blend_and_none_of_it_counts_as_effective() -> None:
    held = blended({"sorbate": 200.0}, {})
    assert held.now.sorbate > 0
    assert not held.given.sorbate_fit


def test_an_unknown_strength_makes_the_blend_unknown() -> None:
    assert blended({}, {"alcohol": None}).now.alcohol is None
    assert blended({}, {"alcohol": 15.0}).given.strength_known


def test_live_yeast_held_by_cold_stays_live() -> None:
    end = ferment.finish(blended({"style": "arrested_sweet"}, {}), HOUSE)
    assert end is not None
    assert end.how == "arrested"


def test_a_blend_is_fortified_by_what_the_mix_holds() -> None:
    strong = {"style": "fortified", "colour": "red", "alcohol": 19.0}
    ends = [ferment.finish(blended(strong, other), HOUSE) for other in (strong, {})]
    # 20 L of 19 % and as much of 12 % are 15.5 %.
    assert [end and end.how for end in ends] == ["fortified", "stated"]
    assert not blended({}, {}).given.fortified


@pytest.mark.parametrize("other", ["grape", "juice", "concentrate"])
def test_a_fruit_wine_with_grape_in_it_can_drop_crystals(other: str) -> None:
    assert blended({"style": "dry_fruit", "source": "fruit"}, {"source": other}).source == other


def test_no_reading_is_handed_on() -> None:
    lines = Lines(50, 50)
    lines.finished(1)
    lines.finished(2)
    lines.read("2026-10-01", ph=3.2, free_so2=30)
    lines.write("2026-11-01", k.Blend(source=2, volume=10.0), 1)
    assert [event.body.kind for event in lines.held().log] == ["blend"]


def test_a_style_named_with_the_blend_is_that_of_the_result() -> None:
    lines = Lines(50, 50)
    lines.finished(1)
    lines.finished(2)
    lines.write("2026-11-01", k.Blend(source=2, volume=10.0, style="sweet_white"), 1)
    assert lines.held().base.style == "sweet_white"


def test_sugar_of_a_sweet_wine_poured_into_a_ferment_feeds_it() -> None:
    lines = Lines(50, 50)
    lines.wine(1, sg=1.090)
    lines.finished(2)
    lines.add("2026-10-01", "sugar", 500, vessel=2)
    lines.write("2026-11-01", k.Blend(source=2, volume=30.0), 1)
    assert lines.held().now.fed == pytest.approx(500, rel=0.001)
