"""A cellar in a file for the tests of the service."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from cellar_tui.service.service import Service
from cellar_tui.service.views import Answer, CellarError, Outcome, Request

NOON = datetime(2026, 11, 20, 12, tzinfo=UTC)
KMS = "potassium_metabisulfite"
Act = Callable[[], object]


class Kept:
    """A cellar in a file: three barrels, one red wine in two of them, and a clock that can be moved."""

    def __init__(self, path: Path) -> None:
        self.now = NOON
        self.service = Service.create(path, lambda: self.now, by="ida", zone="UTC")
        for name in ("B1", "B2", "B3"):
            self.service.add_vessel({"name": name, "capacity": "225", "material": "oak"})
        told = {"name": "Hill", "style": "dry_white", "finished": "yes", "alcohol": "12", "total_so2": "60"}
        for name, volume in (("B1", "200"), ("B2", "100")):
            assert self.service.start_wine(Request(name, "wine", told | {"volume": volume}, "2026-10-01")).saved

    def record(self, kind: str, at: str = "", *, target: str = "B1", waive: str | None = None, **said: str) -> Answer:
        """Record an entry on the wine in B1."""
        return self.service.record(Request(target, kind, said, at, waive=waive))

    def kept(self, kind: str, at: str = "", *, target: str = "B1", **said: str) -> Outcome:
        """Record an entry that must be kept, and return what it did."""
        answer = self.record(kind, at, target=target, **said)
        assert answer.saved, answer
        return answer.outcomes[0]

    def ph(self, name: str = "B1", as_of: date | None = None) -> float | None:
        """Return the last pH of a wine."""
        plan = self.service.wine(name, as_of=as_of).plan
        return None if plan is None or "ph" not in plan.readings else plan.readings["ph"].value

    def refusal(self) -> pytest.RaisesExc[CellarError]:
        """Return the context in which something must be refused."""
        return pytest.raises(CellarError)
