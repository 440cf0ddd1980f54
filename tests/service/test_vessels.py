"""Vessels: names, retirement, stores of bottles, what reaches what."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.entry import Entry
from cellar_tui.service.components import components
from tests.opened import number_of, store_of
from tests.service.kept import Act, Kept

# -- vessels


def test_a_vessel_renamed_keeps_its_wine(cellar: Kept) -> None:
    number = number_of(cellar.service, "B1")
    cellar.service.recorder.amend(number, {"name": "North 1"})
    assert number_of(cellar.service, "north 1") == number
    assert {line.name for line in cellar.service.view.board().lines} == {"North 1", "B2", "B3"}
    with cellar.refusal():
        number_of(cellar.service, "B1")


def test_two_vessels_never_bear_one_name(cellar: Kept) -> None:
    acts: tuple[Act, ...] = (
        lambda: cellar.service.recorder.add_vessel({"name": "b2", "capacity": "10", "material": "glass"}),
        lambda: cellar.service.recorder.amend(number_of(cellar.service, "B1"), {"name": "B2"}),
    )
    for act in acts:
        with cellar.refusal() as refused:
            act()
        assert refused.value.field == "name"


def test_a_name_is_found_however_its_letters_were_put_together(cellar: Kept) -> None:
    cellar.service.recorder.add_vessel({"name": "Fässchen", "capacity": "10", "material": "oak"})
    assert number_of(cellar.service, "Fa\u0308sschen") == number_of(cellar.service, " FÄSSCHEN ")


def test_only_an_empty_vessel_is_retired(cellar: Kept) -> None:
    with cellar.refusal():
        cellar.service.recorder.retire_vessel("B1")
    answer = cellar.service.recorder.retire_vessel("B3")
    assert "B3" not in {one.name for one in cellar.service.view.vessels()}
    cellar.service.recorder.undo(answer.outcomes[0].entry.seq)
    assert "B3" in {one.name for one in cellar.service.view.vessels()}


def test_a_vessel_with_entries_cannot_be_undone_and_one_without_can(cellar: Kept) -> None:
    with cellar.refusal() as refused:
        cellar.service.recorder.undo(number_of(cellar.service, "B1"))
    assert "B1 has entries" in str(refused.value)
    cellar.service.recorder.undo(number_of(cellar.service, "B3"))
    assert {line.name for line in cellar.service.view.board().lines} == {"B1", "B2"}


def test_a_transfer_joins_what_can_reach_each_other_for_good(cellar: Kept) -> None:
    store = store_of(cellar.service)
    first, third = number_of(cellar.service, "B1"), number_of(cellar.service, "B3")
    assert store.component([first]) == {first}
    made = cellar.kept("racking", to="B3").entry
    assert store.component([first]) == {first, third}
    cellar.service.recorder.undo(made.seq)
    assert store.component([first]) == {first, third}
    assert [line.wine for line in cellar.service.view.board().lines if line.name == "B1"] == ["Hill"]


def test_a_bottling_opens_a_store_and_undone_closes_it(cellar: Kept) -> None:
    answer = cellar.record("bottle", waive="for the feast", count="266", size="750")
    assert answer.saved
    lines = {line.name: line for line in cellar.service.view.board().lines}
    assert lines["Hill bottles"].volume == pytest.approx(199.5)
    assert lines["B1"].wine is None
    cellar.service.recorder.undo(answer.outcomes[0].entry.seq)
    assert "Hill bottles" not in {line.name for line in cellar.service.view.board().lines}
    assert cellar.service.view.wine("B1").plan is not None


def stores(cellar: Kept) -> dict[str, float | None]:
    """Return the stores of bottles with what they hold [L]."""
    return {one.name: one.volume for one in cellar.service.view.board().lines if one.material == "bottles"}


def test_a_bottling_over_two_days_and_of_two_vessels_is_one_lot_with_one_set_of_looks(cellar: Kept) -> None:
    cellar.record("bottle", "2026-11-10", waive="for the feast", count="100", size="750", left="125")
    cellar.record("bottle", "2026-11-11", waive="for the feast", count="100", size="750", left="50")
    cellar.record("bottle", "2026-11-17", target="B2", waive="for the feast", count="120", size="750", left="10")
    assert stores(cellar) == {"Hill bottles": pytest.approx(240)}
    looks = [one for one in cellar.service.view.tasks() if one.action.rule == "kept_bottle_check"]
    assert [one.vessel for one in looks] == ["Hill bottles"]
    assert looks[0].action.due.isoformat() == "2026-12-01", "14 d after the last day of the bottling"
    assert [one.volume for one in cellar.service.view.board().lines if one.name in ("B1", "B2")] == [50, 10]


def test_a_bottling_eight_days_later_is_another_lot(cellar: Kept) -> None:
    cellar.record("bottle", "2026-11-10", waive="for the feast", count="100", size="750", left="125")
    cellar.record("bottle", "2026-11-18", target="B2", waive="for the feast", count="120", size="750", left="10")
    assert stores(cellar) == {"Hill bottles": pytest.approx(75), "Hill bottles 2": pytest.approx(90)}


def test_the_first_day_of_a_lot_withdrawn_leaves_the_second_its_bottles(cellar: Kept) -> None:
    first = cellar.record("bottle", "2026-11-10", waive="for the feast", count="100", size="750", left="125")
    cellar.record("bottle", "2026-11-11", target="B2", waive="for the feast", count="120", size="750", left="10")
    cellar.service.recorder.undo(first.outcomes[0].entry.seq)
    assert stores(cellar) == {"Hill bottles": pytest.approx(90)}
    assert [one.volume for one in cellar.service.view.board().lines if one.name in ("B1", "B2")] == [200, 10]


def test_a_component_bears_the_number_of_its_lowest_vessel_in_whatever_order_vessels_were_joined() -> None:
    def poured(seq: int, vessel: int, source: int) -> Entry:
        at = datetime(2026, 11, 20, tzinfo=UTC)
        return Entry(seq, bytes(16), at.date(), None, at, "ann", k.Topping(source=source, volume=1.0), vessel)

    assert components([poured(10, 9, 2), poured(11, 9, 4), poured(12, 7, 6)]) == {2: 2, 4: 2, 9: 2, 6: 6, 7: 6}
