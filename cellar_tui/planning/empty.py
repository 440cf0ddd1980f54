"""What is asked of the empty vessels of a cellar."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.care import Care
from cellar_tui.ledger.cellar import Cellar, VesselInfo
from cellar_tui.ledger.house import House
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.plan import Action, Due
from cellar_tui.planning.rules import empty_wood, wood_soak
from cellar_tui.planning.rules.base import Rule
from cellar_tui.planning.rules.table import RULE_BY_ID
from cellar_tui.planning.subject import span

ASKING = (empty_wood, wood_soak)


@dataclass(frozen=True, slots=True)
class EmptyPlan:
    """What is due in a vessel without wine; its last contents in words."""

    vessel: int
    actions: tuple[Action, ...]
    summary: str
    wine: str = ""


def plans(cellar: Cellar) -> dict[int, EmptyPlan]:
    """Return what is asked of each empty vessel, by number; one of which nothing is asked is left out."""
    found = {}
    for number, care in sorted(cellar.care.items()):
        info = cellar.vessels.get(number)
        if info is None or number in cellar.holds:
            continue
        actions = tuple(sorted(_actions(info, care, cellar.house), key=lambda action: (action.show, action.rule)))
        if actions:
            held = "" if care.emptied is None else f"held {care.wine} until {short_day(care.emptied)}"
            found[number] = EmptyPlan(number, actions, held)
    return found


def _actions(info: VesselInfo, care: Care, house: House) -> Iterator[Action]:
    for module in ASKING:
        for due in module.asked(info, care, house):
            yield _put_off(info, RULE_BY_ID[module.ID], due, care, house)


def _put_off(info: VesselInfo, rule: Rule, due: Due, care: Care, house: House) -> Action:
    """Make an action, on a later day where it was skipped or postponed in this cycle."""
    first, show = due.earliest, due.earliest
    for done in care.log:
        body = done.body
        if not isinstance(body, k.Skip | k.Postpone) or body.action != rule.id or done.entry <= due.anchor:
            continue
        if isinstance(body, k.Skip):
            first = max(first, body.until or done.on + span(house, "skip_holds"))
        elif body.until is not None:
            show = max(show, body.until)
    show = max(first, show)
    return Action(
        rule.id,
        info.number,
        info.number,
        due.anchor,
        first,
        max(first, due.latest),
        show,
        due.because,
        postponed=show > first,
        task=due.task or rule.title,
        kit=rule.kit,
        ways=tuple(range(len(rule.answers))),
    )
