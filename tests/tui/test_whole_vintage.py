"""The whole vintage on the screens: what is recorded is seen, and what a cellar never enters is not."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Request
from cellar_tui.tui.screens.wine_figures import figure_items
from tests.tui.seen import cellar, flat, opened

NEVER_ENTERED = ("parcel", "harvest", "price", "cost", "bottles left", "tasting", "laboratory", "sulfur stick", "yield")
"""Words of what this cellar has never entered."""


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    found.close()


async def test_a_cellar_that_enters_none_of_it_sees_none_of_it(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        assert [word for word in NEVER_ENTERED if word in flat(pilot).casefold()] == []
        await pilot.press("enter")
        await pilot.pause()
        assert [word for word in NEVER_ENTERED if word in flat(pilot).casefold()] == []


async def test_tasting_notes_stand_beside_the_figures(service: OpenCellar) -> None:
    line = next(one for one in service.view.board().lines if one.wine)
    day = service.view.today.isoformat()
    for score, nose in (("12", "closed"), ("15", "pears")):
        assert service.recorder.record(Request(line.name, "tasting", {"nose": nose, "score": score}, day)).saved
    view = service.view.wine(line.name)
    told = [one.text for one in figure_items(view) if one.head.strip() == "tasting"]
    assert ["15 of 20; nose pears" in told[0], "12 of 20; nose closed" in told[1]] == [True, True]


async def test_an_empty_barrel_is_cleaned_from_the_list(service: OpenCellar) -> None:
    service.recorder.add_vessel({"name": "AAA Cask", "capacity": "225", "material": "oak"})
    async with opened(service) as pilot:
        home = pilot.app.screen
        names = [one.name for one in home.listing.rows]  # type: ignore[attr-defined]
        home.listing.select(names.index("AAA Cask"))  # type: ignore[attr-defined]
        await pilot.pause()
        await pilot.press("c")
        await pilot.pause()
        await pilot.press(*"sulf", "enter")
        await pilot.pause()
    kept = service.view.ledger("AAA Cask")[0].entry.body
    assert kept.kind == "cleaning"
    assert getattr(kept, "how", "") == "sulfur_stick"
