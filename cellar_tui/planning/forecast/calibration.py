"""How the forecasts of a cellar have done: how many readings fell inside the interval that was forecast for them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from cellar_tui.ledger.cellar import Cellar
from cellar_tui.planning.forecast.track import Score, Track, track
from cellar_tui.planning.plan import Because, Fact
from cellar_tui.planning.subject import Subject

LAST = 20
"""Readings that the score looks back over."""


@dataclass(frozen=True, slots=True)
class Calibration:
    """The last forecasts that a later reading tested, oldest first; nine in ten should have fallen inside."""

    scores: tuple[Score, ...]

    @property
    def inside(self) -> int:
        """How many readings fell inside their 90 % interval."""
        return sum(score.inside for score in self.scores)

    @property
    def tested(self) -> int:
        """How many readings tested a forecast."""
        return len(self.scores)

    @property
    def told(self) -> str:
        """The score in one sentence."""
        if not self.scores:
            return "no reading has tested a forecast of free SO2 yet"
        return f"{self.inside} of your last {self.tested} readings fell inside the interval"


def tracks(cellar: Cellar) -> Iterator[Track]:
    """Yield what is believed of each filling and store, once for a wine of which only a part was bottled."""
    seen = set()
    for number, held in sorted(cellar.holds.items()):
        found = track(Subject(held, cellar.vessels[number], cellar.house))
        if found is not None and held.filling not in seen:
            seen.add(held.filling)
            yield found


def calibration(cellar: Cellar) -> Calibration:
    """Return how the last forecasts of the wines now in the cellar have done."""
    scores = {one.entry: one for found in tracks(cellar) for one in found.scores}
    return Calibration(tuple(sorted(scores.values(), key=lambda score: (score.on, score.entry))[-LAST:]))


def scored(because: Because, score: Calibration) -> Because:
    """Return an explanation of a forecast with the score of those before it."""
    entries = tuple(score.entry for score in score.scores)
    return replace(because, facts=(*because.facts, Fact("forecasts so far", score.told, "", entries)))
