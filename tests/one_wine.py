"""A cellar of two vessels: one dry white wine of known history in glass, and one empty vessel."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from cellar_tui.service.open import OpenCellar, create_cellar
from cellar_tui.service.views import Request

DAY = datetime(2026, 11, 20, 12, tzinfo=UTC)
WINE, EMPTY = "Demijohn 1", "Demijohn 2"

STORY: tuple[tuple[str, str, dict[str, str]], ...] = (
    ("2026-09-02", "addition", {"material": "yeast", "amount": "5"}),
    ("2026-09-25", "reading", {"sg": "0.994", "temperature": "20"}),
    ("2026-09-28", "reading", {"sg": "0.994", "ph": "3.20"}),
    ("2026-09-29", "addition", {"material": "potassium_metabisulfite", "amount": "2 g"}),
    ("2026-10-02", "reading", {"free_so2": "26", "method": "titration"}),
    ("2026-10-05", "reading", {"sg": "0.993", "alcohol": "12.4", "residual_sugar": "1.2", "ta": "6.8"}),
    ("2026-10-06", "racking", {"volume": "22"}),
)


def cellar(folder: Path, *, wine: str = "Solaris") -> OpenCellar:
    """Make the cellar on the day its story stands."""
    service = create_cellar(folder / "cellar.db", lambda: DAY, by="ann", zone="Europe/Berlin")
    for name in (WINE, EMPTY):
        service.recorder.add_vessel({"name": name, "capacity": "23L", "material": "glass", "place": "back wall"})
    begun = {"name": wine, "style": "dry_white", "volume": "22.7", "sg": "1.090"}
    assert service.recorder.start_wine(Request(WINE, "wine", begun, "2026-09-01")).saved
    for on, kind, fields in STORY:
        assert service.recorder.record(Request(WINE, kind, fields, on)).saved, (on, kind)
    return service
