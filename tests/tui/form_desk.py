"""A desk for tests of forms: two finished wines, and the program opened on them."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from datetime import UTC, datetime
from pathlib import Path

from textual.pilot import Pilot
from textual.widgets import Static

from cellar_tui.service.open import OpenCellar, create_cellar
from cellar_tui.service.views import Request
from cellar_tui.tui.app import CellarApp
from cellar_tui.tui.widgets.form_panel import FormPanel

NOW = datetime(2026, 11, 26, 12, tzinfo=UTC)
WINE, OTHER = "Demijohn 1", "Demijohn 2"


def cellar(folder: Path) -> OpenCellar:
    """Make a cellar of two dry whites of pH 3.5 in glass, one with 8 mg/L of free SO2."""
    service = create_cellar(folder / "cellar.db", lambda: NOW, by="ida", zone="UTC")
    for name in (WINE, OTHER):
        service.recorder.add_vessel({"name": name, "capacity": "23L", "material": "glass", "place": "back wall"})
        wine = {"name": f"Terrace {name[-1]}", "style": "dry_white", "volume": "22.7", "finished": "yes"}
        service.recorder.start_wine(Request(name, "wine", {**wine, "alcohol": "12"}, "2026-11-01"))
    reading = {"ph": "3.5", "free_so2": "8", "method": "aspiration"}
    service.recorder.record(Request(WINE, "reading", reading, "2026-11-20"))
    return service


@asynccontextmanager
async def opened(service: OpenCellar, size: tuple[int, int] = (80, 24)) -> AsyncIterator[tuple[Pilot[int], FormPanel]]:
    """Open the program with the cursor on the wine; the panel is that of the cellar."""
    app = CellarApp(service, title="test")
    async with app.run_test(size=size, notifications=True) as pilot:
        await pilot.pause()
        await pilot.pause()
        yield pilot, app.screen.query_one(FormPanel)


def shown(pilot: Pilot[int], name: str) -> str:
    """Return the text of a part of the screen."""
    return str(pilot.app.screen.query_one(name, Static).content)


def field(panel: FormPanel, name: str) -> str:
    """Return what stands in a field."""
    return panel.texts()[name]


def count(service: OpenCellar) -> int:
    """Return the number of entries in the ledger."""
    return service.entries()
