"""Between the sorbate and the sugar: free SO2 on target first, pH known first; and what undoes a sorbate later.

The wine is 20 L of 12 % vol at pH 3.3, to be 30 g/L. Its target: 0.8 mg/L molecular are 25.5 mg/L free at pH 3.3.
Its sugar, 611 g, makes 20.38 L of 11.8 %; at pH 3.3 the table asks 180 mg/L at 11 %, 120 at 12: 133 mg/L here.
"""

from __future__ import annotations

import pytest

from cellar_tui.ledger import kinds as k
from tests.planning.stories import Story, ready_to_sweeten, sweetened

SUGAR = k.Addition(material="sugar", amount=611, sugar_g=611, litres=0.379)


def sorbated(free: float | None = None) -> Story:
    """Its sorbate in on 3 November at 38 mg/L free; read again the day after."""
    story = ready_to_sweeten().add("2026-11-03", "potassium_sorbate", 2.8)
    return story if free is None else story.reading("2026-11-04", free_so2=free, method="aspiration")


def no_ph() -> Story:
    """The same wine, its pH never read; at 3.5, which the free SO2 target then rests on, 39.9 mg/L are asked."""
    story = Story("sweet_white", "2026-10-13", volume=20.0, finished=True, alcohol=12.0, total_so2=80.0)
    story.intent("2026-10-13", sweetness=30.0).check("2026-11-01", "clarity").check("2026-11-01", "heat_test")
    return story.check("2026-11-02", "cold_test").reading("2026-11-03", free_so2=42.0, method="aspiration")


def watched() -> Story:
    """Sweetened, watched warm from 5 November to 3 December: its yeast is shown."""
    story = sweetened().reading("2026-11-05", temperature=19)
    for on in ("2026-11-12", "2026-11-19", "2026-12-03"):
        story.reading(on, sg=1.002, temperature=19)
    return story


def test_sugar_follows_the_sorbate_while_free_so2_is_on_target() -> None:
    assert sorbated().due("sweeten") == ("2026-11-04", "2026-11-10")
    assert sorbated(36).due("sweeten") == ("2026-11-04", "2026-11-10")
    assert "sugar_before_sulfite" not in sorbated(36).cautioned("2026-11-05", SUGAR)


def test_a_reading_under_target_holds_the_sugar_back() -> None:
    story = sorbated(17)
    assert story.due("sweeten") is None
    assert "sugar_before_sulfite" in story.cautioned("2026-11-05", SUGAR)


def test_a_doubtful_reading_is_repeated_the_same_day_before_its_dose() -> None:
    story = sorbated(17)
    assert story.due("so2_recheck") == ("2026-11-04", "2026-11-04")
    assert story.due("sulfite") is None
    story.reading("2026-11-04", free_so2=35, method="aspiration")
    assert story.due("sulfite") is None
    assert story.due("sweeten") == ("2026-11-04", "2026-11-10")


def test_the_dose_before_the_sugar_counts_on_the_share_of_a_sweet_wine() -> None:
    story = sorbated(17).reading("2026-11-04", free_so2=17, method="aspiration")
    assert story.due("sulfite") == ("2026-11-04", "2026-11-04")
    dose = story.dues("sulfite")[0].dose
    assert dose is not None
    assert "0.35 of it is taken to stay free" in dose.note


def test_sugar_waits_for_the_reading_after_the_dose() -> None:
    story = sorbated(17).reading("2026-11-04", free_so2=17, method="aspiration").sulfite("2026-11-04", 45)
    assert story.due("sweeten") is None
    assert story.due("so2_recheck") == ("2026-11-07", "2026-11-07")  # 3 d after work
    story.reading("2026-11-07", free_so2=31, method="aspiration")
    assert story.due("sweeten") == ("2026-11-07", "2026-11-10")


def test_a_ph_never_read_is_read_before_the_sorbate() -> None:
    story = no_ph()
    assert story.due("sorbate") is None
    assert story.due("ph_check") == ("2026-11-02", "2026-11-02")
    story.reading("2026-11-04", ph=3.3)
    assert story.due("sorbate") == ("2026-11-04", "2026-11-04")
    dose = story.dues("sorbate")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(133 * 20.38 / 1000, rel=0.02)


def test_without_a_meter_the_dose_is_the_legal_ceiling_and_says_why() -> None:
    # 200 mg/L of sorbic acid are 268 mg/L of potassium sorbate: in 20.38 L 5.46 g
    story = no_ph().house(ph_meter="no")
    assert story.due("ph_check") is None or "wait" not in story.dues("ph_check")[0].task
    dose = story.dues("sorbate")[0].dose
    assert dose is not None
    assert dose.amount == pytest.approx(5.46, abs=0.02)
    assert "pH not known: the legal ceiling" in dose.note
    assert "3.50" not in dose.note


def test_sorbate_at_a_ph_that_nobody_read_counts_at_the_ceiling_only() -> None:
    body = k.Addition(material="potassium_sorbate", amount=2.8, sorbate_g=2.8)
    assert "sorbate_ph" in no_ph().cautioned("2026-11-04", body)
    little, much = (no_ph().add("2026-11-04", "potassium_sorbate", grams) for grams in (2.8, 5.5))
    assert "sugar_before_sorbate" in little.cautioned("2026-11-06", SUGAR)
    assert "sugar_before_sorbate" not in much.cautioned("2026-11-06", SUGAR)


def test_a_later_ph_that_asks_for_more_sorbate_reopens_the_verdict() -> None:
    # at 3.45 the table asks 135 to 150 at 12 %, 210 to 225 at 11: 159 mg/L, where 137 are in
    story = watched()
    assert story.state("yeast") == "shown"
    story.reading("2026-12-05", ph=3.45)
    assert story.state("yeast") != "shown"
    (found,) = story.dues("sorbate")
    assert found.earliest.isoformat() == "2026-12-05"
    assert found.task == "add more sorbate, or lower its pH by a trial, filter it sterile, or keep it cold and drink it"
    assert found.dose is not None
    story.add("2026-12-06", "potassium_sorbate", round(found.dose.amount + 0.1, 1))
    assert story.due("sorbate") is None


def test_a_later_ph_at_which_no_sorbate_is_enough_says_what_is_open() -> None:
    story = watched().reading("2026-12-05", ph=3.75)
    assert story.state("yeast") != "shown"
    (found,) = story.dues("sorbate")
    assert found.dose is None
    assert found.task == "lower its pH by a trial, filter it sterile, or keep it cold and drink it"
    assert "sorbate no longer hold the yeast" in story.dues("sorbate")[0].because.reason


def test_a_sorbate_that_is_enough_asks_for_nothing() -> None:
    assert watched().reading("2026-12-05", ph=3.28).due("sorbate") is None
