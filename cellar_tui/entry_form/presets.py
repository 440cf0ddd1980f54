"""How a form opens for a wine as it is: the readings of its stage, the hold that runs, the wine it was topped with."""

from __future__ import annotations

from collections.abc import Sequence

from cellar_tui.entry_form.entry_form import Beside, Opening
from cellar_tui.ledger import kinds as k
from cellar_tui.planning import coldhold
from cellar_tui.planning.rules.table import RULE_BY_ID
from cellar_tui.planning.stage import stage
from cellar_tui.planning.subject import Subject
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Task

OF_STAGE: dict[str, tuple[str, ...]] = {
    "must": ("sg", "temperature", "yan", "ph", "ta", "sample_temperature"),
    "fermenting": ("sg", "temperature", "yan", "ph", "sample_temperature"),
    "malolactic": ("malic", "ph", "temperature", "free_so2", "method"),
    "ageing": ("free_so2", "ph", "total_so2", "method", "temperature", "va"),
    "sweetened": ("sg", "temperature", "free_so2", "ph", "method", "sample_temperature"),
    "holding_cold": ("temperature", "free_so2", "ph", "method", "conductivity_drop"),
    "bottled": ("free_so2", "ph", "method", "dissolved_oxygen"),
}
"""The readings of each stage, those taken most first; the rest stand behind one key."""

HELPERS = ("method", "second_strip", "sample_temperature")
"""Fields that say how a value was measured: they stand after the values."""
HOLD: tuple[str, ...] = ("temperature",)
MEASURE, END = Beside("reading", {}, HOLD, "measure"), Beside("chill", {"end": "yes"}, HOLD, "end")
BEGIN = Beside("chill", {"start": "yes"}, ("temperature", "place"), "begin")


def readings(s: Subject, due: Sequence[Task]) -> tuple[str, ...]:
    """Return the readings of a wine: those of its stage, always in one order, then what else is due."""
    also: list[str] = []
    for task in due:
        rule = RULE_BY_ID[task.action.rule]
        ways = [rule.answers[place] for place in task.action.ways[:1]]
        if task.status != "ahead" and ways and ways[0].kind == "reading":
            also += [name for name in ways[0].fields if name not in HELPERS]
    return tuple(dict.fromkeys([*OF_STAGE[stage(s, ready=False)], *also]))


def chill(s: Subject) -> tuple[Beside, Beside | None]:
    """Return what is recorded of a cold hold now, and what it turns to: none runs, it runs, it is served."""
    running = coldhold.holding(s)
    if running is None:
        return BEGIN, None
    return (END, MEASURE) if running.credit >= 1 else (MEASURE, END)


def _last(s: Subject, kind: type[k.Chill] | type[k.Topping]) -> k.Chill | k.Topping | None:
    return next((body for _, e in reversed(list(s.events(kind))) if isinstance(body := e.body, kind)), None)


def _topped_with(service: OpenCellar, s: Subject) -> Opening:
    """Return a topping with the wine of the last one, so that the volume alone is asked: a vessel, or from outside."""
    last = _last(s, k.Topping)
    if not isinstance(last, k.Topping):
        return Opening()
    if last.outside:
        known = {"sugar": last.sugar, "alcohol": last.alcohol}
        figures = {name: f"{value:g}" for name, value in known.items() if value is not None}
        return Opening({"with": "outside", "wine": last.wine or "", **figures})
    source = next((line for line in service.view.board().lines if line.number == last.source), None)
    if source is None or source.wine is None or not source.volume:
        return Opening()
    return Opening({"with": source.name})


def opening(service: OpenCellar, vessel: str, kind: str, due: Sequence[Task]) -> tuple[str, Opening]:
    """Return the kind of entry and how its form opens for the wine in a vessel.

    Raises:
        CellarError: there is no such vessel.
    """
    for task in due:
        dose = task.action.dose
        if kind == "addition" and dose is not None and task.status != "ahead":
            return kind, Opening({"material": dose.material, "amount": f"{dose.amount:.2f}".rstrip("0").rstrip(".")})
    if kind not in ("reading", "chill", "topping"):
        return kind, Opening()
    view = service.view.wine(vessel)
    if view.contents is None:
        return kind, Opening()
    s = Subject(view.contents, view.info, view.house)
    if kind == "topping":
        return kind, _topped_with(service, s)
    if kind == "reading":
        return kind, Opening(names=readings(s, due))
    now, other = chill(s)
    last = _last(s, k.Chill)
    known = {"place": last.place} if isinstance(last, k.Chill) and last.place and now is BEGIN else {}
    return now.kind, Opening(known, now.fixed, now.names, beside=(now, other) if other is not None else (now,))
