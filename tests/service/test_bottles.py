"""Bottles that came from elsewhere, bottles that were opened to look, and what is left of both."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from cellar_tui.ledger.bottle_stock import Stock, stock
from cellar_tui.service import tracing
from cellar_tui.service.open import OpenCellar, create_cellar
from cellar_tui.service.views import CellarError, Request, SaveResult

NOW = datetime(2027, 6, 1, 12, tzinfo=UTC)
STORE = "Far Hill bottles"


class Shelf:
    """Two dozen bottles of a red bought on 1 March, and a tank of wine of the cellar's own."""

    def __init__(self, path: Path) -> None:
        self.service: OpenCellar = create_cellar(path / "cellar.db", lambda: NOW, by="ida", zone="UTC")
        self.service.recorder.add_vessel({"name": "Tank", "capacity": "500", "material": "steel"})
        self.bought = self.buy().outcomes[0].entry.seq

    def buy(self, vessel: str = "", **more: str) -> SaveResult:
        told = {"name": "Far Hill", "style": "dry_red", "count": "24", "size": "750", "alcohol": "13", "lot": "L9"}
        return self.service.recorder.start_wine(Request(vessel, "wine", told | more, "2027-03-01"))

    def do(self, kind: str, at: str, target: str = STORE, **said: str) -> SaveResult:
        return self.service.recorder.record(Request(target, kind, said, at, waive="for the story"))

    def stock(self, store: str = STORE) -> Stock:
        held = self.service.view.wine(store).contents
        assert held is not None
        return stock(held)


@pytest.fixture
def shelf(tmp_path: Path) -> Iterator[Shelf]:
    found = Shelf(tmp_path)
    yield found
    found.service.close()


def test_bought_bottles_need_no_vessel(shelf: Shelf) -> None:
    assert dict(shelf.stock().filled) == {750.0: 24}
    view = shelf.service.view.wine(STORE)
    assert view.plan is not None
    assert (view.plan.volume, view.plan.stage, view.plan.actions) == (18.0, "bottled", ())
    with pytest.raises(CellarError, match="need no vessel"):
        shelf.buy("Tank")


def test_they_are_drunk_counted_and_traced_like_the_cellars_own(shelf: Shelf) -> None:
    assert shelf.do("bottles", "2027-05-02", count="6", how="drunk").saved
    assert shelf.stock().total == 18
    assert shelf.stock().days_left(date(2027, 6, 1)) == 18 * 31 / 6  # six in the 31 days since 2 May
    found = tracing.trace_of("L9", shelf.service.view.source.ledger(None).entries)
    assert [(one.vessel, tracing.title(one.wines[0])) for one in found.places] == [(STORE, "Far Hill")]
    answer = shelf.do("bottles", "2027-05-03", count="19", how="sold")
    assert not answer.saved
    assert "held 18 bottles of 750 mL, not 19" in answer.outcomes[0].stops[0].why


def test_a_count_that_was_mistyped_is_corrected_and_withdrawn(shelf: Shelf) -> None:
    shelf.service.recorder.amend(shelf.bought, {"count": "36"})
    assert shelf.stock().total == 36
    assert shelf.service.view.wine(STORE).plan.volume == 27.0  # type: ignore[union-attr]
    shelf.do("bottles", "2027-05-02", count="6", how="drunk")
    shelf.service.recorder.undo(shelf.bought)
    faults = [one.problem for one in shelf.service.check()]
    assert [one for one in faults if "board" in one] == []
    assert len(faults) == 1  # the six that were drunk came from nowhere


def test_wine_that_is_bottled_later_under_the_same_name_has_a_store_of_its_own(shelf: Shelf) -> None:
    told = {"name": "Far Hill", "style": "dry_red", "volume": "100", "finished": "yes", "alcohol": "13"}
    shelf.service.recorder.start_wine(Request("Tank", "wine", told, "2027-03-01"))
    assert shelf.do("bottle", "2027-03-03", "Tank", count="130", size="750").saved
    assert shelf.stock("Far Hill bottles 2").total == 130
    assert shelf.stock().total == 24


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"count": "2.5"}, "count whole bottles"),
        ({"size": ""}, "needs their count and their size"),
        ({"skins": "yes"}, "is no must"),
        ({"count": "0"}, "must lie between 1"),
    ],
)
def test_bottles_that_cannot_be_are_refused(shelf: Shelf, said: dict[str, str], told: str) -> None:
    with pytest.raises(CellarError, match=told):
        shelf.buy(**said)


def test_a_bottle_opened_to_look_is_taken_from_those_kept_back(shelf: Shelf) -> None:
    shelf.do("bottles", "2027-03-02", count="4", how="kept")
    shelf.do("check", "2027-03-15", test="kept_bottle", result="pass")
    assert (shelf.stock().total, shelf.stock().kept) == (24, 4)  # looked at unopened
    shelf.do("check", "2027-05-30", test="kept_bottle", result="pass", opened="1")
    assert (shelf.stock().total, shelf.stock().kept, shelf.stock().moved["checked"]) == (23, 3, 1)
    assert shelf.service.view.wine(STORE).plan.volume == pytest.approx(23 * 0.75)  # type: ignore[union-attr]


def test_no_more_are_opened_than_there_are(shelf: Shelf) -> None:
    answer = shelf.do("check", "2027-05-30", test="kept_bottle", result="pass", opened="25")
    assert not answer.saved
    with pytest.raises(CellarError, match="to check retained ones only"):
        shelf.do("check", "2027-05-30", test="taste", result="pass", opened="1")
