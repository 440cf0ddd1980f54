"""A racking or a split into several vessels in one go: mass conserved, undone together, refused whole."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.service.open import OpenCellar, create_cellar
from cellar_tui.service.views import CellarError, Request, SaveResult

NOW = datetime(2027, 6, 1, 12, tzinfo=UTC)


@pytest.fixture
def cellar(tmp_path: Path) -> Iterator[OpenCellar]:
    """500 L of a finished red in a tank, three empty barrels of 225 L."""
    service = create_cellar(tmp_path / "cellar.db", lambda: NOW, by="ida", zone="UTC")
    service.recorder.add_vessel({"name": "Tank", "capacity": "500", "material": "steel"})
    for name in ("A", "B", "C"):
        service.recorder.add_vessel({"name": name, "capacity": "225", "material": "oak"})
    told = {"name": "Hill", "style": "dry_red", "volume": "500", "finished": "yes", "alcohol": "12"}
    assert service.recorder.start_wine(Request("Tank", "wine", told, "2026-11-01")).saved
    yield service
    service.close()


def move(cellar: OpenCellar, kind: str, **said: str) -> SaveResult:
    return cellar.recorder.record(Request("Tank", kind, said, "2026-12-01"))


def volumes(cellar: OpenCellar) -> dict[str, float]:
    return {one.name: round(one.volume, 6) for one in cellar.view.board().lines if one.volume}


def test_a_racking_fills_each_vessel_and_the_rest_is_lees(cellar: OpenCellar) -> None:
    answer = move(cellar, "racking", to="A; B; C", volume="220; 220; 50")
    assert answer.saved
    assert volumes(cellar) == {"A": 220.0, "B": 220.0, "C": 50.0}
    for name in ("A", "B", "C"):
        held = cellar.view.wine(name).contents
        assert held is not None
        assert any(isinstance(one.body, k.Racking) and not one.passive for one in held.log), name


def test_it_is_one_batch_and_undone_together(cellar: OpenCellar) -> None:
    first = move(cellar, "racking", to="A; B", volume="220; 215").outcomes[0].entry
    cellar.recorder.undo(first.seq)
    assert volumes(cellar) == {"Tank": 500.0}
    assert not [one for one in cellar.check() if "board" in one.problem]


def test_a_split_leaves_what_is_not_named(cellar: OpenCellar) -> None:
    assert move(cellar, "split", to="A; B", volume="100 L; 60 L", name="Twin").saved
    assert volumes(cellar) == {"Tank": 340.0, "A": 100.0, "B": 60.0}
    assert cellar.view.wine("B").plan.wine == "Twin"  # type: ignore[union-attr]


def test_a_blend_of_several_wines_is_made_in_one_go(cellar: OpenCellar) -> None:
    move(cellar, "split", to="A; B", volume="100; 60", name="Twin")
    answer = move(cellar, "blend", **{"with": "A; B", "volume": "50; 60", "to": "C", "name": "Cuvee"})
    assert not answer.saved  # 340 L and 110 do not fit into 225
    assert move(cellar, "blend", **{"with": "A; B", "volume": "50; 60", "name": "Cuvee"}).saved
    assert volumes(cellar) == {"Tank": 450.0, "A": 50.0}
    assert cellar.view.wine("Tank").plan.wine == "Cuvee"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ({"to": "A; B", "volume": "220"}, "2 vessels and 1 volumes"),
        ({"to": "A; a", "volume": "100; 100"}, "named twice"),
        ({"to": "A; D", "volume": "100; 100"}, "there is no vessel D"),
    ],
)
def test_what_does_not_fit_is_refused_whole(cellar: OpenCellar, said: dict[str, str], told: str) -> None:
    with pytest.raises(CellarError, match=told):
        move(cellar, "racking", **said)
    assert volumes(cellar) == {"Tank": 500.0}


def test_more_than_there_is_stops_all_of_it(cellar: OpenCellar) -> None:
    answer = move(cellar, "racking", to="A; B; C", volume="220; 220; 100")
    assert not answer.saved
    assert volumes(cellar) == {"Tank": 500.0}
