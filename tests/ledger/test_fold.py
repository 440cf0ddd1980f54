"""What each kind of entry does to the vessels it names."""

from __future__ import annotations

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import Vessel
from cellar_tui.ledger.contents import Amounts
from tests.ledger.lines import Lines


def two_wines() -> Lines:
    """20 L of one finished wine in V1, 10 L of another in V2; V3 is empty."""
    lines = Lines(23, 23, 23)
    lines.finished(1, 20)
    lines.finished(2, 10, name="Dale", total_so2=90.0)
    return lines


def litres(lines: Lines) -> dict[int, float]:
    return {vessel: round(held.now.volume, 6) for vessel, held in lines.cellar().holds.items()}


def test_a_wine_that_starts_brings_the_so2_of_its_yeast() -> None:
    lines = Lines(23)
    filling = lines.wine(volume=20)
    held = lines.held()
    assert (held.filling, held.wine, held.now.volume) == (filling, "Hill", 20)
    assert held.now.mg_l(held.now.so2_total) == 15  # the house rule yeast_so2


def test_a_wine_that_came_finished_brings_what_was_stated() -> None:
    lines = Lines(23)
    lines.finished(volume=20, sorbate=150.0)
    now = lines.held().now
    assert now == Amounts(20, so2_total=1200, sorbate=3.0, ethanol=2.4)
    assert now.alcohol == pytest.approx(12)


def test_a_second_wine_does_not_go_into_a_full_vessel() -> None:
    lines = two_wines()
    wrong = lines.wine(1, 5, name="Moor")
    assert lines.problems() == [("not_empty", wrong)]
    assert lines.held(1).wine == "Hill"


def test_sulfite_adds_its_so2_and_no_litres() -> None:
    lines = two_wines()
    lines.add("2026-10-01", "potassium_metabisulfite", 2.0)
    now = lines.held().now
    # 0.576 of its weight is SO2: 1152 mg beside the 1200 mg stated.
    assert (now.volume, round(now.so2_added), round(now.so2_total)) == (20, 1152, 2352)


def test_sugar_adds_its_litres_and_dilutes_the_rest() -> None:
    lines = two_wines()
    lines.add("2026-10-01", "sugar", 1000)
    now = lines.held().now
    assert (now.sugar.low, now.gained) == (1000, 1000)
    assert not now.sugar.known, "what the wine held before was never read"
    assert now.volume == pytest.approx(20.62, abs=0.01)  # about 0.62 mL a gram
    assert now.mg_l(now.so2_total) == pytest.approx(1200 / now.volume)


def test_sugar_into_a_young_must_feeds_the_ferment() -> None:
    lines = Lines(23)
    lines.wine(sg=1.070)
    lines.add("2026-09-21", "sugar", 1000)
    now = lines.held().now
    assert (now.fed, now.gained) == (1000, 0)


def test_spirit_adds_its_alcohol() -> None:
    lines = two_wines()
    lines.add("2026-10-01", "spirit", 2.0, strength=96.0)
    # 20 L of 12 % and 2 L of 96 % weigh 19.65 + 1.61 kg, 16.1 % of it ethanol: 21.83 L by the alcohol tables, not 22.
    now = lines.held().now
    assert now.volume == pytest.approx(21.834, abs=0.001)
    assert now.alcohol == pytest.approx((2.4 + 1.92) / 21.834 * 100, abs=0.001)


def test_a_racking_leaves_the_lees_and_what_was_dissolved_in_them() -> None:
    lines = two_wines()
    lines.write("2026-10-01", k.Racking(to=3, volume=19.0), 1)
    assert litres(lines) == {2: 10, 3: 19}
    held = lines.held(3)
    assert held.now.mg_l(held.now.so2_total) == pytest.approx(60)
    assert held.wine == "Hill"


