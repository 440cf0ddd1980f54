"""What a person sees of a running screen, as plain text; and a cellar of a few wines to look at."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from pathlib import Path

from textual.pilot import Pilot

from cellar_tui.service.open import OpenCellar, create_cellar
from cellar_tui.service.views import Request
from cellar_tui.tui.app import CellarApp
from cellar_tui.tui.screens.home import HomeScreen

NOW = datetime(2026, 11, 26, 12, tzinfo=UTC)
SETTLED = 0.15
"""Seconds after which the key that must be pressed alone has acted."""

VESSELS = (
    ("Demijohn 1", "23L", "glass", "back wall"),
    ("Barrel 2", "56L", "oak", "north wall"),
    ("Steel 4", "100L", "steel", "back wall"),
    ("Demijohn 9", "10L", "glass", "shelf"),
)
WINES = (
    (
        "Demijohn 1",
        "2026-11-01",
        {"name": "Terrace", "style": "dry_white", "volume": "22.7", "alcohol": "12", "total_so2": "40"},
    ),
    (
        "Barrel 2",
        "2026-05-01",
        {
            "name": "Regent 25",
            "style": "dry_red",
            "volume": "55.5",
            "alcohol": "13",
            "malolactic": "done",
            "total_so2": "60",
        },
    ),
    ("Steel 4", "2026-10-01", {"name": "Damson 26", "style": "sweet_fruit", "volume": "98", "alcohol": "11"}),
)
READINGS = (
    ("Demijohn 1", "2026-11-20", {"ph": "3.5", "free_so2": "8", "method": "aspiration"}),
    ("Barrel 2", "2026-06-01", {"ph": "3.61", "free_so2": "34", "method": "aspiration"}),
    ("Barrel 2", "2026-08-01", {"free_so2": "26", "method": "aspiration"}),
    ("Barrel 2", "2026-10-20", {"free_so2": "21", "method": "aspiration"}),
)


def cellar(folder: Path, *, by: str = "ida") -> OpenCellar:
    """Make a cellar of three finished wines and an empty demijohn."""
    service = create_cellar(folder / "cellar.db", lambda: NOW, by=by, zone="UTC")
    for name, capacity, material, place in VESSELS:
        service.recorder.add_vessel({"name": name, "capacity": capacity, "material": material, "place": place})
    for vessel, on, wine in WINES:
        assert service.recorder.start_wine(Request(vessel, "wine", {**wine, "finished": "yes"}, on)).saved
    for vessel, on, fields in READINGS:
        assert service.recorder.record(Request(vessel, "reading", fields, on)).saved
    return service


@asynccontextmanager
async def opened(service: OpenCellar, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Pilot[int]]:
    """Open the program on a cellar."""
    app = CellarApp(service, title="test")
    async with app.run_test(size=size, notifications=True) as pilot:
        await pilot.pause()
        await pilot.pause()
        yield pilot


def choose(pilot: Pilot[int], vessel: str) -> None:
    """Put the cursor of the cellar on a vessel."""
    home = pilot.app.screen
    assert isinstance(home, HomeScreen)
    home.listing.select([one.name for one in home.listing.rows].index(vessel))


def lines(pilot: Pilot[int]) -> list[str]:
    """Return the screen as the terminal would show it."""
    strips = pilot.app.screen._compositor.render_strips()
    return ["".join(segment.text for segment in strip).rstrip() for strip in strips]


def text(pilot: Pilot[int]) -> str:
    """Return the screen as one text."""
    return "\n".join(lines(pilot))


def flat(pilot: Pilot[int]) -> str:
    """Return the screen as one line, so that a sentence is found however it is broken."""
    return " ".join(text(pilot).split())
