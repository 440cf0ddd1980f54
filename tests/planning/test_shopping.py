"""The shelf: what is left of a bag, what the wines will need in the next 90 days, and what is to be got."""

from __future__ import annotations

import math
from datetime import date

import pytest

from cellar_tui.ledger.cellar_kinds import MaterialOnHand
from cellar_tui.ledger.kinds import Bottle
from cellar_tui.planning import so2
from cellar_tui.planning.consider import CellarState
from cellar_tui.planning.forecast.outlook import forecast
from cellar_tui.planning.needs_ahead import KMS, Need
from cellar_tui.planning.shopping import Supply, supplies
from tests.planning.stories import Story, all_but_air, clear, day, dry, fermenting, ready_to_sweeten, sweetened

FIVE_MORE = 5 / 0.67 * 22.95 / 1000 / 0.576
"""Metabisulfite [g] for 5 mg/L more free SO2 in 22.95 L, 0.67 of it staying free, 57.6 % of the salt being SO2."""


def shelf(story: Story, today: str, within: int = 90) -> dict[str, Supply]:
    return {one.material: one for one in supplies(CellarState(story.entries), day(today), within)}


def needed(story: Story, today: str, material: str, within: int = 90) -> list[Need]:
    found = shelf(story, today, within).get(material)
    return [] if found is None else list(found.needs)


def bag(story: Story, on: str, name: str = KMS, **says: object) -> Story:
    return story.record(on, MaterialOnHand(name, **says))  # type: ignore[arg-type]


def test_a_dose_that_is_due_is_needed_today() -> None:
    story = clear().reading("2026-11-20", free_so2=12, method="aspiration")
    (due,) = story.dues("sulfite")
    assert due.dose is not None
    first = needed(story, "2026-11-25", KMS)[0]
    assert (first.amount, first.on, first.because.rule) == (due.dose.amount, day("2026-11-25"), "sulfite")


def test_the_sulfite_for_the_filling_is_reckoned_from_the_target_up() -> None:
    story = all_but_air()
    (final,) = [one for one in needed(story, "2026-11-05", KMS) if one.because.rule == "final_so2"]
    assert final.amount == pytest.approx(FIVE_MORE)
    assert final.on == day("2027-01-13")  # 7 d before the wished 20 January


def lasting(story: Story) -> float:
    """Return the metabisulfite [g] of a dose from the target of 20.44 mg/L to what its own loss takes in 90 d."""
    rate, _ = so2.daily_loss(story.subject())
    return FIVE_MORE * 20.44 * math.expm1(90 * rate) / 5


def risk_day(story: Story) -> date:
    """Return the day on which the forecast has free SO2 under its target by the risk of the house."""
    found = forecast(story.subject())
    assert found is not None
    return found.risk_day


def test_a_kept_wine_needs_sulfite_when_the_forecast_says_so_until_it_is_filled() -> None:
    # In glass, about 20.4 x (e^(90 x 0.004) - 1) = 8.9 mg/L above the target; by its own readings this one loses less.
    keeping = [one for one in needed(all_but_air(), "2026-11-05", KMS) if one.because.rule == "sulfite"]
    assert [one.on for one in keeping] == [risk_day(all_but_air())]
    assert keeping[0].amount == pytest.approx(lasting(all_but_air()), rel=0.02)
    later = all_but_air().intent("2026-11-01", bottling="2027-06-01")
    # From 28 December on: again after 90 d, on 28 March, and not before 26 June.
    (twice,) = [one for one in needed(later, "2026-11-05", KMS, 160) if one.because.rule == "sulfite"]
    assert twice.amount == pytest.approx(2 * lasting(all_but_air()), rel=0.02)
    assert "2 times" in twice.because.reason


def test_what_lies_past_the_last_day_is_left_out() -> None:
    until = (risk_day(all_but_air()) - day("2026-11-05")).days
    assert needed(all_but_air(), "2026-11-05", KMS, until - 1) == []
    assert needed(all_but_air(), "2026-11-05", KMS, until) != []


def test_a_keeping_sulfite_on_the_eve_of_the_final_one_is_needed_with_it() -> None:
    # Low on 10 January, three days before the final SO2 is asked for; that dose waits for a reading of its own.
    story = all_but_air().reading("2027-01-10", free_so2=15, ph=3.2, method="aspiration")
    (keeping,), (final,) = story.dues("sulfite"), story.dues("final_so2")
    assert keeping.dose is not None
    assert final.dose is None
    amounts = [one.amount for one in needed(story, "2027-01-11", KMS)]
    assert amounts == pytest.approx([keeping.dose.amount, FIVE_MORE])


