"""Ways to decide when free SO2 is read again; all of them dose by the same arithmetic."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

from cellar_tui.ledger.house import SETTINGS
from cellar_tui.planning.forecast.belief import Belief, Prior
from cellar_tui.planning.forecast.crossing import days_until

AIM = 12.0
"""An addition aims this far above the target [mg/L]."""
STAYS = 0.67
"""Share of a sulfite that every policy takes to stay free; from memory."""
LEAST = 7
"""Nobody reads a wine again within this many days [d]."""


@dataclass(frozen=True)
class Seen:
    """What a policy knows of a wine: its vessel, its target [mg/L], how it is read."""

    material: str
    target: float
    method: str


class Policy(Protocol):
    """Decides for one wine."""

    def read(self, day: int, value: float, warmth: float | None = None) -> tuple[float, int]:
        """Take a reading [mg/L] and, where it is read, the wine's temperature [C].

        Return the sulfite to add [mg/L total, 0 for none] and the day of the next reading.
        """

    def racked(self, day: int, due: int) -> int:
        """Take note of a racking; return the day of the next reading."""


Maker = Callable[[Seen], Policy]


def dose(value: float, target: float, margin: float) -> float:
    """Return the sulfite [mg/L total] that a reading under target and margin asks for."""
    return (target + AIM - value) / STAYS if value < target + margin else 0.0


@dataclass
class Interval:
    """Read every so many days, whatever was read; `retest` days after a racking where that is sooner."""

    seen: Seen
    days: Callable[[Seen, float], float]
    margin: float = 6.0
    retest: int | None = None

    def read(self, day: int, value: float, warmth: float | None = None) -> tuple[float, int]:
        """Add under target and margin, and come back after the interval."""
        added = dose(value, self.seen.target, self.margin)
        start = self.seen.target + AIM if added else value
        return added, day + max(LEAST, round(self.days(self.seen, start)))

    def racked(self, day: int, due: int) -> int:
        """Read again soon, where that is the habit."""
        return due if self.retest is None else min(due, day + self.retest)


def every(days: float, margin: float, retest: int | None = None) -> Maker:
    """Return the habit of one interval for all vessels."""
    return lambda seen: Interval(seen, lambda _, __: days, margin, retest)


def by_vessel(days: float, retest: int = 7) -> Maker:
    """Return the habit of an interval for each kind of vessel; `days` is that of glass."""

    def interval(seen: Seen, _: float) -> float:
        return days * usual("glass").loss / usual(seen.material).loss

    return lambda seen: Interval(seen, interval, 6.0, retest)


def usual(material: str) -> Prior:
    """Return what the program takes vessels of a material to do until it has learned."""
    loss, spread = SETTINGS[f"loss_{material}"].default, SETTINGS["loss_spread"].default
    return Prior(float(loss), float(spread))


@dataclass
class Filtered:
    """Read on the day on which the risk to be under the target reaches `risk`, by the program's own filter."""

    seen: Seen
    risk: float
    margin: float = 6.0
    longest: int = 60
    at: int = 0
    belief: Belief = field(init=False)

    def __post_init__(self) -> None:
        self.belief = Belief.unread(usual(self.seen.material))

    def _now(self, day: int) -> Belief:
        belief, self.at = self.belief.aged(day - self.at), day
        return belief

    def _next(self, day: int) -> int:
        days = days_until(self.belief, self.seen.target, self.risk)
        return day + min(max(days, LEAST), self.longest)

    def read(self, day: int, value: float, warmth: float | None = None) -> tuple[float, int]:
        """Add under target and margin, and come back before the wine may have slipped."""
        self.belief = self._now(day).corrected(value, self.seen.method)
        added = dose(value, self.seen.target, self.margin)
        if added:
            self.belief = self.belief.dosed(added, STAYS)
        return added, self._next(day)

    def racked(self, day: int, due: int) -> int:
        """Weigh what the racking took."""
        self.belief = self._now(day).racked()
        return self._next(day)


def filtered(risk: float, **more: float) -> Maker:
    """Return the program's way at a risk (0 to 1)."""
    return lambda seen: Filtered(seen, risk, **more)  # type: ignore[arg-type]
