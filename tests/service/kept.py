"""A cellar in a file for the tests of the service."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from cellar_tui.service.open import create_cellar
from cellar_tui.service.views import CellarError, Outcome, Request, SaveResult

NOON = datetime(2026, 11, 20, 12, tzinfo=UTC)
KMS = "potassium_metabisulfite"
Act = Callable[[], object]


class Kept:
    """A cellar in a file: three barrels, one red wine in two of them, and a clock that can be moved."""

    def __init__(self, path: Path) -> None:
        self.now = NOON
        self.service = create_cellar(path, lambda: self.now, by="ida", zone="UTC")
        for name in ("B1", "B2", "B3"):
            self.service.recorder.add_vessel({"name": name, "capacity": "225", "material": "oak"})
        told = {"name": "Hill", "style": "dry_white", "finished": "yes", "alcohol": "12", "total_so2": "60"}
        for name, volume in (("B1", "200"), ("B2", "100")):
            assert self.service.recorder.start_wine(
                Request(name, "wine", told | {"volume": volume}, "2026-10-01")
            ).saved

    def record(
        self, kind: str, at: str = "", *, target: str = "B1", waive: str | None = None, **said: str
    ) -> SaveResult:
        """Record an entry on the wine in B1."""
        return self.service.recorder.record(Request(target, kind, said, at, waive=waive))

    def kept(self, kind: str, at: str = "", *, target: str = "B1", **said: str) -> Outcome:
        """Record an entry that must be kept, and return what it did."""
        answer = self.record(kind, at, target=target, **said)
        assert answer.saved, answer
        return answer.outcomes[0]

    def ph(self, name: str = "B1", as_of: date | None = None) -> float | None:
        """Return the last pH of a wine."""
        plan = (self.service.view if as_of is None else self.service.known_on(as_of)).wine(name).plan
        return None if plan is None or "ph" not in plan.readings else plan.readings["ph"].value

    def refusal(self) -> pytest.RaisesExc[CellarError]:
        """Return the context in which something must be refused."""
        return pytest.raises(CellarError)
