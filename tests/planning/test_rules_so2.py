"""Sulfite, its rechecks, and the full vessel that keeps the air away."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from cellar_tui.planning import so2
from tests.planning.stories import (
    Story,
    all_but_air,
    came_finished,
    day,
    dry,
    fermenting,
    fortified,
    kept,
    ready_to_sweeten,
    red,
    sweetened,
)
from tests.planning.tables import statements

Window = tuple[str, str] | None
Tale = Callable[[], Story]


def unsulfited_red() -> Story:
    return dry("dry_red", sg=0.994).add("2026-10-13", "malolactic_culture", 2)


def found_red() -> Story:
    return Story("dry_red", started="2026-10-13", finished=True).reading("2026-10-13", ph=3.5)


def barrel(volume: float) -> Story:
    return dry("dry_red", sg=0.994, vessel="oak", capacity=225.0, volume=volume)


def moved(on: str, capacity: float = 23.0) -> Story:
    """The kept wine, racked months later into another vessel."""
    story = kept()
    return story.rack(on, to=story.tell_vessel("glass", capacity))


def low_slowly() -> Story:
    """The kept white at 28 mg/L on 20 November and 23 on 20 December, under its target of 20.4 and the margin of 5."""
    story = kept().reading("2026-11-20", free_so2=28, method="aspiration")
    return story.reading("2026-12-20", free_so2=23, method="aspiration")


def unknown() -> Story:
    return Story(started="2026-10-13", finished=True).reading("2026-10-13", ph=3.2)


@statements(
    ("never in a ferment", fermenting, None),
    ("prevented: within 1 d of the finish", dry, ("2026-10-13", "2026-10-14")),
    ("either: within 3 d of the spirit", fortified, ("2026-09-25", "2026-09-28")),
    ("encouraged: not while bacteria work", unsulfited_red, None),
    (
        "encouraged: within 3 d of malolactic done",
        lambda: unsulfited_red().reading("2026-11-06", malic=0.1),
        ("2026-11-06", "2026-11-09"),
    ),
    ("given up: now", lambda: unsulfited_red().decide("2026-12-15", "malolactic_overdue", "give_up"), "2026-12-15"),
    ("sulfited, not again", kept, None),
    ("came finished: it waits for a reading", unknown, None),
    ("then within 1 d", lambda: unknown().reading("2026-10-14", free_so2=10), ("2026-10-14", "2026-10-15")),
    ("a reading on target wants none", lambda: unknown().reading("2026-10-14", free_so2=35), None),
    ("came with total SO2 stated: the first counts as in", came_finished, None),
    (
        "at once when a reading is under target and margin",
        lambda: kept().reading("2026-11-20", free_so2=25),
        "2026-11-20",
    ),
    ("not at target and margin", lambda: kept().reading("2026-11-20", free_so2=26), None),
    ("not once it was answered", lambda: kept().reading("2026-11-20", free_so2=15).sulfite("2026-11-21", 20), None),
    ("one strip over 20 mg/L is no base", lambda: kept().reading("2026-11-20", free_so2=22, method="strip"), None),
    (
        "two of one day are",
        lambda: (
            kept().reading("2026-11-20", free_so2=22, method="strip").reading("2026-11-20", free_so2=21, method="strip")
        ),
        "2026-11-20",
    ),
    ("sweetened: the same day", lambda: sweetened(free=31), "2026-11-05"),
    (
        "not on a pH of 91 d: that is read first",
        lambda: kept().reading("2027-01-12", free_so2=15),
        None,
    ),
    (
        "not on a reading of 22 d that a new pH puts under target",
        lambda: kept().reading("2026-11-20", free_so2=30, method="aspiration").reading("2026-12-12", ph=3.5),
        None,
    ),
    ("sweetened with SO2 to spare: none", sweetened, None),
    ("nor when a later reading leaves the margin", lambda: sweetened().reading("2026-12-05", free_so2=32), None),
    (
        "a pH that rises puts an old reading under target",
        lambda: kept().reading("2026-11-20", free_so2=30).reading("2026-11-25", ph=3.5),
        "2026-11-25",
    ),
)
def test_sulfite_goes_in(story: Tale, window: Window) -> None:
    assert story().due("sulfite") == window


def test_a_dose_ends_with_the_age_of_its_reading_and_the_next_reading_follows() -> None:
    (dose,), (recheck,) = low_slowly().dues("sulfite"), low_slowly().dues("so2_recheck")
    assert dose.expires == day("2027-01-10")
    assert recheck.earliest == day("2027-01-11")


def test_a_dose_in_the_days_of_a_sweetening_ends_before_its_reading() -> None:
    (dose,) = sweetened(31).dues("sulfite")
    assert dose.expires == day("2026-11-07")


def test_a_need_too_small_to_weigh_waits_for_the_next_visit_and_says_so() -> None:
    # Where 0.9 mg/L molecular is the most, a dose aims at 23.0 mg/L: 2 more than 21 are 3 mg/L total.
    story = kept().house(molecular_most=0.9).reading("2026-11-20", free_so2=21, method="aspiration")
    assert story.due("sulfite") is None
    (recheck,) = story.dues("so2_recheck")
    assert "waits for the next visit" in recheck.because.reason
    assert recheck.earliest == day("2027-01-19")


def test_a_dose_lasts_the_days_of_the_house_at_the_wines_own_loss() -> None:
    # A red of pH 3.50: 0.5 mg/L molecular is 25.0 free; glass at 0.4 % a day: 25 x e^(90 x 0.004) = 35.8.
    wanted = so2.target(red().subject())
    assert wanted.free == pytest.approx(25.0, abs=0.1)
    assert so2.aim(red().subject(), wanted)[0] == pytest.approx(25.0 * math.exp(90 * 0.004), rel=0.01)
    # In oak at 0.8 % it would be 51.4, past the most, 20 above the target.
    wine = Story("dry_red", finished=True, malolactic="done", total_so2=60, vessel="oak").reading("2026-10-01", ph=3.5)
    assert so2.aim(wine.subject(), so2.target(wine.subject()))[0] == pytest.approx(45.0, abs=0.1)


def test_the_first_dose_without_a_ph_is_60_mg_l() -> None:
    dose = dry().dues("sulfite")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(22.95 * 0.060 / 0.576)
    assert "pH not known" in dose.note


def test_the_first_dose_counts_half_as_staying_free() -> None:
    # pH 3.20: 0.8 mg/L molecular is 20.4 free. Glass loses 20.4 x (e^(90 x 0.004) - 1) = 8.9 in 90 d: 29.3
    # free, half of it staying: 58.6 mg/L total.
    dose = dry().reading("2026-10-13", ph=3.2).dues("sulfite")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(22.95 * 0.0586 / 0.576, rel=0.005)


def test_what_a_finished_wine_brought_is_taken_off_its_first_dose() -> None:
    dose = unknown().reading("2026-10-14", free_so2=10).dues("sulfite")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(22.95 * (29.30 - 10) / 0.5 / 1000 / 0.576, rel=0.005)


def test_a_free_reading_of_the_must_is_not_taken_off_the_first_dose() -> None:
    with_reading = Story(sg=1.09).reading("2026-09-20", free_so2=35, ph=3.2).add("2026-09-21", "yeast", 6)
    with_reading.reading("2026-10-10", sg=0.992).reading("2026-10-13", sg=0.992, ph=3.2)
    dose, plain = with_reading.dues("sulfite")[0].dose, dry().reading("2026-10-13", ph=3.2).dues("sulfite")[0].dose
    assert dose is not None
    assert plain is not None
    assert dose.amount == pytest.approx(plain.amount)


@statements(
    ("never in a ferment", fermenting, None),
    ("never in a running malolactic fermentation", lambda: unsulfited_red().reading("2026-10-20", free_so2=5), None),
    ("nothing to follow before the first sulfite", dry, None),
    ("3 d after sulfite", lambda: dry().sulfite("2026-10-14"), "2026-10-17"),
    # Days of the forecast are the filter's: test_forecast holds it against wines drawn one by one.
    ("after a racking on the forecast's day", lambda: kept().rack("2026-11-22"), "2026-12-04"),
    (
        "at the earliest 3 d after it",
        lambda: kept().reading("2026-11-20", free_so2=26, method="aspiration").rack("2026-11-20"),
        "2026-11-23",
    ),
    (
        "a later sulfite puts it off no longer than 60 d in glass",
        lambda: kept().sulfite("2026-10-22", 30),
        "2026-12-20",
    ),
    ("30 in oak", lambda: kept(vessel="oak").sulfite("2026-10-22", 50), "2026-11-20"),
    (
        "3 d after a sweetening, whatever sulfite went in with it",
        lambda: sweetened(31).sulfite("2026-11-05", 14),
        "2026-11-08",
    ),
    ("3 d after a blend", lambda: kept().blend_in("2026-11-05", 0.05, total_so2=80), "2026-11-08"),
    (
        "at the latest 60 d after a reading in glass",
        lambda: kept().reading("2026-10-22", free_so2=45, method="aspiration"),
        "2026-12-21",
    ),
    ("30 in oak", lambda: kept(vessel="oak"), "2026-11-20"),
    (
        "at the earliest 7 d after it",
        lambda: came_finished("dry_white").reading("2026-10-14", free_so2=31),
        "2026-10-21",
    ),
    (
        "a sulfite asked for comes first: read again when its reading is over 21 d old",
        lambda: low_slowly(),
        "2027-01-11",
    ),
    (
        "or where it lies far from what was expected, when it is over 7 d old",
        lambda: kept().reading("2026-11-20", free_so2=15),
        "2026-11-28",
    ),
    (
        "sulfited: on the forecast's day, within 60 d",
        lambda: low_slowly().sulfite("2026-12-21", 15),
        "2027-01-25",
    ),
    (
        "a strip satisfies it",
        lambda: kept().house(recheck_full=7).rack("2026-11-22").reading("2026-11-25", free_so2=15, method="strip"),
        "2026-12-02",
    ),
    ("came finished without a word: at once", unknown, "2026-10-13"),
    ("came finished with total SO2 stated: at once", came_finished, "2026-10-13"),
    ("came finished, its bacteria never tested: at once", lambda: found_red(), "2026-10-13"),
    ("malolactic found over later", lambda: found_red().reading("2026-11-20", malic=0.1), "2026-10-13"),
    ("not while a culture works", lambda: found_red().add("2026-10-14", "malolactic_culture", 2), None),
    (
        "then by the reading like any other",
        lambda: found_red().reading("2026-10-14", free_so2=60, method="aspiration"),
        "2026-12-13",
    ),
    ("came with less than the yeast makes: sulfite first", lambda: came_finished(total_so2=10), None),
    (
        "sorbate waits for a reading that is too old: at once",
        lambda: (
            came_finished()
            .reading("2026-10-20", free_so2=38)
            .check("2026-11-01", "clarity")
            .check("2026-11-01", "heat_test")
            .check("2026-11-02", "cold_test")
        ),
        "2026-11-02",
    ),
    ("sorbate waits: the day the reading turns 7 d old", ready_to_sweeten, "2026-11-10"),
    (
        "the cold hold waits: the day it turns 14 d old",
        lambda: red().reading("2026-10-27", free_so2=34, method="aspiration"),
        "2026-11-10",
    ),
    (
        "the cold hold waits for no reading before the first sulfite",
        lambda: unsulfited_red().reading("2026-11-06", malic=0.1),
        None,
    ),
    ("a skip puts it off by 7 d", lambda: kept().rack("2026-11-22").skip("2026-11-25", "so2_recheck"), "2026-12-02"),
)
def test_free_so2_is_read(story: Tale, window: Window) -> None:
    assert story().due("so2_recheck") == window


@statements(
    ("not without a dose", kept, None),
    ("with the dose, where it is not known", dry, ("2026-10-13", "2026-10-14")),
    ("not where it was read that day", lambda: dry().reading("2026-10-13", ph=3.2), None),
    (
        "not at 13 d before the first sulfite",
        lambda: (
            fermenting().reading("2026-09-30", ph=3.2).reading("2026-10-10", sg=0.992).reading("2026-10-13", sg=0.992)
        ),
        None,
    ),
    (
        "older than 14 d before the first sulfite",
        lambda: (
            fermenting().reading("2026-09-28", ph=3.2).reading("2026-10-10", sg=0.992).reading("2026-10-13", sg=0.992)
        ),
        ("2026-10-13", "2026-10-14"),
    ),
    ("later doses may rest on one of 90 d", lambda: kept().reading("2027-01-11", free_so2=15), "2027-01-12"),
    ("not on one of 91 d", lambda: kept().reading("2027-01-12", free_so2=15), "2027-01-12"),
    (
        "nor on one from before acid",
        lambda: kept().add("2026-11-10", "tartaric_acid", 20).reading("2026-11-20", free_so2=15),
        "2026-11-20",
    ),
    (
        "nor on one from before water, 2 % of it or more",
        lambda: kept(volume=20.0).add("2026-11-10", "water", 0.5).reading("2026-11-20", free_so2=15),
        "2026-11-20",
    ),
    (
        "a little of it is nothing",
        lambda: kept(volume=20.0).add("2026-11-10", "water", 0.3).reading("2026-11-20", free_so2=15),
        None,
    ),
    (
        "nor on one from before a cold hold",
        lambda: kept().chill("2026-11-10", -3).warm("2026-11-16").reading("2026-11-20", free_so2=15),
        "2026-11-20",
    ),
    (
        "nor on one from before malolactic fermentation",
        lambda: dry("dry_red", sg=0.994).reading("2026-10-13", ph=3.4).reading("2026-10-20", malic=0.1),
        ("2026-10-20", "2026-10-23"),
    ),
    ("sorbate rests on it too", lambda: ready_to_sweeten().house(ph_age=20), "2026-11-03"),
    (
        "and the final SO2",
        lambda: all_but_air().house(final_extra=10).reading("2027-01-13", free_so2=24),
        ("2027-01-13", "2027-01-16"),
    ),
)
def test_the_ph_is_read(story: Tale, window: Window) -> None:
    assert story().due("ph_check") == window


@statements(
    ("not in a ferment", lambda: fermenting(volume=20.0), None),
    ("at once where the gap is wide at the finish", lambda: dry(volume=22.5), "2026-10-13"),
    ("not over 0.5 % alone, under 50 mL", lambda: dry(capacity=5.0, volume=4.96), None),
    ("not over 50 mL alone, under 0.5 %", lambda: dry(capacity=100.0, volume=99.6), None),
    ("a racking with loss opens it", lambda: dry().rack("2026-10-18", volume=22.0), "2026-10-18"),
    ("topping closes it", lambda: dry(volume=22.5).top("2026-10-14", 0.48), None),
    ("too little comes back after 2 d", lambda: dry(volume=22.0).top("2026-10-14", 0.5), "2026-10-16"),
    ("gas is trusted for 14 d", lambda: dry(volume=22.5).then("gas", {}, "2026-10-14"), "2026-10-28"),
    ("fixed steel over 1 %", lambda: dry(vessel="steel", capacity=100.0, volume=98.9), "2026-10-13"),
    ("not at less", lambda: dry(vessel="steel", capacity=100.0, volume=99.1), None),
    ("a floating lid never", lambda: dry(vessel="steel", capacity=100.0, volume=60.0, lid="floating"), None),
    ("oak 4 weeks after the finish", lambda: dry("dry_red", sg=0.994, vessel="oak"), "2026-11-10"),
    ("and after each topping", lambda: dry("dry_red", sg=0.994, vessel="oak").top("2026-11-09", 0.04), "2026-12-07"),
    (
        "a racking into the same barrel fills nothing",
        lambda: dry("dry_red", sg=0.994, vessel="oak").rack("2026-10-18"),
        "2026-11-10",
    ),
    ("held cold too: the gap is as open as before", lambda: dry(volume=22.5).chill("2026-10-14", 2), "2026-10-13"),
    ("oak at once over 2 % of the barrel", lambda: barrel(220.4), "2026-10-13"),
    ("not at 2 %", lambda: barrel(220.5), "2026-11-10"),
    ("gas on it is trusted for 14 d", lambda: barrel(96.0).then("gas", {}, "2026-10-14"), "2026-10-28"),
    ("held cold, oak drinks no more for its weeks", lambda: barrel(224.0).chill("2026-10-14", 2), None),
)
def test_the_vessel_is_filled(story: Tale, window: Window) -> None:
    assert story().due("top_up") == window


def test_the_gap_of_the_old_vessel_does_not_count_in_the_new() -> None:
    story = dry()
    story.rack("2026-10-18", to=story.tell_vessel("glass", 25.0))
    assert story.due("top_up") == ("2026-10-18", "2026-10-18")


def test_a_barrel_that_is_not_full_is_asked_about_at_once_and_not_in_five_weeks() -> None:
    due = barrel(96.0).dues("top_up")[0]
    assert due.earliest.isoformat() == "2026-10-13"
    assert due.task == "move it to a smaller vessel"


def test_a_cold_wine_is_covered_or_moved_and_never_filled_to_the_brim() -> None:
    task = dry(volume=22.0).chill("2026-10-14", 2).dues("top_up")[0].task
    assert task.startswith("cover 1 L of headspace with gas, or move it to a smaller vessel")
    assert "brim" in task
    assert "top up" not in task


@pytest.mark.parametrize(("volume", "topped"), [(20.0, True), (11.0, False)])
def test_a_vessel_less_than_half_full_is_left_not_topped(volume: float, topped: bool) -> None:
    task = dry(volume=volume).dues("top_up")[0].task
    assert task.startswith("top up") == topped
    assert "smaller vessel" in task


@statements(
    ("not in a ferment", fermenting, None),
    ("14 d after the finish without SO2", dry, "2026-10-27"),
    ("30 d with it", lambda: dry().sulfite("2026-10-14"), "2026-11-12"),
    ("a racking to the neck is a look", kept, "2026-11-17"),
    ("so is a topping", lambda: kept().rack("2026-10-25", volume=22.0).top("2026-10-26", 0.98), "2026-11-25"),
    ("a racking that leaves a gap is none", lambda: kept().rack("2026-10-25", volume=22.0), "2026-11-17"),
    ("a vessel filled today was not to be looked at before", lambda: moved("2027-03-15"), "2027-04-14"),
    ("even where it is not full", lambda: moved("2027-03-15", 25.0), "2027-04-14"),
    ("a floating lid is never asked", lambda: kept(vessel="steel", volume=20.0, lid="floating"), None),
    ("30 d after each look", lambda: kept().check("2026-11-12", "level"), "2026-12-12"),
    ("a skip counts like a look", lambda: kept().skip("2026-11-12", "level_look"), "2026-12-12"),
    ("2 d after one that found it wrong", lambda: kept().check("2026-11-12", "level", "fail"), "2026-11-14"),
    ("oak is topped instead", lambda: kept(vessel="oak"), None),
)
def test_the_level_is_looked_at(story: Tale, window: Window) -> None:
    assert story().due("level_look") == window


def test_a_reading_that_asks_for_no_dose_is_not_asked_for_again_on_its_day() -> None:
    # 27 is under 25 and its margin of 5, but the dose for 33, 17 mg/L, is not worth 20: the sorbate waits with it.
    assert ready_to_sweeten(free=27.0).house(dose_worth=20).due("so2_recheck") == ("2026-11-05", "2026-11-05")
