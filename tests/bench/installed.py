"""What is installed, as a policy: a ledger kept for one wine, and the real planner asked after every entry of it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from cellar_tui.enology.so2 import PKA
from cellar_tui.ledger.materials import active
from cellar_tui.planning.forecast.track import track
from cellar_tui.planning.plan import Action
from cellar_tui.planning.planner import actions
from cellar_tui.planning.rules import ph_check, so2_recheck, sulfite, total_so2
from tests.bench.policies import Maker, Seen
from tests.planning.stories import Story

BEGUN = date(2027, 1, 1)
"""Day 0 of a wine."""

VOLUME = 225.0
"""Wine in a vessel of every material [L]; it is kept full."""

MOLECULAR = 0.5
"""Molecular SO2 aimed at [mg/L]; the pH is the one at which it asks for the target of the trial."""

RULES = (ph_check.RULE, sulfite.RULE, so2_recheck.RULE, total_so2.RULE)
"""What is asked about sulfite while a wine is kept."""


@dataclass
class Installed:
    """A hand that does on the day what the program asks: reads, doses as told, reads again when told."""

    seen: Seen
    house: Mapping[str, float]
    repeated: int = -1
    story: Story = field(init=False)

    def __post_init__(self) -> None:
        self.story = Story(
            "dry_red",
            BEGUN.isoformat(),
            vessel=self.seen.material,
            capacity=VOLUME,
            volume=VOLUME,
            finished=True,
            malolactic="done",
            total_so2=50.0,
            alcohol=13.0,
            bottling=(BEGUN + timedelta(days=900)).isoformat(),
        )
        self.story.house(**self.house).intent(BEGUN.isoformat(), crystals_accepted=True)

    @property
    def ph(self) -> float:
        """The pH at which the molecular SO2 aimed at takes the target."""
        return PKA + math.log10(self.seen.target / MOLECULAR - 1)

    def _asked(self, rule: str) -> Action | None:
        return next((one for one in actions(self.story.subject(), RULES) if one.rule == rule), None)

    def _now(self, rule: str, day: int) -> Action | None:
        found, today = self._asked(rule), BEGUN + timedelta(days=day)
        live = found is not None and found.show <= today and (found.expires is None or today <= found.expires)
        return found if live else None

    def _next(self, day: int) -> int:
        found = self._asked(so2_recheck.ID)
        if found is None:
            raise AssertionError(f"day {day}: no reading of free SO2 is asked for any more")
        return max(day + 1, (found.show - BEGUN).days)

    def read(self, day: int, value: float, warmth: float | None = None) -> tuple[float, int]:
        """Write the reading down, then do what is asked the same day."""
        on = (BEGUN + timedelta(days=day)).isoformat()
        self.story.reading(on, free_so2=value, method=self.seen.method, temperature=warmth)
        if day == 0 or self._now(ph_check.ID, day) is not None:
            self.story.reading(on, ph=round(self.ph, 2))
        if self._now(total_so2.ID, day) is not None:
            # A measured total is what keeps the sum from running into the legal limit, as it would in a cellar.
            self.story.reading(on, total_so2=max(value, 60.0))
        known = track(self.story.subject())
        if known is not None and known.far and self.repeated != day:
            # The form says that the reading is far from what was expected, and to repeat it before dosing on it.
            self.repeated = day
            return 0.0, day
        asked = self._now(sulfite.ID, day)
        if asked is None or asked.dose is None:
            return 0.0, self._next(day)
        dose = asked.dose
        strength = None if dose.unit == "g" else 5.76
        raised = active(dose.material, dose.amount, strength).so2_mg / self.story.subject().volume
        self.story.add(on, dose.material, dose.amount, strength)
        return raised, self._next(day)

    def racked(self, day: int, due: int) -> int:
        """Write the racking down."""
        self.story.rack((BEGUN + timedelta(days=day)).isoformat())
        return self._next(day)


def installed(**house: float) -> Maker:
    """Return the program as it is installed, with some of its house rules changed."""
    return lambda seen: Installed(seen, house)
