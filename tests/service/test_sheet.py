"""Readings of many vessels made together: kept together or not at all, taken back together, the same as one by one."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cellar_tui.ledger.kinds import Reading
from cellar_tui.service.views import CellarError, Request, RowsError, SaveResult
from tests.opened import heads_of, number_of
from tests.service.kept import Kept

KEY = b"sixteen bytes it"
ROWS = {"B1": "3.21", "B2": "3.34"}


def rows(said: dict[str, str], *, key: bytes | None = None, at: str = "") -> list[Request]:
    return [Request(name, "reading", {"ph": ph}, at, key=key) for name, ph in said.items()]


def together(cellar: Kept, said: dict[str, str], *, key: bytes | None = None) -> SaveResult:
    return cellar.service.recorder.record_sheet(rows(said, key=key))


def test_each_vessel_gets_its_own_reading_in_one_batch(cellar: Kept) -> None:
    answer = together(cellar, ROWS)
    assert answer.saved
    assert [(one.vessel, one.entry.body) for one in answer.outcomes] == [
        ("B1", Reading(ph=3.21)),
        ("B2", Reading(ph=3.34)),
    ]
    assert {one.entry.batch for one in answer.outcomes} == {answer.outcomes[0].entry.seq}
    assert (cellar.ph("B1"), cellar.ph("B2")) == (3.21, 3.34)


def test_four_barrels_of_one_wine_take_four_different_readings(cellar: Kept) -> None:
    cellar.service.recorder.add_vessel({"name": "B4", "capacity": "225", "material": "oak"})
    for name in ("B3", "B4"):
        further = {"name": "Hill", "volume": "200", "finished": "yes", "alcohol": "12"}
        assert cellar.service.recorder.start_wine(Request(name, "wine", further, "2026-10-01")).saved
    said = {"B1": "3.21", "B2": "3.22", "B3": "3.23", "B4": "3.24"}
    assert together(cellar, said).saved
    assert {name: cellar.ph(name) for name in said} == {name: float(ph) for name, ph in said.items()}


def test_one_row_that_is_stopped_keeps_the_whole_sheet_out(cellar: Kept) -> None:
    count = cellar.service.entries()
    answer = together(cellar, {**ROWS, "B3": "3.5"})
    assert answer.stopped
    assert [one.vessel for one in answer.outcomes if one.stops] == ["B3"]
    assert cellar.service.entries() == count
    assert cellar.ph("B1") is None


def test_a_reason_on_one_row_does_not_pass_the_stop_of_another(cellar: Kept) -> None:
    count = cellar.service.entries()
    asked = [
        Request("B1", "reading", {"volume": "400"}, waive="dipped twice"),
        Request("B2", "reading", {"volume": "400"}),
    ]
    answer = cellar.service.recorder.record_sheet(asked)
    assert [(one.vessel, one.passed) for one in answer.outcomes if one.stops] == [("B1", True), ("B2", False)]
    assert answer.stopped
    assert cellar.service.entries() == count


def test_every_row_that_cannot_be_right_is_named_with_its_vessel(cellar: Kept) -> None:
    count = cellar.service.entries()
    with pytest.raises(RowsError) as refused:
        together(cellar, {"B1": "9", "B2": "3.3", "B3": "sour"})
    assert sorted(refused.value.rows) == [0, 2]
    assert str(refused.value).startswith("B1: ")
    assert "B3: " in str(refused.value)
    assert cellar.service.entries() == count


def test_a_vessel_has_one_row_and_an_empty_sheet_records_nothing(cellar: Kept) -> None:
    for asked, told in ((rows(ROWS) + rows(ROWS), "B1 is in the sheet twice"), ([], "Nothing is typed yet")):
        with pytest.raises(CellarError, match=told):
            cellar.service.recorder.record_sheet(asked)


def test_one_undo_takes_back_every_row_and_one_more_brings_them_back(cellar: Kept) -> None:
    before = cellar.service.view.tasks()
    answer = together(cellar, ROWS)
    after = cellar.service.view.tasks()
    void = cellar.service.recorder.undo(answer.outcomes[1].entry.seq)
    assert (cellar.ph("B1"), cellar.ph("B2")) == (None, None)
    assert cellar.service.view.tasks() == before != after
    cellar.service.recorder.undo(void.outcomes[0].entry.seq)
    assert (cellar.ph("B1"), cellar.ph("B2")) == (3.21, 3.34)
    assert cellar.service.view.tasks() == after


def test_a_sheet_sent_twice_under_one_key_is_kept_once(cellar: Kept) -> None:
    first = together(cellar, ROWS, key=KEY)
    count = cellar.service.entries()
    again = together(cellar, ROWS, key=KEY)
    assert [one.already for one in again.outcomes] == [True, True]
    assert [one.entry.seq for one in again.outcomes] == [one.entry.seq for one in first.outcomes]
    assert cellar.service.entries() == count


def test_an_entry_by_another_on_one_of_the_vessels_keeps_the_sheet_out(cellar: Kept) -> None:
    numbers = [number_of(cellar.service, name) for name in ROWS]
    asked = [
        Request(name, "reading", {"ph": "3.3"}, heads=heads_of(cellar.service, [number]))
        for name, number in zip(ROWS, numbers, strict=True)
    ]
    other = cellar.kept("reading", target="B2", ph="3.4")
    with pytest.raises(CellarError) as refused:
        cellar.service.recorder.record_sheet(asked)
    assert (refused.value.code, refused.value.field) == ("moved", str(other.entry.seq))
    assert (cellar.ph("B1"), cellar.ph("B2")) == (None, 3.4)


def test_a_wine_bottled_from_two_vessels_at_once_is_one_lot(cellar: Kept) -> None:
    answer = cellar.record("bottle", target="wine:Hill", waive="cup wine", count="100", size="750", left="1")
    assert answer.saved
    stores = [one.name for one in cellar.service.view.board().lines if one.material == "bottles"]
    assert sorted(stores) == ["Hill bottles"]


@contextmanager
def _cellars() -> Iterator[tuple[Kept, Kept]]:
    with tempfile.TemporaryDirectory() as folder:
        found = Kept(Path(folder) / "one.db"), Kept(Path(folder) / "other.db")
        yield found
        for one in found:
            one.service.close()


values = st.fixed_dictionaries(
    {"ph": st.integers(300, 390).map(lambda one: f"{one / 100:.2f}")},
    optional={
        "free_so2": st.integers(5, 55).map(str),
        "sg": st.sampled_from(["0.992", "0.995", "1.003"]),
        "temperature": st.integers(4, 24).map(str),
        "method": st.sampled_from(["aspiration", "titration", "strip"]),
    },
)


@given(values, values, st.sampled_from(["", "2026-10-15", "yesterday"]), st.booleans())
@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_sheet_says_of_the_wines_what_its_rows_say_one_by_one(
    first: dict[str, str], second: dict[str, str], at: str, joined: bool
) -> None:
    with _cellars() as (one, other):
        for cellar in (one, other):
            if joined:
                cellar.kept("topping", "2026-11-01", target="B1", volume="5", **{"with": "B2"})
        asked = [Request("B1", "reading", first, at), Request("B2", "reading", second, at)]
        assert one.service.recorder.record_sheet(asked).saved
        for request in asked:
            assert other.service.recorder.record(request).saved
        assert one.service.view.board() == other.service.view.board()
        assert one.service.view.wine("B1") == other.service.view.wine("B1")
        assert one.service.check() == []
