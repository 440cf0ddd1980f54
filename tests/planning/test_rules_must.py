"""Must: its enzyme, its yeast, the cap, the press. Dates by hand from the rows quoted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from cellar_tui.ledger import kinds as k
from tests.planning.stories import Story, clear, dry, fermenting, kept
from tests.planning.tables import statements

Window = tuple[str, str] | None
Tale = Callable[[], Story]


def must(style: str = "dry_white", **more: Any) -> Story:
    """A must of SG 1.090 from 20 September in a vessel with room to foam."""
    return Story(style, **({"sg": 1.090, "volume": 18.0} | more))


def at(story: Story, minute: int) -> Story:
    """Give the last entry its hour."""
    story.entries[-1] = replace(story.entries[-1], minute=minute)
    return story


def fruit(**more: Any) -> Story:
    return must("dry_fruit", **more)


def cloudy() -> Story:
    """A dry fruit wine, 1.8 g of enzyme at crush, found clear; its pectin test failed on 2 November."""
    story = must("dry_fruit").add("2026-09-20", "pectic_enzyme", 1.8).add("2026-09-21", "yeast", 6)
    story.reading("2026-10-10", sg=0.992).reading("2026-10-13", sg=0.992).check("2026-11-01", "clarity")
    return story.check("2026-11-02", "pectin_test", "fail")


# "must | the enzyme: fruit | pectic enzyme at crush, 12 h after any SO2"
# "pectic enzyme, late | pectin test failed | now: 2 to 4 times the dose, 15 to 25 C; never with bentonite"
@statements(
    ("at crush", fruit, "2026-09-20"),
    (
        "12 h after SO2 of no stated hour: midnight is the next day",
        lambda: fruit().sulfite("2026-09-20", 40),
        "2026-09-21",
    ),
    (
        "12 h after SO2 of the morning: the same day",
        lambda: at(fruit().sulfite("2026-09-20", 40), 8 * 60),
        "2026-09-20",
    ),
    (
        "of two sulfites the later counts",
        lambda: fruit().sulfite("2026-09-20", 20).sulfite("2026-09-21", 20),
        "2026-09-22",
    ),
    ("a red made of fruit is fruit", lambda: must("dry_red", source="fruit"), "2026-09-20"),
    ("not for grapes", must, None),
    ("the enzyme satisfies it", lambda: fruit().add("2026-09-20", "pectic_enzyme", 2), None),
    ("not once it ferments", lambda: fruit().add("2026-09-20", "yeast", 6), None),
    ("late: at once where the pectin test failed", cloudy, "2026-11-02"),
    ("not where it passed", lambda: cloudy().check("2026-11-03", "pectin_test"), None),
    ("the late enzyme satisfies it", lambda: cloudy().add("2026-11-04", "pectic_enzyme", 3.6), None),
    (
        "failed again: at once again",
        lambda: cloudy().add("2026-11-04", "pectic_enzyme", 3.6).check("2026-11-20", "pectin_test", "fail"),
        "2026-11-20",
    ),
    ("it waits while the wine lies on bentonite", lambda: cloudy().add("2026-11-02", "bentonite", 9), None),
    ("until it is racked off", lambda: cloudy().add("2026-11-02", "bentonite", 9).rack("2026-11-09"), "2026-11-09"),
    ("not once haze is waived", lambda: cloudy().waive("2026-11-05", "haze"), None),
)
def test_pectic_enzyme_is_added(story: Tale, window: Window) -> None:
    assert story().due("pectic_enzyme") == window


def test_late_enzyme_is_two_to_four_times_that_of_the_crush() -> None:
    crush, late = fruit().dues("pectic_enzyme")[0].dose, cloudy().dues("pectic_enzyme")[0].dose
    assert crush is not None
    assert crush.amount == pytest.approx(10 * 18 / 100), "10 g/hL in 18 L"
    assert late is not None
    assert late.amount == pytest.approx(2 * 1.8), "twice the 1.8 g of the crush"
    assert "up to 7.2 g" in late.note


# "must | yeast 24 h after SO2 (none: the same day)"
@statements(
    ("the same day without SO2", must, "2026-09-20"),
    ("24 h after SO2", lambda: must().sulfite("2026-09-20", 40), "2026-09-21"),
    ("24 h later whatever the hour", lambda: at(must().sulfite("2026-09-20", 40), 18 * 60), "2026-09-21"),
    ("the yeast satisfies it", fermenting, None),
    ("a must that ferments by itself asks for none", lambda: must().reading("2026-09-24", sg=1.084), None),
    ("not a finished wine", dry, None),
    ("a restart asks for it at once", lambda: still().decide("2026-09-29", "ferment_stuck", "restart"), "2026-09-29"),
    (
        "fresh yeast satisfies it",
        lambda: still().decide("2026-09-29", "ferment_stuck", "restart").add("2026-09-30", "yeast", 9),
        None,
    ),
    (
        "so does the decision to finish here",
        lambda: (
            still()
            .decide("2026-09-29", "ferment_stuck", "restart")
            .decide("2026-09-30", "ferment_stuck", "finish_here")
        ),
        None,
    ),
)
def test_yeast_is_added(story: Tale, window: Window) -> None:
    assert story().due("yeast") == window


def still() -> Story:
    return fermenting().reading("2026-09-25", sg=1.020).reading("2026-09-28", sg=1.019)


def test_yeast_is_weighed_for_the_volume() -> None:
    dose = must().dues("yeast")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(25 * 18 / 100), "25 g/hL in 18 L"
    assert must().house(yeast_dose=30).dues("yeast")[0].dose.amount == pytest.approx(5.4)  # type: ignore[union-attr]


def on_skins(style: str = "dry_red", **more: Any) -> Story:
    """A must on its skins from 20 September, yeast the day after."""
    return must(style, skins=True, **more).add("2026-09-21", "yeast", 5)


# "cap | on skins or pulp, until pressed | one action a day | check cap"
@statements(
    ("a day after it lay on its skins", lambda: must("dry_red", skins=True), "2026-09-21"),
    ("on pulp too", lambda: must("dry_fruit", skins=True), "2026-09-21"),
    ("then every day", lambda: on_skins().check("2026-09-22", "cap"), "2026-09-23"),
    ("a skip counts like a look", lambda: on_skins().skip("2026-09-21", "cap"), "2026-09-22"),
    ("not once pressed", lambda: on_skins().record("2026-09-28", k.Press(volume=16)), None),
    ("not off the skins", fermenting, None),
)
def test_the_cap_is_pushed_under(story: Tale, window: Window) -> None:
    assert story().due("cap") == window


# "press | on skins or pulp | red at SG 1.010 to 0.998 or 10 d; fruit at 5 to 7 d or SG 1.030"
@statements(
    ("a red after 10 d", on_skins, "2026-09-30"),
    ("or at SG 1.010", lambda: on_skins().reading("2026-09-27", sg=1.010), "2026-09-27"),
    ("not above it", lambda: on_skins().reading("2026-09-27", sg=1.0105), "2026-09-30"),
    (
        "a lower gravity does not put it off",
        lambda: on_skins().reading("2026-09-27", sg=1.009).reading("2026-09-29", sg=0.999),
        "2026-09-27",
    ),
    ("nor a gravity read past the 10 d", lambda: on_skins().reading("2026-10-02", sg=1.008), "2026-09-30"),
    ("fruit after 5 to 7 d", lambda: on_skins("dry_fruit"), ("2026-09-25", "2026-09-27")),
    ("or at SG 1.030", lambda: on_skins("dry_fruit").reading("2026-09-24", sg=1.030), "2026-09-24"),
    ("rose leaves its skins within a day", lambda: must("rose", skins=True), "2026-09-21"),
    (
        "a fortified red at its stopping gravity",
        lambda: (
            on_skins("fortified", colour="red").intent("2026-09-20", finish_sg=1.035).reading("2026-09-25", sg=1.034)
        ),
        "2026-09-25",
    ),
    ("pressing satisfies it", lambda: on_skins().record("2026-09-28", k.Press(volume=16)), None),
    ("a must off its skins is not pressed", fermenting, None),
    ("nor a wine that came finished", lambda: Story(started="2026-10-13", finished=True), None),
)
def test_it_is_pressed(story: Tale, window: Window) -> None:
    assert story().due("press") == window


def test_a_changed_house_rule_stands_in_the_why_of_the_press() -> None:
    story = on_skins().house(press_red_days=8)
    assert story.due("press") == ("2026-09-28", "2026-09-28")
    assert story.last() in story.dues("press")[0].because.entries


# "pH check | must"; "a must with high pH, no YAN or no TA is asked for it"
@statements(
    ("a must is asked for pH and TA", must, "2026-09-20"),
    ("for the one that is missing", lambda: must().reading("2026-09-20", ph=3.3), "2026-09-20"),
    ("both satisfy it", lambda: must().reading("2026-09-20", ph=3.3, ta=6.5), None),
    ("TA only, where there is no meter", lambda: must().house(ph_meter="no").reading("2026-09-20", ta=6), None),
    ("not once its yeast is in", lambda: must().add("2026-09-21", "yeast", 5), None),
)
def test_a_must_is_asked_for_its_acid(story: Tale, window: Window) -> None:
    assert story().due("ph_check") == window


def test_what_is_missing_of_its_acid_is_named() -> None:
    tasks = [told.dues("ph_check")[0].task for told in (must(), must().reading("2026-09-20", ph=3.3))]
    assert tasks == ["test pH and TA of the must", "test TA of the must"]


# "a must with high pH": free SO2 needed over 40 mg/L, that is pH over 3.5 at 0.8 mg/L molecular and 3.7 at 0.5
@statements(
    ("white must over 3.5", lambda: must().reading("2026-09-21", ph=3.51, ta=5), "2026-09-21"),
    ("not at 3.49", lambda: must().reading("2026-09-21", ph=3.49, ta=5), None),
    ("red must over 3.7", lambda: must("dry_red").reading("2026-09-21", ph=3.72, ta=5), "2026-09-21"),
    ("not at 3.69", lambda: must("dry_red").reading("2026-09-21", ph=3.69, ta=5), None),
    ("acid answers it", lambda: must().reading("2026-09-21", ph=3.6).add("2026-09-21", "tartaric_acid", 18), None),
    ("and a trial", lambda: must().reading("2026-09-21", ph=3.6).trial("2026-09-21", "tartaric_acid", 1.0), None),
    ("not once its yeast is in", lambda: must().reading("2026-09-20", ph=3.6).add("2026-09-21", "yeast", 5), None),
)
def test_acid_is_tried_in_a_must_of_high_ph(story: Tale, window: Window) -> None:
    assert story().due("fining_trial") == window


@pytest.mark.parametrize(
    ("told", "rule", "kind", "fields"),
    [
        (fruit, "pectic_enzyme", "addition", {"material": "pectic_enzyme", "amount": 1.8}),
        (cloudy, "pectic_enzyme", "addition", {"material": "pectic_enzyme", "amount": 3.6}),
        (must, "yeast", "addition", {"material": "yeast", "amount": 5}),
        (on_skins, "cap", "check", {"test": "cap", "result": "pass"}),
        (on_skins, "press", "press", {"volume": 16}),
    ],
)
def test_the_answer_takes_it_off_the_list(told: Tale, rule: str, kind: str, fields: dict[str, Any]) -> None:
    story = told()
    before = story.dues(rule)[0]
    after = story.then(kind, fields, before.earliest.isoformat()).dues(rule)
    assert all(one.earliest > before.earliest for one in after)


def test_clear_wines_and_kept_wines_ask_for_nothing_of_the_must() -> None:
    for rule in ("pectic_enzyme", "yeast", "cap", "press"):
        assert kept().due(rule) is None
        assert clear("dry_fruit").due(rule) is None