def test_a_racking_keeps_the_filling_and_its_history() -> None:
    lines = two_wines()
    filling = lines.held(1).filling
    lines.read("2026-09-30", ph=3.2)
    lines.write("2026-10-01", k.Racking(to=3), 1)
    lines.write("2026-10-02", k.Racking(to=1), 3)
    held = lines.held(1)
    assert held.filling == filling
    assert [event.body.kind for event in held.log] == ["reading", "racking", "racking"]


def test_a_racking_into_a_full_vessel_leaves_the_wine_where_it_was() -> None:
    lines = two_wines()
    wrong = lines.write("2026-10-01", k.Racking(to=2), 1)
    assert lines.problems() == [("not_empty", wrong)]
    assert litres(lines) == {1: 20, 2: 10}


def test_more_cannot_be_racked_than_there_was() -> None:
    lines = two_wines()
    wrong = lines.write("2026-10-01", k.Racking(volume=21.0), 1)
    assert lines.problems() == [("no_volume", wrong)]
    assert litres(lines)[1] == 20


def test_a_press_may_give_more_than_the_must_was_reckoned_at() -> None:
    lines = Lines(23)
    lines.wine(volume=15, skins=True)
    lines.write("2026-09-28", k.Press(volume=16.0), 1)
    assert lines.problems() == []
    assert litres(lines) == {1: 16}


def test_topping_takes_from_the_one_and_fills_the_other() -> None:
    lines = two_wines()
    lines.write("2026-10-01", k.Topping(source=2, volume=2.0), 1)
    assert litres(lines) == {1: 22, 2: 8}
    event = lines.held(1).log[-1]
    assert event.foreign == pytest.approx(2 / 22)
    assert lines.held(2).log[-1].passive


def test_topping_with_the_same_wine_brings_nothing_foreign() -> None:
    lines = Lines(23, 23)
    lines.finished(1, 20)
    lines.finished(2, 10, name="HILL")
    lines.write("2026-10-01", k.Topping(source=2, volume=2.0), 1)
    assert lines.held(1).log[-1].foreign == 0


def test_topping_from_outside_brings_no_so2_and_the_strength_and_sugar_stated() -> None:
    lines = two_wines()
    lines.read("2026-10-01", residual_sugar=1.0)
    lines.write("2026-10-02", k.Topping(outside=True, wine="Moor", volume=2.0, sugar=23.0, alcohol=15.0), 1)
    now = lines.held(1).now
    assert (now.volume, now.so2_total) == (22, 1200)
    assert now.alcohol == pytest.approx((20 * 12 + 2 * 15) / 22)
    assert now.g_l(now.sugar.middle) == pytest.approx((20 * 1 + 2 * 23) / 22)


def test_strength_and_sugar_that_nobody_stated_of_wine_from_outside_are_not_known_in_the_whole() -> None:
    lines = two_wines()
    lines.read("2026-10-01", residual_sugar=1.0)
    lines.write("2026-10-02", k.Topping(outside=True, wine="Moor", volume=2.0), 1)
    now = lines.held(1).now
    assert now.alcohol is None
    assert not now.sugar.known


def test_wine_of_the_same_name_from_outside_is_taken_to_be_like_this_one() -> None:
    lines = two_wines()
    lines.read("2026-10-01", residual_sugar=1.0)
    lines.write("2026-10-02", k.Topping(outside=True, wine="hill", volume=2.0), 1)
    now = lines.held(1).now
    assert now.alcohol == pytest.approx(12)
    assert now.g_l(now.sugar.high) == pytest.approx(1.0)


def test_topping_from_an_empty_vessel_changes_nothing() -> None:
    lines = two_wines()
    wrong = lines.write("2026-10-01", k.Topping(source=3, volume=1.0), 1)
    assert lines.problems() == [("no_wine", wrong)]
    assert litres(lines) == {1: 20, 2: 10}


def test_a_vessel_gives_no_more_than_it_holds() -> None:
    lines = two_wines()
    wrong = lines.write("2026-10-01", k.Topping(source=2, volume=12.0), 1)
    assert ("no_volume", wrong) in lines.problems()
    assert ("overfull", wrong) in lines.problems()
    assert litres(lines) == {1: 30}


