"""A vintage from the crate to the last bottle, told through the service, and traced both ways."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from cellar_tui.service import tracing
from cellar_tui.service.open import create_cellar
from cellar_tui.service.tracing import Place, Trace
from cellar_tui.service.views import CellarError, Request, SaveResult

NOW = datetime(2027, 9, 1, 12, tzinfo=UTC)
KMS = "potassium_metabisulfite"


class Vintage:
    """Two parcels of one variety, free run and press wine, a blend with a third wine, two bottling days."""

    def __init__(self, path: Path) -> None:
        self.service = create_cellar(path / "vintage.db", lambda: NOW, by="ida", zone="UTC")
        for name, size in (("Vat", "600"), ("Tank", "400"), ("Cask", "120"), ("Steel", "500"), ("Spare", "500")):
            self.service.recorder.add_vessel({"name": name, "capacity": size, "material": "steel"})
        self.start("Slope", "Vat", "500", "2026-09-20", style="dry_red", skins="yes", sg="88 Oe")
        self.do("Vat", "harvest", "2026-09-20", parcel="Upper Field", variety="Blaufraenkisch", kg="420", boxes="28")
        self.do("Vat", "harvest", "2026-09-20", parcel="Lower Field", variety="Blaufraenkisch", kg="260", state="mixed")
        self.service.recorder.set_material(KMS, {"lot": "KM-7"})
        self.do("Vat", "addition", "2026-09-20", material=KMS, amount="20 g")
        self.do("Vat", "press", "2026-09-29", to="Tank", volume="340", fraction="free_run")
        self.do("Vat", "press", "2026-09-30", to="Cask", volume="90", fraction="press")
        told = {"finished": "yes", "alcohol": "13", "style": "dry_red", "total_so2": "40"}
        self.start("Old Vines", "Steel", "100", "2026-10-01", **told)
        self.do("Tank", "addition", "2026-10-20", material="tartaric_acid", amount="200 g", lot="TA-1")
        self.do("Tank", "blend", "2026-11-01", **{"with": "Cask", "volume": "60", "to": "Spare", "name": "Slope"})
        self.do("Spare", "blend", "2026-11-02", **{"with": "Steel", "volume": "100"})
        self.do("Spare", "bottle", "2027-06-01", count="400", size="750", left="190")
        self.do("Spare", "bottle", "2027-06-03", count="250", size="750")
        self.do("Slope bottles", "bottles", "2027-06-05", count="6", how="kept")
        self.do("Slope bottles", "bottles", "2027-07-01", count="30", how="given", whom="the neighbours")

    def start(self, name: str, vessel: str, volume: str, at: str, **told: str) -> None:
        said = {"name": name, "volume": volume, **told}
        assert self.service.recorder.start_wine(Request(vessel, "wine", said, at, waive="for the story")).saved

    def do(self, vessel: str, kind: str, at: str, **said: str) -> SaveResult:
        answer = self.service.recorder.record(Request(vessel, kind, said, at, waive="for the story"))
        assert answer.saved, answer
        return answer

    def trace(self, name: str) -> Trace:
        return tracing.trace_of(name, self.service.view.source.ledger(None).entries)

    def place(self, name: str) -> Place:
        (found,) = self.trace(name).places
        return found


@pytest.fixture
def vintage(tmp_path: Path) -> Iterator[Vintage]:
    found = Vintage(tmp_path)
    yield found
    found.service.close()


def test_the_bottles_come_from_two_parcels_and_a_third_wine(vintage: Vintage) -> None:
    """340 L of free run, 60 of press wine and 100 of the third wine: four fifths and one fifth of 500 L."""
    bottles = vintage.place("Slope bottles")
    assert [(tracing.title(one), round(one.share, 3)) for one in bottles.wines] == [("Slope", 0.8), ("Old Vines", 0.2)]
    assert [tracing.title(one) for one in bottles.intakes] == [
        "Upper Field, Blaufraenkisch",
        "Lower Field, Blaufraenkisch",
    ]
    assert [tracing.title(one) for one in bottles.additions] == [
        "potassium metabisulfite (lot KM-7)",
        "tartaric acid (lot TA-1)",
    ]
    assert sum(one.litres for one in bottles.wines) == pytest.approx(bottles.volume)


def test_two_days_of_bottling_are_one_lot(vintage: Vintage) -> None:
    stock = vintage.place("Slope bottles").stock
    assert stock is not None
    assert dict(stock.filled) == {750.0: 650}
    assert len(stock.lots) == 1
    assert vintage.trace(stock.lots[0]).places == vintage.trace("Slope bottles").places
    assert stock.lots[0].startswith("L27152-")  # the 1st of June is day 152


def test_given_bottles_are_gone_and_kept_ones_still_there(vintage: Vintage) -> None:
    bottles = vintage.place("Slope bottles")
    assert bottles.stock is not None
    assert (bottles.stock.total, bottles.stock.kept) == (620, 6)
    assert bottles.volume == pytest.approx(620 * 0.75, rel=0.01)
    # 30 in the 63 days from the 1st of July to the 1st of September.
    assert bottles.stock.days_left(date(2027, 9, 1)) == pytest.approx(620 * 63 / 30)


def test_press_wine_never_saw_the_acid_of_the_free_run(vintage: Vintage) -> None:
    assert [tracing.title(one) for one in vintage.place("Cask").additions] == ["potassium metabisulfite (lot KM-7)"]


def test_a_lot_of_sulfite_is_followed_to_every_vessel_and_bottle(vintage: Vintage) -> None:
    recalled = vintage.trace("km-7")
    assert recalled.found == "material"
    assert {(one.vessel, one.wine) for one in recalled.places} == {
        ("Vat", "Slope"),
        ("Tank", "Slope"),
        ("Cask", "Slope"),
        ("Spare", "Slope"),
        ("Slope bottles", "Slope"),
    }
    acid = {one.vessel for one in vintage.trace("TA-1").places}
    assert acid == {"Tank", "Spare", "Slope bottles"}


def test_the_yield_is_what_was_pressed_off_what_was_weighed(vintage: Vintage) -> None:
    (made,) = vintage.place("Slope bottles").yields
    assert (made.vessel, made.kg, made.litres) == ("Vat", 680.0, 430.0)  # 420 + 260 kg; 340 L free run + 90 L pressed
    assert made.per_100_kg == pytest.approx(63.2, abs=0.05)


def test_a_crop_that_was_never_weighed_has_no_yield(vintage: Vintage) -> None:
    vintage.start("Young", "Steel", "50", "2027-06-10", style="dry_white", sg="85 Oe")
    vintage.do("Steel", "harvest", "2027-06-10", parcel="Terrace", variety="Riesling")
    assert vintage.place("Steel").yields == ()


def test_what_is_undone_is_traced_no_more(vintage: Vintage) -> None:
    entry = next(one.entry.seq for one in vintage.service.view.ledger() if one.entry.body.kind == "bottles")
    vintage.service.recorder.undo(entry)
    stock = vintage.place("Slope bottles").stock
    assert stock is not None
    assert stock.total == 650


def test_more_bottles_than_there_are_stop_the_entry(vintage: Vintage) -> None:
    asked = Request("Slope bottles", "bottles", {"count": "621", "how": "sold"}, "2027-08-01", waive="want to")
    answer = vintage.service.recorder.record(asked)
    assert not answer.saved
    assert "held 620 bottles of 750 mL, not 621" in answer.outcomes[0].stops[0].why


def test_a_vat_holds_no_bottles(vintage: Vintage) -> None:
    answer = vintage.service.recorder.record(Request("Cask", "bottles", {"count": "1", "how": "drunk"}, "2027-08-01"))
    assert "holds no bottles" in answer.outcomes[0].stops[0].why


def test_free_run_needs_a_vessel_of_its_own(vintage: Vintage) -> None:
    with pytest.raises(CellarError, match="say to which; the rest stays on the skins"):
        vintage.service.recorder.record(Request("Cask", "press", {"volume": "5", "fraction": "free_run"}, "2027-08-01"))


def test_nothing_is_traced_by_a_name_that_is_not_there(vintage: Vintage) -> None:
    with pytest.raises(CellarError, match="nothing is called Moonlight"):
        vintage.trace("Moonlight")
    with pytest.raises(CellarError, match="holds nothing now"):
        vintage.trace("Vat")


def test_the_board_is_a_full_rebuild(vintage: Vintage) -> None:
    assert not vintage.service.checked().damaged
    assert not [one for one in vintage.service.check() if "board" in one.problem]


def test_a_lot_that_is_sold_out_is_still_traced(vintage: Vintage) -> None:
    stock = vintage.place("Slope bottles").stock
    assert stock is not None
    vintage.do("Slope bottles", "bottles", "2027-08-01", count="620", how="sold")
    gone = vintage.place(stock.lots[0])
    assert (gone.vessel, gone.wine, gone.volume) == ("Slope bottles", "Slope", 0.0)
    assert len(gone.intakes) == 2
    assert "Slope bottles" in {one.vessel for one in vintage.trace("KM-7").places}
