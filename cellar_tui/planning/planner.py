"""The plan of a filling, and the plan on a day: the only function that is told what day it is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar import Cellar, VesselInfo
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.house import House
from cellar_tui.planning.age import born, wished_bottling
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.estimate import Estimate, estimate
from cellar_tui.planning.forecast import outlook
from cellar_tui.planning.forecast.track import fading
from cellar_tui.planning.ground import ground
from cellar_tui.planning.path import dated, held_up_by, path
from cellar_tui.planning.plan import STABILITIES, Action, Dated, Due, Fact, Plan, Verdict, status
from cellar_tui.planning.rules.base import Rule
from cellar_tui.planning.rules.table import RULES
from cellar_tui.planning.stage import last_readings, stage, totals
from cellar_tui.planning.subject import Subject, all_skips
from cellar_tui.planning.verdicts.table import verdict


def _merged(dues: list[Due]) -> Due:
    """Join what several rows of practice ask under one name: the earlier wins, the reason names both."""
    first, *others = sorted(dues, key=lambda due: (due.earliest, due.latest))
    if not others:
        return first
    reasons = dict.fromkeys(due.because.reason for due in (first, *others))
    facts = dict.fromkeys(fact for due in (first, *others) for fact in due.because.facts)
    because = replace(first.because, reason="; ".join(reasons), facts=tuple(facts))
    return replace(first, because=because, urgent=any(due.urgent for due in dues))


def _opened(s: Subject, due: Due) -> int:
    """Return the place of the entry that opened a cycle, -1 where it lies before the log."""
    return max((i for i, e in enumerate(s.c.log) if e.entry == due.anchor), default=-1)


def _held(rule: Rule, due: Due, s: Subject) -> Due:
    """Return what a rule asks for, put off where it was skipped in this cycle.

    A skip holds to the day that was given, else for the days of a house rule; what has happened since to show the need
    again ends it at once.
    """
    skips = [skip for skip in all_skips(s, rule.id) if skip[0] > _opened(s, due)]
    if rule.hard or not skips:
        return due
    index, event = skips[-1]
    until = event.body.until if isinstance(event.body, k.Skip) else None
    again = [e.on for i, e in enumerate(s.c.log) if i > index and e.entry in due.because.entries]
    day = max(due.earliest, again[-1] if again else until or event.on + s.days("skip_holds"))
    skipped = (Fact("skipped", event.on.isoformat(), "", (event.entry,), event.on), s.fact("skip_holds"))
    because = replace(due.because, facts=(*due.because.facts, *skipped))
    return replace(due, earliest=day, latest=max(due.latest, day), because=because)


def _since(s: Subject, due: Due, *kinds: type[k.Body]) -> list[k.Body]:
    """Return the entries of these kinds made since the entry that opened this cycle."""
    return [event.body for _, event in s.events(*kinds, after=_opened(s, due))]


def _action(rule: Rule, due: Due, s: Subject) -> Action:
    """Make the action of a rule, put off where somebody did so in this cycle."""
    show, postponed = due.earliest, False
    for body in _since(s, due, k.Postpone):
        if isinstance(body, k.Postpone) and body.action == rule.id and body.until is not None:
            # A postponement can only delay, never hurry.
            show, postponed = max(due.earliest, body.until), body.until > due.earliest
    because = replace(due.because, facts=tuple(dict.fromkeys((*due.because.facts, *ground(s)))))
    ways = rule.ways(s, due.dose)
    return Action(
        rule.id,
        s.c.vessel,
        s.c.filling,
        due.anchor,
        due.earliest,
        due.latest,
        show,
        because,
        due.dose,
        due.expires,
        postponed,
        due.task or rule.title,
        rule.carried(ways),
        ways,
        due.urgent,
    )


def _since_born(due: Due, s: Subject) -> Due:
    """Return what a rule asks for, on no day before the wine existed as such."""
    day = max(due.earliest, born(s))
    return due if day == due.earliest else replace(due, earliest=day, latest=max(due.latest, day))


def actions(s: Subject, rules: Iterable[Rule]) -> tuple[Action, ...]:
    """Return what some rules ask of a filling, in the order in which it is shown."""
    found = []
    for rule in rules:
        dues = [_held(rule, _since_born(due, s), s) for due in rule.due(s)]
        if dues:
            found.append(_action(rule, _merged(dues), s))
    return tuple(sorted(found, key=lambda one: (one.show, one.rule)))


def plan(contents: Contents, vessel: VesselInfo, house: House) -> Plan:
    """Derive the plan of one filling from what has happened to it and the house rules."""
    s = Subject(contents, vessel, house)
    asked = actions(s, RULES)
    ready = any(action.rule == "bottle" for action in asked)
    return Plan(
        vessel=contents.vessel,
        filling=contents.filling,
        wine=contents.wine,
        style=s.intents.style,
        colour=s.intents.colour,
        stage=stage(s, ready),
        volume=s.volume,
        readings=last_readings(s),
        totals=totals(s),
        verdicts={kind: verdict(s, kind) for kind in STABILITIES},
        actions=asked,
        path=path(s),
        forecast=outlook.forecast(s),
        so2=fading(s),
        wished=wished_bottling(s),
    )


Derived = tuple[Contents, VesselInfo, House, Plan]
"""A plan with all that it follows from."""


def plans(cellar: Cellar, known: Mapping[int, Derived] | None = None) -> dict[int, Plan]:
    """Derive the plan of every filling in the cellar, by vessel; one that is known keeps its plan."""
    found = {}
    for number, held in cellar.holds.items():
        given = (held, cellar.vessels[number], cellar.house)
        before = known.get(number) if known else None
        found[number] = before[3] if before is not None and before[:3] == given else plan(*given)
    return found


def derived(cellar: Cellar, found: Mapping[int, Plan]) -> dict[int, Derived]:
    """Return the plans of a cellar with what they follow from."""
    return {one: (held, cellar.vessels[one], cellar.house, found[one]) for one, held in cellar.holds.items()}


@dataclass(frozen=True, slots=True)
class Day:
    """A plan on a day: what is late, what is for today, what lies ahead; verdicts, path and SO2 as they stand."""

    late: tuple[Action, ...]
    today: tuple[Action, ...]
    ahead: tuple[Action, ...]
    verdicts: dict[str, Verdict]
    path: tuple[Dated, ...]
    so2: Estimate | None

    @property
    def actions(self) -> tuple[Action, ...]:
        """Every action that can be done, in the order they are shown: what is urgent before all that is due."""
        due = sorted((*self.late, *self.today), key=lambda one: not one.urgent)
        return (*due, *self.ahead)

    @property
    def held_up_by(self) -> tuple[Dated, ...]:
        """The steps that decide the earliest day of bottling, in their order."""
        return held_up_by(self.path)


def on_day(found: Plan, today: date) -> Day:
    """Sort a plan's actions into late, today and ahead, end what has run out by then, and date the way to bottling."""
    live = [action for action in found.actions if action.expires is None or today <= action.expires]
    groups: dict[str, list[Action]] = {"late": [], "today": [], "ahead": []}
    for one in live:
        groups[status(one.show, one.latest, today)].append(one)
    verdicts = {kind: ended(one, today) for kind, one in found.verdicts.items()}
    return Day(
        tuple(groups["late"]),
        tuple(groups["today"]),
        tuple(groups["ahead"]),
        verdicts,
        dated(found.path, today, {one.rule: one.due for one in live}),
        estimate(found.so2, today),
    )


def ended(one: Verdict, today: date) -> Verdict:
    """Return a verdict as it stands on a day: past its last day a shown one has lapsed."""
    if one.state != "shown" or one.until is None or today <= one.until:
        return one
    reason = f"was proven until {short_day(one.until)}; test free SO2 and look at the vessel again"
    return replace(one, state="lapsed", because=replace(one.because, reason=reason))
