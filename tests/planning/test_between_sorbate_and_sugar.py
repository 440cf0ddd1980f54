"""Between the sorbate and the sugar: free SO2 on target first, pH known first, and what undoes a sorbate that was enough.

The wine is 20 L of 12 % vol at pH 3.3, to be 30 g/L. Its target: 0.8 mg/L molecular are 25.5 mg/L free at pH 3.3.
Its sugar, 611 g, makes 20.38 L of 11.8 %, which asks 121 mg/L of potassium sorbate at pH 3.3.
"""

from __future__ import annotations

from cellar_tui.ledger import kinds as k
from tests.planning.stories import Story, ready_to_sweeten

SUGAR = k.Addition(material="sugar", amount=611, sugar_g=611, litres=0.379)


def sorbated(free: float | None = None) -> Story:
    """Its sorbate in on 3 November at 38 mg/L free; read again the day after."""
    story = ready_to_sweeten().add("2026-11-03", "potassium_sorbate", 2.8)
    return story if free is None else story.reading("2026-11-04", free_so2=free, method="aspiration")


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