def test_a_split_copies_the_history_and_names_its_parent() -> None:
    lines = two_wines()
    parent = lines.held(1).filling
    lines.read("2026-09-30", ph=3.2)
    split = lines.write("2026-10-01", k.Split(to=3, volume=5.0, name="Twin"), 1)
    twin = lines.held(3)
    assert (twin.filling, twin.wine, twin.parents) == (split, "Twin", (parent,))
    assert [event.body.kind for event in twin.log] == ["reading", "split"]
    assert litres(lines) == {1: 15, 2: 10, 3: 5}
    assert twin.now.mg_l(twin.now.so2_total) == pytest.approx(60)


def test_a_blend_is_a_new_filling_of_both() -> None:
    lines = two_wines()
    parents = {lines.held(1).filling, lines.held(2).filling}
    lines.read("2026-09-30", ph=3.2)
    blend = lines.write("2026-10-01", k.Blend(source=2, volume=10.0, to=3, name="Cuvee"), 1)
    held = lines.held(3)
    assert litres(lines) == {3: 30}
    assert lines.problems() == [("overfull", blend)]
    assert (held.filling, held.wine, set(held.parents)) == (blend, "Cuvee", parents)
    assert held.now.mg_l(held.now.so2_total) == pytest.approx((20 * 60 + 10 * 90) / 30)
    assert [event.body.kind for event in held.log] == ["blend"]


def test_what_is_lost_takes_its_share_along_and_the_last_of_it_empties_the_vessel() -> None:
    lines = two_wines()
    lines.write("2026-10-01", k.Loss(volume=5.0), 1)
    now = lines.held(1).now
    assert (now.volume, now.so2_total) == (15, 900)
    assert now.alcohol == pytest.approx(12)
    lines.write("2026-10-02", k.Loss(volume=15.0), 1)
    assert litres(lines) == {2: 10}


def test_a_bottling_opens_a_store_and_leaves_what_was_left() -> None:
    lines = two_wines()
    store = lines.write("2026-10-01", k.Bottle(count=24, size=750, left=1.5, store="Hill bottles"), 1)
    cellar = lines.cellar()
    assert litres(lines) == {1: 1.5, 2: 10, store: 18}
    assert cellar.holds[store].store
    assert (cellar.vessels[store].name, cellar.vessels[store].capacity) == ("Hill bottles", None)


def test_more_cannot_be_bottled_than_there_was() -> None:
    lines = two_wines()
    wrong = lines.write("2026-10-01", k.Bottle(count=40, size=750), 1)
    assert lines.problems() == [("no_volume", wrong)]


def test_a_measured_volume_counts_and_takes_the_masses_with_it() -> None:
    lines = two_wines()
    lines.read("2026-10-01", volume=19.5)
    now = lines.held(1).now
    assert now.volume == 19.5
    assert now.mg_l(now.so2_total) == pytest.approx(60)
    assert lines.problems() == []


def test_a_volume_far_from_the_ledger_is_a_problem_beside_its_reading() -> None:
    lines = two_wines()
    reading = lines.read("2026-10-01", volume=19.3)  # 3.5 % off; the house rule forgives 3
    assert lines.problems() == [("differs", reading)]


def test_a_measured_total_counts_from_there() -> None:
    lines = two_wines()
    reading = lines.read("2026-10-01", total_so2=100)
    lines.add("2026-10-02", "so2_solution", 10)
    now = lines.held(1).now
    assert now.so2_total == pytest.approx(100 * 20 + 500)
    assert lines.problems() == [("differs", reading)], "more than was ever added is a slip"


def test_a_measured_total_under_the_running_sum_is_no_problem() -> None:
    lines = two_wines()
    lines.read("2026-10-01", total_so2=20)
    assert lines.problems() == []
    assert lines.held(1).now.mg_l(lines.held(1).now.so2_total) == pytest.approx(20)


def test_a_vessel_measured_or_racked_empty_is_empty() -> None:
    lines = two_wines()
    lines.read("2026-10-01", volume=0)
    lines.write("2026-10-01", k.Racking(volume=0), 2)
    assert litres(lines) == {}


