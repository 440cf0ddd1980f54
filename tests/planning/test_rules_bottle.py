"""The final SO2 and the bottling."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.planning.stories import Story, all_but_air, kept
from tests.planning.tables import statements

Window = tuple[str, str] | None
Tale = Callable[[], Story]


def dosed() -> Story:
    """A week before the wished bottling of 20 January: read, sulfited for the filling the same day."""
    story = all_but_air().check("2027-01-12", "level").reading("2027-01-13", free_so2=24, ph=3.2)
    return story.sulfite("2027-01-13", 10)


def closed() -> Story:
    return dosed().reading("2027-01-15", free_so2=29)


@statements(
    ("not before the other kinds are settled", kept, None),
    ("4 to 7 d before the wished bottling", all_but_air, ("2027-01-13", "2027-01-16")),
    ("at once where that day has gone", lambda: all_but_air(on="2027-02-01"), "2027-02-01"),
    (
        "read: sulfite in the same window",
        lambda: all_but_air().reading("2027-01-14", free_so2=21),
        ("2027-01-14", "2027-01-16"),
    ),
    ("sulfited: a reading 2 to 3 d later", dosed, ("2027-01-15", "2027-01-16")),
    ("one the next day is too early", lambda: dosed().reading("2027-01-14", free_so2=30), ("2027-01-15", "2027-01-16")),
    (
        "under target after all: sulfite again",
        lambda: dosed().reading("2027-01-15", free_so2=19),
        ("2027-01-15", "2027-01-16"),
    ),
    ("closed: again only when that reading is over 5 d old", closed, "2027-01-21"),
    (
        "so little short that no dose is worth it: closed by the reading",
        lambda: all_but_air().reading("2027-01-13", free_so2=24),
        "2027-01-19",
    ),
    (
        "enough in it already: closed by the reading",
        lambda: all_but_air().reading("2027-01-13", free_so2=30),
        "2027-01-19",
    ),
    (
        "yeast and bacteria may be left to the sterile filter",
        lambda: kept().intent("2026-11-01", sterile_filtration=True).waive("2026-11-01", "crystals", "haze"),
        ("2027-01-13", "2027-01-16"),
    ),
)
def test_the_final_so2_is_set(story: Tale, window: Window) -> None:
    assert story().due("final_so2") == window


def test_the_final_dose_aims_5_mg_l_above_the_target() -> None:
    # pH 3.2: target 20.4, aim 25.4; 21 is there, two thirds of a later dose stay free: 6.6 mg/L total in 22.95 L are
    # 0.26 g, under ten steps of the balance: 2.6 mL of a solution of 10 g in 100 mL.
    dose = all_but_air().reading("2027-01-13", free_so2=21).dues("final_so2")[0].dose
    assert dose is not None
    assert (dose.material, dose.unit) == ("so2_solution", "mL")
    assert dose.amount == pytest.approx(22.95 * (25.44 - 21) / 0.67 / 57.6, rel=0.01)


def test_the_final_dose_rests_on_a_reading_of_those_days() -> None:
    assert all_but_air().dues("final_so2")[0].dose is None


def test_without_gas_the_house_may_aim_higher() -> None:
    story = all_but_air().house(final_extra=10, balance_step=0.01).reading("2027-01-13", free_so2=24)
    found = story.dues("final_so2")[0].dose
    assert found is not None
    assert found.unit == "g"
    assert found.amount == pytest.approx(22.95 * (30.44 - 24) / 0.67 / 1000 / 0.576, rel=0.01)


@statements(
    ("not before the final SO2 is closed", dosed, None),
    ("from the wished bottling, for 14 d", closed, ("2027-01-20", "2027-02-03")),
    (
        "from the day the last condition is met, where that is later",
        lambda: all_but_air(on="2027-02-01").check("2027-02-01", "level").reading("2027-02-02", free_so2=30),
        ("2027-02-02", "2027-02-16"),
    ),
    (
        "not under its minimum age: 4 months",
        lambda: (
            all_but_air()
            .intent("2026-11-01", bottling="2026-12-01")
            .check("2026-11-24", "level")
            .reading("2026-11-24", free_so2=30)
        ),
        ("2027-01-20", "2027-02-03"),
    ),
    (
        "months count from the harvest, where it is stated",
        lambda: all_but_air(harvested="2026-09-01").check("2026-12-25", "level").reading("2026-12-25", free_so2=30),
        ("2027-01-01", "2027-01-15"),
    ),
    (
        "not with air not shown: no check level and airlock",
        lambda: all_but_air().reading("2027-01-13", free_so2=30),
        None,
    ),
    (
        "not over the limit where it is sold",
        lambda: closed().house(jurisdiction="eu").reading("2027-01-15", total_so2=210),
        None,
    ),
    (
        "at home the limit only cautions",
        lambda: closed().reading("2027-01-15", total_so2=210),
        ("2027-01-20", "2027-02-03"),
    ),
    (
        "what is left in the vessel is bottled later",
        lambda: closed().then("bottle", {"count": 20, "size": 750, "left": 7.9}, "2027-01-20"),
        ("2027-01-22", "2027-02-05"),
    ),
)
def test_it_is_bottled(story: Tale, window: Window) -> None:
    assert story().due("bottle") == window


def test_bottling_rests_on_a_reading_of_5_days() -> None:
    assert str(closed().dues("bottle")[0].expires) == "2027-01-20"
