"""What the tests of forms share: drafts in a scratch folder, and a cellar of two finished wines."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from cellar_tui.service.open import OpenCellar, create_cellar
from cellar_tui.service.views import Request

NOW = datetime(2026, 11, 26, 12, tzinfo=UTC)


@pytest.fixture
def service(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[OpenCellar]:
    """A dry white of pH 3.5 with 8 mg/L of free SO2, 22.7 L in glass, and an empty demijohn."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    made = create_cellar(tmp_path / "cellar.db", lambda: NOW, by="ida", zone="UTC")
    for name in ("Demijohn 1", "Demijohn 2"):
        made.recorder.add_vessel({"name": name, "capacity": "23L", "material": "glass", "place": "back wall"})
    wine = {"name": "Terrace", "style": "dry_white", "volume": "22.7", "finished": "yes", "alcohol": "12"}
    made.recorder.start_wine(Request("Demijohn 1", "wine", wine, "2026-11-01"))
    made.recorder.record(
        Request("Demijohn 1", "reading", {"ph": "3.5", "free_so2": "8", "method": "aspiration"}, "2026-11-20")
    )
    yield made
    made.close()
