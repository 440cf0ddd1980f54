"""A trace on the screen: back from a wine, forward from the lot of a material."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Request
from tests.tui.seen import cellar, flat, opened

KMS = "potassium_metabisulfite"


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    found.close()


async def test_a_wine_is_traced_back_from_the_list(service: OpenCellar) -> None:
    line = next(one for one in service.view.board().lines if one.wine)
    async with opened(service) as pilot:
        await pilot.press("T")
        await pilot.pause()
        assert f"Trace · {line.name}" in flat(pilot)
        assert "100.0 %" in flat(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert "Trace ·" not in flat(pilot)


async def test_a_material_is_traced_forward_from_the_shelf(service: OpenCellar) -> None:
    line = next(one for one in service.view.board().lines if one.wine)
    service.recorder.set_material(KMS, {"lot": "KM-7", "amount": "500 g"})
    service.recorder.record(Request(line.name, "addition", {"material": KMS, "amount": "0.5 g"}))
    async with opened(service) as pilot:
        await pilot.press("g")
        await pilot.pause()
        shelf = pilot.app.screen
        shelf.listing.select([one.material for one in shelf.listing.rows].index(KMS))  # type: ignore[attr-defined]
        await pilot.press("T")
        await pilot.pause()
        assert "Lot KM-7 was used in entry" in flat(pilot)
        assert line.name in flat(pilot)


async def test_a_material_without_a_lot_says_what_is_traced(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await pilot.press("g")
        await pilot.pause()
        await pilot.press("T")
        await pilot.pause()
        assert "a material that has a lot number forward" in flat(pilot)
