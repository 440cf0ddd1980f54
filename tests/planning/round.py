"""A patient cellar hand: does each day what is due, records what a well-behaved wine would show, and nothing else."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from cellar_tui.planning.plan import Action, Plan
from cellar_tui.planning.planner import on_day, plan
from cellar_tui.planning.rules import running
from cellar_tui.planning.rules.base import ResponseForm
from cellar_tui.planning.rules.table import RULE_BY_ID
from cellar_tui.planning.subject import Subject
from tests.planning.stories import Story, day

FOUND = 0.9
"""Share of the ledger's total SO2 that a reading finds."""
LOSS = 0.004
"""Free SO2 that the wine loses in a day, and the share of a dose that stays free: what the hand does not know."""
STAYS = {"sulfite": 0.55, "final_so2": 0.6, "so2_recheck": 0.6}
FALL, THINNED = 0.010, 0.022
"""Gravity that a ferment falls in a day, and that spirit takes off."""
PRESSED = 0.9
"""Share of a must on its skins that comes off the press."""


class Hand:
    """Walks a wine from a day on; `free` is its true free SO2 [mg/L], `sg` its true gravity, `warmth` the cellar's.

    A must is given its gravity and, in `dry`, the one that its ferment will come down to.
    """

    def __init__(
        self,
        story: Story,
        today: str,
        *,
        free: float = 0.0,
        sg: float = 0.992,
        dry: float | None = None,
        ph: float = 3.2,
    ) -> None:
        self.dry = sg if dry is None else dry
        self.story, self.today, self.free, self.sg, self.ph = story, day(today), free, sg, ph
        self.malic, self.warmth = 2.0, 20.0
        self.done: list[tuple[date, str]] = []
        self._planned: tuple[Subject, Plan] | None = None

    def plan(self) -> Plan:
        """Return the plan of the wine as it is told so far."""
        s = self.story.subject()
        if self._planned is None or self._planned[0] is not s:
            self._planned = s, plan(s.c, s.vessel, s.house)
        return self._planned[1]

    def walk(self, days: int) -> bool:
        """Do what falls due for so many days; return whether it was bottled."""
        end, tired = self.today + timedelta(days=days), 0
        while self.today < end and tired < 12:
            s = self.story.subject()
            found = on_day(self.plan(), self.today)
            ready = sorted([*found.late, *found.today], key=lambda one: list(RULE_BY_ID).index(one.rule))
            if ready:
                tired += 1
                self._do(ready[0])
                if ready[0].rule == "bottle":
                    return True
                continue
            # Nothing for today: the hand comes back on the day of the next action.
            tired, wait = 0, min((one.show for one in found.ahead), default=end) - self.today
            self.today += wait
            self.free *= (1 - LOSS) ** wait.days
            if running.running(s):
                self.sg = max(self.dry, self.sg - FALL * wait.days)
        return False

    def _do(self, action: Action) -> None:
        self.done.append((self.today, action.rule))
        s = self.story.subject()
        answer = RULE_BY_ID[action.rule].open_answers(s, action.dose)[0]
        if action.rule == "final_so2" and action.dose is not None and s.free is not None and s.free.on == self.today:
            answer = RULE_BY_ID[action.rule].open_answers(s, action.dose)[1]
        if action.rule == "top_up" and answer.kind != "topping":
            # A vessel of the right size is not always there; gas is.
            answer = RULE_BY_ID[action.rule].open_answers(s, action.dose)[-1]
        if action.rule in ("sorbate", "sweeten") and action.dose is None:
            answer = RULE_BY_ID[action.rule].open_answers(s, action.dose)[-1]
        self.answer(action, answer)

    def answer(self, action: Action, answer: ResponseForm) -> None:
        """Record the result of an action in one of its ways."""
        s = self.story.subject()
        fields = dict(answer.fixed) | {name: self._value(name, action, s) for name in answer.fields}
        self.story.then(
            answer.kind, {name: value for name, value in fields.items() if value is not None}, self.today.isoformat()
        )
        if action.rule == "bottle":
            return
        self._left(action)
        if fields.get("material") == "spirit":
            self.sg -= THINNED
        if fields.get("material") in ("potassium_metabisulfite", "so2_solution"):
            self.free += STAYS[action.rule] * self.story.subject().c.log[-1].so2

    def _left(self, action: Action) -> None:
        """Hold that the entry just made took the action off the list, or opened a later cycle of it."""
        for one in self.plan().actions:
            if (one.rule, one.anchor) == (action.rule, action.anchor) and one.due <= action.due:
                raise AssertionError(f"{self.today}: {action.rule} is still asked for after it was done")

    def _value(self, name: str, action: Action, s: Subject) -> Any:
        if name == "volume" and action.rule == "top_up":
            # Full to the brim already, by the little that an addition brought: a drop is poured all the same.
            return max(0.01, (s.vessel.capacity or 0.0) - s.volume)
        if name == "volume" and action.rule == "press":
            return s.volume * PRESSED
        known: dict[str, Any] = {
            "free_so2": round(self.free),
            "method": "aspiration",
            "sg": round(self.sg, 4),
            "ph": self.ph,
            "ta": 6.5,
            "yan": 350,
            "total_so2": round(s.total_so2 * FOUND),
            "malic": self.malic,
            "residual_sugar": 1.0,
            "result": "pass",
            "reason": "as planned",
            "sweetness": 30.0,
            "place": "chiller",
            "wine": s.c.wine,
            "with": None,
            "count": 30,
            "size": 750,
            "amount": action.dose.amount if action.dose else 5.0,
            "text": "looked after",
            "va": 0.4,
            "material": "bentonite",
            "doses": (25.0, 50.0),
            "chosen": 50.0,
            "temperature": 2.0 if action.rule.startswith(("cold_hold", "arrest")) else self.warmth,
        }
        return known.get(name)
