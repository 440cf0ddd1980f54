"""Yeast: no refermentation in the bottle."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.ledger.ferment import dry_mark, moves_gravity, standing_still, steps
from cellar_tui.ledger.history import Evidence, checks, readings
from cellar_tui.planning import arrested, sorbate
from cellar_tui.planning.once import once
from cellar_tui.planning.plan import Fact
from cellar_tui.planning.spirit import by_spirit
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.base import Kind, Shown, Undone, blends

WATCH = ("watch_first", "watch_second", "watch_days")
"""House rules of the days on which gravity is read in a watch for refermentation."""


def _undoings(s: Subject) -> Iterator[Undone]:
    for index, event in s.sweetenings:
        yield Undone(index, event, "sweetened")
    yield from blends(s)
    yield from _all_moved(s)


@once
def _all_moved(s: Subject) -> list[Undone]:
    return list(_moved(s))


def _moved(s: Subject) -> Iterator[Undone]:
    """Yield the gravities that moved after the finish; what moves them by itself starts the comparison again."""
    width = steps(s.house.number("steady_sg"))
    marks = sorted([s.end_index, *(i for i, _ in s.sweetenings), *(i for i, _ in moves_gravity(s.c, s.end_index))])
    base: dict[int, Evidence] = {}
    for gravity in s.gravities:
        section = max((mark for mark in marks if mark <= gravity.index), default=None)
        if section is None or s.end is None:
            continue
        if section not in base:
            base[section] = gravity
        elif abs(steps(gravity.value) - steps(base[section].value)) > width:
            yield Undone(gravity.index, s.c.log[gravity.index], "gravity moved after the finish", "steady_sg")
            base[section] = gravity


def _steady(s: Subject, after: int, span: int, highest: float | None) -> list[Evidence]:
    """Return the last run of gravities within 0.001 over `span` days, ending at or under `highest`; else nothing."""
    width = steps(s.house.number("steady_sg"))
    seen = [gravity for gravity in s.gravities if gravity.index > after]
    for last in range(len(seen) - 1, -1, -1):
        if highest is not None and steps(seen[last].value) > steps(highest):
            continue
        run = standing_still(seen[: last + 1], width)
        if run[-1].on - run[0].on >= timedelta(days=span):
            return run
    return []


def _facts(name: str, unit: str, run: list[Evidence]) -> tuple[Fact, ...]:
    return tuple(Fact(name, one.value, unit, one.entries, one.on) for one in run)


def sugar_tests(s: Subject, after: int) -> list[Evidence]:
    """Return the readings of residual sugar later than `after` [g/L] that speak of the finished wine."""
    steady = None if s.end is None else s.end.steady_from
    return [reading for reading in readings(s.c, "residual_sugar", after) if steady is None or reading.on >= steady]


def _steady_at_mark(s: Subject) -> str:
    return f"gravity steady for {s.figure('yeast_proof_days')} days at or under the expected dry gravity"


def _dry(s: Subject, after: int) -> Shown | None:
    sugars = sugar_tests(s, after)
    if sugars:
        last = sugars[-1]
        if last.value >= s.house.number("dry_sugar"):
            return None
        facts = (*_facts("residual sugar", "g/L", [last]), s.fact("dry_sugar"))
        return Shown(facts, f"residual sugar under {s.figure('dry_sugar')} g/L", last.index)
    mark = dry_mark(s.c)
    run = _steady(s, after, s.house.days("yeast_proof_days"), mark)
    if not run:
        return None
    facts = (
        *_facts("gravity", "SG", run),
        Fact("expected dry gravity of this wine", round(mark, 4), "SG"),
        s.fact("yeast_proof_days"),
        s.fact("steady_sg"),
    )
    return Shown(facts, _steady_at_mark(s), run[-1].index)


def watch_start(s: Subject) -> int | None:
    """Return the place in the log from which the refermentation watch counts: the sugar, or the end of the cold."""
    if s.sweetened:
        return s.sweetenings[-1][0]
    found = arrested.cold(s)
    return None if found is None else found.freed


def watch_marks(s: Subject) -> list[int]:
    """Return the days of the watch on which gravity is read, in their order."""
    return sorted(s.house.days(name) for name in WATCH)


def watched(s: Subject, start: int) -> tuple[list[Evidence], bool]:
    """Return the gravities of the watch that fell due so far, and whether the watch is passed."""
    begun = s.c.log[start].on
    marks = watch_marks(s)
    seen = [gravity for gravity in s.gravities if gravity.index > start]
    met: list[Evidence] = []
    for one in seen:
        if len(met) < len(marks) and (one.on - begun).days >= marks[len(met)]:
            met.append(one)
    values = [steps(one.value) for one in seen]
    steady = not values or max(values) - min(values) <= steps(s.house.number("steady_sg"))
    return met, len(met) == len(marks) and steady and warm_days(s, start) >= s.house.days("watch_warm_days")


def warm_days(s: Subject, start: int) -> int:
    """Return the days of the watch on which the wine was seen warm: between two readings the colder one counts."""
    seen = s.c.among(s.c.places.readings("temperature"), start - 1)
    if not seen:
        return 0
    days = _warm_until(s.whole)
    return days[seen[-1]] - days[seen[0]]


@once
def _warm_until(s: Subject) -> dict[int, int]:
    """Return the days on which the wine was seen warm until each reading of its temperature, by its place."""
    warm, days, found, last = s.house.number("watch_warm"), 0, {}, None
    for one in readings(s.c, "temperature"):
        if last is not None and min(last.value, one.value) >= warm:
            days += (one.on - last.on).days
        found[one.index], last = days, one
    return found


def warm_sample(s: Subject, start: int) -> Evidence | None:
    """Return the warm sample that stood still for 14 days since the watch began."""
    begun = s.c.log[start].on
    for evidence, check in checks(s.c, "warm_bottle", after=start):
        if check.result == "pass" and evidence.on - begun >= s.days("warm_sample_days"):
            return evidence
    return None


def _watched(s: Subject, after: int) -> Shown | None:
    start = watch_start(s)
    fit = arrested.effective(s)
    if start is None or fit is None:
        return None
    sample = warm_sample(s, start)
    if sample is not None and sample.index > after:
        facts = (*fit.facts, *_facts("warm sample stood still", "", [sample]))
        return Shown(facts, "sorbate effective, a warm sample stood still", sample.index)
    met, passed = watched(s, start)
    if not passed or met[-1].index <= after:
        return None
    rules = tuple(map(s.fact, ("watch_days", "watch_warm", "watch_warm_days", "steady_sg")))
    return Shown((*fit.facts, *_facts("gravity", "SG", met), *rules), "sorbate effective, watch passed", met[-1].index)


def spirit_holds(s: Subject) -> bool:
    """Return whether its strength keeps the yeast down: 18 % by spirit, or strength and sugar together."""
    by_sum = s.sugar_held.low / 10 + 4.5 * (s.alcohol or 0.0) >= s.house.number("spirit_index")
    return by_spirit(s) is not None or by_sum


def _fortified(s: Subject, after: int) -> Shown | None:
    run = _steady(s, after, s.house.days("fortified_days"), None)
    if not run or not spirit_holds(s):
        return None
    strong, last = by_spirit(s), s.c.log[run[-1].index]
    by, on = (strong.entries, strong.on) if strong else ((last.entry,), last.on)
    facts = (
        Fact("strength", round(s.alcohol or 0.0, 1), "% vol", by, on),
        *_facts("gravity", "SG", run),
        s.fact("steady_sg"),
    )
    return Shown(facts, "spirit keeps the yeast down, gravity steady", run[-1].index)


def _shown(s: Subject, after: int) -> Shown | None:
    if s.end is None:
        return None
    if s.intents.finish == "fortified":
        return _fortified(s, after)
    if s.sweetened or s.alive_by_cold:
        sugars = readings(s.c, "residual_sugar", after)
        if s.sweetened and sugars and sugars[-1].value < s.house.number("dry_sugar"):
            facts = (*_facts("residual sugar", "g/L", [sugars[-1]]), s.fact("dry_sugar"))
            return Shown(facts, f"residual sugar under {s.figure('dry_sugar')} g/L", sugars[-1].index)
        return _watched(s, after)
    return _dry(s, after)


def _begun(s: Subject, after: int) -> Fact | None:
    if s.end is None:
        return None
    steps_taken = [(i, e) for i, e in s.added("sorbate") if i >= after] + [
        (i, e) for i, e in s.sweetenings if i >= after
    ]
    if steps_taken:
        _, event = max(steps_taken, key=lambda one: one[0])
        return Fact("sorbate or sugar in", event.on.isoformat(), "", (event.entry,), event.on)
    if s.end.index >= after and not s.alive_by_cold:
        return Fact("ferment finished", s.end.on.isoformat(), "", s.end.entries, s.end.on)
    return None


def _wants(s: Subject) -> str:
    if s.end is None:
        return "the ferment to finish"
    if s.sweetened or s.alive_by_cold:
        return "effective sorbate and the watch passed, or a sterile filter at bottling"
    if s.intents.finish == "fortified":
        return f"{s.figure('spirit_strength')} % by spirit and gravity steady for {s.figure('fortified_days')} days"
    return f"{_steady_at_mark(s)}, or residual sugar under {s.figure('dry_sugar')} g/L"


def _rests_on(s: Subject) -> Iterator[Fact]:
    names: tuple[str, ...] = ("steady_sg", "yeast_proof_days", "dry_sugar")
    if s.intents.finish == "fortified":
        names = ("steady_sg", "fortified_days", "spirit_strength", "spirit_index")
    elif s.sweetened or s.alive_by_cold:
        names = ("steady_sg", *WATCH, "watch_warm", "watch_warm_days", "warm_sample_days", "dry_sugar")
        yield from sorbate.effect_rules(s)
    yield from map(s.fact, names)


YEAST = Kind(
    "yeast",
    _undoings,
    _shown,
    _begun,
    _wants,
    ("pressure",),
    frozenset({"sg", "residual_sugar", "temperature", "alcohol", "warm_bottle"}),
    _rests_on,
)