def test_a_small_lot_loses_its_sample() -> None:
    lines = Lines(5)
    lines.finished(volume=4)
    lines.read("2026-10-01", temperature=20)
    assert lines.held().now.volume == 4
    lines.read("2026-10-02", free_so2=20)
    assert lines.held().now.volume == pytest.approx(3.975)  # 25 mL


def test_a_refractometer_or_warm_hydrometer_is_read_as_gravity() -> None:
    lines = Lines(23)
    lines.wine()
    lines.read("2026-09-20", brix=20.0)
    lines.read("2026-09-21", sg=1.080, sample_temperature=30.0, method="hydrometer")
    first, second = (event.values["sg"] for event in lines.held().log)
    assert first == pytest.approx(1.083, abs=0.0005)  # 20 Brix
    assert second == pytest.approx(1.0825, abs=0.001)  # a warm hydrometer sinks too deep


def test_a_cold_sample_of_wine_is_corrected_with_its_alcohol() -> None:
    """12 % vol at 5 C reads 0.0022 too high, where water would read 0.0014 (OIML R 22, computed)."""
    lines = Lines(23)
    lines.finished()
    lines.read("2026-10-01", alcohol=12.0)
    lines.read("2026-10-02", sg=0.9946, sample_temperature=5.0, method="hydrometer")
    lines.read("2026-10-02", sg=1.0200, sample_temperature=5.0, method="hydrometer")
    wine, must = (event.values["sg"] for event in lines.held().log[-2:])
    assert 0.9946 - wine == pytest.approx(0.0022, abs=0.0001)
    assert 1.0200 - must == pytest.approx(0.0014, abs=0.0001)


@pytest.mark.parametrize("body", [k.Gas(), k.Note(text="x"), k.Check(test="smell", result="pass"), k.Filter(pore=0.45)])
def test_what_changes_no_amount_is_kept_in_the_history(body: k.Body) -> None:
    lines = two_wines()
    before = lines.held().now
    lines.write("2026-10-01", body, 1)
    assert (lines.held().now, lines.held().log[-1].body) == (before, body)


def test_work_on_an_empty_vessel_is_a_problem() -> None:
    lines = Lines(23)
    wrong = lines.add("2026-10-01", "sugar", 100)
    assert lines.problems() == [("no_wine", wrong)]


def test_half_a_per_mille_over_the_stopper_is_within_any_reading() -> None:
    lines = Lines(20)
    lines.wine(volume=20.0)
    lines.read("2026-09-21", volume=20.009)
    assert lines.problems() == []
    over = lines.read("2026-09-22", volume=20.011)
    assert lines.problems() == [("overfull", over)]


@pytest.mark.parametrize(("material", "volume"), [("oak", 23.0), ("glass", 23.3)])
def test_what_does_not_fit_a_topped_barrel_had_evaporated(material: str, volume: float) -> None:
    lines = Lines()
    barrel = lines.write("2026-09-01", Vessel(name="B1", capacity=23.0, material=material), None)
    lines.finished(barrel, 22.3)
    lines.write("2026-10-01", k.Topping(outside=True, wine="Hill", volume=1.0), barrel)
    now = lines.held(barrel).now
    assert now.volume == pytest.approx(volume)
    assert now.so2_total == pytest.approx(22.3 * 60)


def test_a_barrel_topped_with_its_own_wine_keeps_its_strength() -> None:
    lines = Lines()
    barrel = lines.write("2026-09-01", Vessel(name="B1", capacity=225.0, material="oak"), None)
    lines.finished(barrel, 225.0, alcohol=13.0)
    for month in range(1, 11):
        lines.write(f"2027-{month:02}-01", k.Topping(outside=True, wine="Hill", volume=2.5), barrel)
    now = lines.held(barrel).now
    assert now.volume == pytest.approx(225.0)
    assert now.alcohol == pytest.approx(13.0, rel=1e-9), "water and alcohol leave alike"