def test_a_wine_that_still_ferments_needs_its_first_sulfite_only_as_far_as_its_way_goes() -> None:
    first = needed(fermenting(), "2026-09-25", KMS)[0]
    assert "first sulfite" in first.because.reason
    assert first.on == day("2026-10-02")  # not before the 7 d that show it finished
    assert (first.amount or 0) > 1


def test_a_dry_wine_on_its_way_needs_no_sugar_and_no_sorbate() -> None:
    assert set(shelf(dry(), "2026-10-14")) == {KMS, "bentonite"}


def test_sugar_and_sorbate_are_those_of_the_sweetness_wished() -> None:
    story = ready_to_sweeten()
    # 30 g/L in 20 L: 30 x 20 / (1 - 0.00062 x 30) = 611 g, in 20.4 L.
    (sugar,) = needed(story, "2026-11-04", "sugar")
    assert sugar.amount == pytest.approx(611.4, abs=0.1)
    (sorbate,) = needed(story, "2026-11-04", "potassium_sorbate")
    (due,) = story.dues("sorbate")
    assert due.dose is not None
    assert sorbate.amount == due.dose.amount
    assert [one.because.reason for one in needed(story, "2026-11-04", KMS) if "new volume" in one.because.reason]
    assert needed(sweetened(), "2026-11-06", "sugar") == []


def test_where_the_sweetness_is_not_said_nothing_is_reckoned_and_that_is_said() -> None:
    story = ready_to_sweeten(sweetness=None)
    for name in ("sugar", "potassium_sorbate"):
        (one,) = needed(story, "2026-11-04", name)
        assert one.amount is None
        assert "sweetness" in one.because.reason
        assert shelf(story, "2026-11-04")[name].to_get == 0


def test_how_much_bentonite_is_not_known_before_the_heat_test() -> None:
    (one,) = needed(clear(), "2026-11-05", "bentonite")
    assert one.amount is None
    assert "trial" in one.because.reason
    assert needed(clear().check("2026-11-06", "heat_test"), "2026-11-07", "bentonite") == []


def test_a_finished_wine_of_unknown_sulfite_asks_for_a_reading_first() -> None:
    story = Story("dry_white", "2026-10-13", finished=True, alcohol=12.0)
    (one,) = [one for one in needed(story, "2026-10-20", KMS) if one.because.rule == "so2_recheck"]
    assert one.amount is None


def test_a_weaker_bag_is_needed_in_proportion() -> None:
    full = needed(all_but_air(), "2026-11-05", KMS)
    half = needed(bag(all_but_air(), "2026-11-01", strength=0.5), "2026-11-05", KMS)
    assert [one.amount for one in half] == pytest.approx([2 * (one.amount or 0) for one in full])


def test_what_is_left_of_a_bag_is_what_was_counted_less_what_went_in_since() -> None:
    story = bag(clear(), "2026-11-02", amount=100.0)
    story.add("2026-11-03", KMS, 3.0).add("2026-11-01", KMS, 7.0).add("2026-11-02", KMS, 1.0)
    assert shelf(story, "2026-11-05")[KMS].left == pytest.approx(96.0)
    story.add("2026-11-04", KMS, 500.0)
    assert shelf(story, "2026-11-05")[KMS].left == 0


def test_the_shopping_list_is_the_need_less_what_is_left() -> None:
    found, more = shelf(bag(all_but_air(), "2026-11-01", amount=0.2), "2026-11-05")[KMS], lasting(all_but_air())
    assert found.need == pytest.approx(more + FIVE_MORE, rel=0.001)
    assert found.to_get == pytest.approx(more + FIVE_MORE - 0.2, rel=0.001)
    assert shelf(bag(all_but_air(), "2026-11-01", amount=50.0), "2026-11-05")[KMS].to_get == 0
    uncounted = shelf(bag(all_but_air(), "2026-11-01", opened=day("2026-10-01")), "2026-11-05")[KMS]
    assert uncounted.left is None
    assert uncounted.to_get == pytest.approx(more + FIVE_MORE, rel=0.001)


def test_a_bag_of_sulfite_opened_longer_ago_than_the_house_trusts_is_old() -> None:
    story = bag(clear(), "2026-11-01", opened=day("2025-11-05"))
    assert not shelf(story, "2026-11-05")[KMS].old  # 365 d
    assert shelf(story, "2026-11-06")[KMS].old
    assert not shelf(story.house(bag_days=400), "2026-11-06")[KMS].old
    assert not shelf(bag(clear(), "2026-11-01", "sugar", opened=day("2020-01-01")), "2026-11-06")["sugar"].old


def test_bottles_need_nothing() -> None:
    assert shelf(all_but_air(), "2026-11-05") != {}
    story = all_but_air().record("2026-11-04", Bottle(count=30, size=750.0, store="Hill bottles"))
    assert shelf(story, "2026-11-05") == {}
