"""Tells a story to a cellar: each entry is recorded in the evening of its own day, unless it was late."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime, time
from pathlib import Path

from cellar_tui.cellar import Service
from cellar_tui.views import Answer, Request

EVENING = time(18, 0)


class Teller:
    """A cellar and the day on which its story stands."""

    def __init__(self, path: Path, begin: date) -> None:
        self.day = begin
        self.service = Service.create(path, self._now, by="ida", zone="Europe/Berlin")

    def _now(self) -> datetime:
        return datetime.combine(self.day, EVENING, UTC)

    def _key(self) -> bytes:
        return hashlib.blake2b(f"demo {self.service.store.next_seq()}".encode(), digest_size=16).digest()

    def _told(self, answer: Answer) -> int:
        if not answer.saved:
            raise ValueError(f"{self.day}: {[stop.why for one in answer.outcomes for stop in one.stops]}")
        return answer.outcomes[0].entry.seq

    def to(self, day: str) -> Teller:
        """Let the story stand on a day."""
        self.day = date.fromisoformat(day)
        return self

    def vessel(self, name: str, capacity: str, material: str, place: str, **more: str) -> int:
        """Enter a vessel."""
        fields = {"name": name, "capacity": capacity, "material": material, "place": place, **more}
        return self._told(self.service.add_vessel(fields, key=self._key()))

    def wine(self, vessel: str, name: str, style: str, volume: str, **more: str) -> int:
        """Start a wine."""
        fields = {"name": name, "style": style, "volume": volume, **more}
        return self._told(self.service.start_wine(Request(vessel, "wine", fields, key=self._key())))

    def record(
        self, target: str, kind: str, /, *, by: str = "ida", at: str = "", waive: str | None = None, **fields: str
    ) -> int:
        """Record an entry; a field named with a trailing underscore is one whose name is a word of the language."""
        said = {name.rstrip("_"): text for name, text in fields.items()}
        return self._told(self.service.record(Request(target, kind, said, at, by, waive, self._key())))

    def amend(self, seq: int, **fields: str) -> int:
        """Correct an entry."""
        return self._told(self.service.amend(seq, fields, key=self._key()))

    def undo(self, seq: int) -> int:
        """Withdraw an entry."""
        return self._told(self.service.undo(seq, key=self._key()))
