"""A wine walked from must to kept bottles: on a day the whole list is held against what practice asks of it.

Every window in these stories was reckoned by hand, with the line of practice it follows beside it.
"""

from __future__ import annotations

from datetime import timedelta
from typing import Self

from cellar_tui.ledger import kinds as k
from cellar_tui.planning.plan import Plan
from cellar_tui.planning.planner import on_day, plan
from tests.planning.stories import Story, at_once, day

Window = str | tuple[str, str]


class Walk(Story):
    """A story that can be stopped on any day and asked for its list, its verdicts and its stage."""

    def plan(self) -> Plan:
        """Derive the plan."""
        s = self.subject()
        return plan(s.c, s.vessel, s.house)

    def asks(self, on: str, **windows: Window) -> Self:
        """Hold that on that day these actions are late or for today, each in its window, and no others."""
        found = on_day(self.plan(), day(on))
        listed = {one.rule: (one.due.isoformat(), one.latest.isoformat()) for one in (*found.late, *found.today)}
        assert listed == {rule: at_once(one) if isinstance(one, str) else one for rule, one in windows.items()}, on
        return self

    def stands(self, on: str, **states: str) -> Self:
        """Hold how these kinds of stability stand on that day."""
        found = on_day(self.plan(), day(on)).verdicts
        assert {kind: found[kind].state for kind in states} == states, on
        return self

    def at(self, stage: str) -> Self:
        """Hold the stage it is at."""
        assert self.plan().stage == stage
        return self

    def weighs(self, rule: str, amount: float) -> Self:
        """Hold the amount that an action asks for, to one part in a hundred."""
        dose = self.dues(rule)[0].dose
        assert dose is not None, rule
        assert abs(dose.amount - amount) <= 0.01 * amount, f"{rule}: {dose.amount:.4g} {dose.unit}, not {amount:g}"
        return self

    def rechecked(self, read: str, longest: int) -> Self:
        """Hold that free SO2 is read again between 7 d and the vessel's longest interval after a reading."""
        found = self.dues("so2_recheck")[0].earliest
        assert day(read) + timedelta(days=7) <= found <= day(read) + timedelta(days=longest)
        return self

    def so2(self, on: str, free: float) -> Self:
        """Test free SO2 [mg/L]."""
        return self.reading(on, free_so2=free, method="aspiration")

    def looks(self, on: str, *tests: str) -> Self:
        """Find nothing wrong in these looks and tests."""
        for test in tests:
            self.check(on, test)
        return self

    def press(self, on: str, to: int, volume: float) -> Self:
        """Part it from skins or pulp, into another vessel."""
        self.record(on, k.Press(to=to, volume=volume))
        self.vessel = to
        return self

    def bottle(self, on: str, count: int) -> Self:
        """Fill bottles of 750 mL; from here on the story is that of the store."""
        self.record(on, k.Bottle(count=count, size=750, store="Hill bottles"))
        self.vessel = self.last()
        return self.at("bottled")

    def keeps(self, *days: str) -> Self:
        """Hold that kept bottles are looked at on these days, that each look settles it, and that then nothing is."""
        for on in days:
            self.asks(on, kept_bottle_check=on).check(on, "kept_bottle").asks(on)
        return self.asks("2031-01-01")
