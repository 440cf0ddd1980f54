"""Tells a story to a cellar: each entry is recorded at six in the evening, with every guard on."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime, time
from pathlib import Path

from cellar_tui.demo.story import StoryLine
from cellar_tui.service.open import create_cellar
from cellar_tui.service.views import Request, SaveResult

EVENING = time(18, 0)
ZONE = "Europe/Berlin"


class StoryError(Exception):
    """A line of the story that the cellar refuses; a story passes no guard but with its written reason."""


class Teller:
    """A new cellar and the day on which its story stands."""

    def __init__(self, path: Path, begin: date, by: str) -> None:
        self.day = begin
        self.tags: dict[str, int] = {}
        self.service = create_cellar(path, self._now, by=by, zone=ZONE)

    def _now(self) -> datetime:
        return datetime.combine(self.day, EVENING, UTC)

    def _key(self) -> bytes:
        """Return a key that is the same whenever the story is told."""
        return hashlib.blake2b(f"demo {self.service.entries() + 1}".encode(), digest_size=16).digest()

    def tell(self, one: StoryLine) -> None:
        """Record a line of the story.

        Raises:
            StoryError: a guard stops it.
        """
        self.day = one.day
        answer = self._told(one)
        if not answer.saved:
            stops = [stop.why for outcome in answer.outcomes for stop in outcome.stops]
            raise StoryError(f"{one.day} {one.target}, {one.kind}: {' '.join(stops)}")
        if one.tag:
            self.tags[one.tag] = answer.outcomes[0].entry.seq

    def _told(self, one: StoryLine) -> SaveResult:
        service, key = self.service, self._key()
        request = Request(one.target, one.kind, one.fields, one.at, one.by, one.waive, key)
        match one.kind:
            case "vessel":
                return service.recorder.add_vessel({"name": one.target, **one.fields}, by=one.by, key=key)
            case "material":
                return service.recorder.set_material(one.target, one.fields, by=one.by, key=key)
            case "wine":
                return service.recorder.start_wine(request)
            case "retire":
                return service.recorder.retire_vessel(one.target, by=one.by, key=key)
            case "amend":
                fields = dict(one.fields)
                vessel = fields.pop("vessel", "")
                return service.recorder.amend(
                    self.tags[one.target], fields, at=one.at, vessel=vessel, by=one.by, key=key
                )
            case "undo":
                return service.recorder.undo(self.tags[one.target], by=one.by, key=key)
            case _:
                return service.recorder.record(request)
