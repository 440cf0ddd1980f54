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
    """Return the readings of a wine in the order in which they are wanted: what is due, then those of its stage."""
    first: list[str] = []
    for task in due:
        rule = RULE_BY_ID[task.action.rule]
        ways = [rule.answers[place] for place in task.action.ways[:1]]
        if task.status != "ahead" and ways and ways[0].kind == "reading":
            first += [name for name in ways[0].fields if name not in HELPERS]
    return tuple(dict.fromkeys([*first, *OF_STAGE[stage(s, ready=False)]]))


def chill(s: Subject) -> tuple[Beside, Beside | None]:
    """Return what is recorded of a cold hold now, and what it turns to: none runs, it runs, it is served."""
    running = coldhold.holding(s)
    if running is None:
        return BEGIN, None
    return (END, MEASURE) if running.credit >= 1 else (MEASURE, END)


def _last(s: Subject, kind: type[k.Chill] | type[k.Topping]) -> k.Chill | k.Topping | None:
    return next((body for _, e in reversed(list(s.events(kind))) if isinstance(body := e.body, kind)), None)


def _topped_with(service: OpenCellar, s: Subject) -> dict[str, str]:
    """Return the vessel that the wine was topped from last, while it still holds wine of the same name."""
    last = _last(s, k.Topping)
    if not isinstance(last, k.Topping) or last.source is None:
        return {}
    lines = {one.number: one for one in service.view.board().lines}
    source = lines.get(last.source)
    same = source is not None and source.wine == s.c.wine
    return {"with": source.name} if source is not None and same else {}


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
        return kind, Opening(_topped_with(service, s))
    if kind == "reading":
        return kind, Opening(names=readings(s, due))
    now, other = chill(s)
    last = _last(s, k.Chill)
    known = {"place": last.place} if isinstance(last, k.Chill) and last.place and now is BEGIN else {}
    return now.kind, Opening(known, now.fixed, now.names, beside=(now, other) if other is not None else (now,))
