"""Which vessels an entry can reach: those ever joined by a transfer, directly or through others."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from storage.check import verify
from storage.store import Store
from tests.storage.cellar import a_filling, an_entry, cellar_with, record

VESSELS = 6


def _join(store: Store, number: int, *vessels: int) -> None:
    record(store, an_entry(number, "blend", vessels=vessels, joins=vessels))


def test_vessels_stand_alone_until_wine_flows_between_them(store: Store) -> None:
    cellar_with(store, vessels=4)
    assert store.components() == {1: 1, 2: 2, 3: 3, 4: 4}
    _join(store, 10, 3, 4)
    assert store.component({3}) == {3, 4}
    _join(store, 11, 2, 4)
    assert store.component({3}) == store.component({2, 3}) == {2, 3, 4}
    assert store.component({1}) == {1}
    assert store.component({1, 4}) == {1, 2, 3, 4}


def test_a_house_rule_joins_nothing(store: Store) -> None:
    cellar_with(store, vessels=2)
    record(store, an_entry(10, "rule", vessels=(0,)))
    record(store, an_entry(11, "note", vessels=(1, 2)))
    assert store.components() == {1: 1, 2: 2}


def test_only_a_full_rebuild_parts_vessels_again(store: Store) -> None:
    cellar_with(store, vessels=4)
    _join(store, 10, 1, 2, 3)
    with store.write() as tx:
        tx.replace_all([a_filling(1)], [], [])
    assert store.components() == {1: 1, 2: 1, 3: 1, 4: 4}
    with store.write() as tx:
        tx.replace_all([a_filling(1)], [], [], components={2: 77, 3: 77})
    assert store.components() == {1: 1, 2: 2, 3: 2, 4: 4}
    assert verify(store) == []


@given(st.lists(st.lists(st.integers(1, VESSELS), min_size=2, max_size=3, unique=True), max_size=8))
@settings(max_examples=20)
def test_components_are_those_of_the_graph_of_transfers(
    tmp_path_factory: pytest.TempPathFactory, transfers: list[list[int]]
) -> None:
    expected = {vessel: {vessel} for vessel in range(1, VESSELS + 1)}
    for transfer in transfers:
        whole = set().union(*(expected[vessel] for vessel in transfer))
        expected |= dict.fromkeys(whole, whole)

    with Store.create(tmp_path_factory.mktemp("cellar") / "cellar.db") as store:
        cellar_with(store, vessels=VESSELS)
        for number, transfer in enumerate(transfers):
            _join(store, 500 + number, *transfer)
        assert {vessel: store.component({vessel}) for vessel in expected} == expected
        assert store.components() == {vessel: min(whole) for vessel, whole in expected.items()}
