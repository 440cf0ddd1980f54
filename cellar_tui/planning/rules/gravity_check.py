"""Gravity is read daily on skins or in a hot ferment, else every second day, every third from SG 1.000 down.

Close above the finish mark of a ferment to be arrested or fortified it is read twice a day. A must without recorded
yeast is followed all the same: daily on its skins, else from its third day.

A finished wine whose yeast is not yet shown is read once more, 7 days after the first of the steady readings; an
arrested one 3, 7 and 14 days after the arrest; a fortified one at once and 14 days later.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.ledger.ferment import steps
from cellar_tui.ledger.history import Evidence, last_reading
from cellar_tui.planning import arrested
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import AGAIN_DAYS, ResponseForm, Rule, hours_after, window
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.table import settled
from cellar_tui.planning.verdicts.yeast import YEAST, watch_start

ID = "gravity_check"


def _interval(s: Subject) -> tuple[str, tuple[Fact, ...]]:
    """Return the house rule that sets the interval, and what decides it."""
    sg, warmth = (s.gravities[-1] if s.gravities else None), last_reading(s.c, "temperature")
    near = s.fact("gravity_end_sg")
    if sg is not None and steps(sg.value) <= steps(s.house.number("gravity_end_sg")):
        return "gravity_days_end", (Fact("gravity", sg.value, "SG", sg.entries, sg.on), near)
    if s.c.on_skins:
        return "gravity_days_hot", (Fact("on skins or pulp", "yes", "", (s.c.filling,)),)
    if warmth is not None and warmth.value > s.house.number("gravity_hot"):
        fact = Fact("temperature", warmth.value, "C", warmth.entries, warmth.on)
        return "gravity_days_hot", (fact, s.fact("gravity_hot"), near)
    return "gravity_days", (s.fact("gravity_hot"), near)


def _ferment(s: Subject) -> Iterator[Due]:
    begun = needs.came_true(s, running.running)
    if begun is None:
        yield from _must(s)
        return
    looks = [needs.seen(gravity) for gravity in s.gravities] + [needs.moment(skip) for skip in s.skips(ID)]
    last = needs.last_of(begun, *looks)
    if running.near_mark(s):
        minute = s.c.log[last.index].minute if last.index >= 0 else None
        day = hours_after(last.on, minute, s.house.number("arrest_hours"))
        near = (running.gravity_fact(s), running.mark_fact(s), s.fact("arrest_near"), s.fact("arrest_hours"))
        yield window(
            ID,
            day,
            None,
            last.entry,
            "the stopping gravity is near: twice a day",
            near,
            formula="last reading + hours",
            task="test gravity, twice a day now",
        )
        return
    name, facts = _interval(s)
    if running.mark(s) is not None:
        facts = (*facts, s.fact("arrest_near"))
    yield window(
        ID,
        last.on + s.days(name),
        None,
        last.entry,
        "a running ferment is followed by its gravity",
        (last.fact("last gravity, or the yeast"), *facts, s.fact(name)),
        formula="last reading + interval",
    )


def _must(s: Subject) -> Iterator[Due]:
    """Yield the gravity of a must that may ferment by itself: on its skins, or some days old."""
    if not running.must(s):
        return
    begun = running.start(s)
    looks = [needs.seen(gravity) for gravity in s.gravities] + [needs.moment(skip) for skip in s.skips(ID)]
    last = needs.last_of(begun, *looks)
    name = "gravity_days_hot" if s.c.on_skins else "gravity_days"
    first = s.fact("gravity_days_hot" if s.c.on_skins else "gravity_must_days")
    day = max(last.on + s.days(name), begun.on + timedelta(days=float(first.value)))
    facts = (begun.fact("must since"), last.fact("last gravity, or the start"), first, s.fact(name))
    reason = "no yeast is recorded, and a must may ferment by itself"
    yield window(ID, day, None, last.entry, reason, tuple(dict.fromkeys(facts)), formula="last reading + interval")


def _arrested(s: Subject) -> Iterator[Due]:
    found = arrested.cold(s)
    if found is None or watch_start(s) is not None:
        return
    begun = needs.held_since(s)
    if begun is None:
        yield _awake(s, found)
        return
    after = [gravity for gravity in s.gravities if gravity.index > begun.index]
    marks = needs.arrest_marks(s)
    met = needs.marks_met(after, begun.on, marks)
    if len(met) == len(marks):
        return
    mark = marks[len(met)]
    facts = (begun.fact("arrested"), *needs.arrest_facts(s))
    yield window(
        ID,
        needs.next_mark(begun.on, met, marks),
        None,
        met[-1].entry if met else begun.entry,
        f"the cold must hold the yeast: gravity {mark} d after the arrest",
        facts,
        formula=f"arrest + {mark} d",
    )


def _awake(s: Subject, found: arrested.Cold) -> Due:
    """Return the gravity that is read twice a day while nothing holds the yeast."""
    woke = needs.moment((found.woke or 0, s.c.log[found.woke or 0]))
    last = needs.last_of(woke, *(needs.seen(gravity) for gravity in s.gravities if gravity.index > woke.index))
    hours = s.house.number("arrest_hours")
    return window(
        ID,
        hours_after(last.on, s.c.log[last.index].minute, hours),
        None,
        last.entry,
        f"its yeast is awake: {found.why}; twice a day until it is cold again",
        (arrested.woke_fact(s, found), s.fact("arrest_hours"), *needs.arrest_facts(s)),
        formula="last reading + hours",
        task="test gravity, twice a day now",
    )


def _steady_run(s: Subject, after: int) -> list[Evidence]:
    """Return the last gravities later than `after` that lie within the steady width of each other."""
    width, run = steps(s.house.number("steady_sg")), list[Evidence]()
    for one in reversed([gravity for gravity in s.gravities if gravity.index > after]):
        values = [steps(r.value) for r in (*run, one)]
        if max(values) - min(values) > width:
            break
        run.insert(0, one)
    return run


def _finished(s: Subject) -> Iterator[Due]:
    end = s.end
    if end is None or settled(s, "yeast") or s.sweetened:
        return
    fortified = s.intents.finish == "fortified"
    proof_rule = "fortified_days" if fortified else "yeast_proof_days"
    proof = s.house.days(proof_rule)
    last = needs.undone(s, YEAST)
    run = _steady_run(s, max(last, end.index) if fortified else last)
    finish = Fact("ferment finished", end.on.isoformat(), "", end.entries, end.on)
    behind = needs.behind(s, "yeast")
    if not run:
        moved = last >= 0 and any(gravity.index == last for gravity in s.gravities)
        begun = (
            needs.moment((last, s.c.log[last]))
            if last > end.index
            else needs.Moment(end.on, end.entries[-1], end.index)
        )
        day = begun.on + timedelta(days=AGAIN_DAYS if moved else 0)
        reason = "gravity moved after the finish: test it again" if moved else "the first gravity of the finished wine"
        facts = (finish, begun.fact("counted from"), s.fact("steady_sg"), *behind)
        yield window(ID, day, None, begun.entry, reason, facts)
    elif run[-1].on - run[0].on < timedelta(days=proof):
        first = Fact("first of the steady gravities", run[0].value, "SG", run[0].entries, run[0].on)
        yield window(
            ID,
            run[0].on + timedelta(days=proof),
            None,
            run[0].entry,
            f"a gravity {proof} d after the first of the steady ones proves that the yeast has finished",
            (finish, first, s.fact(proof_rule), s.fact("steady_sg"), *behind),
            formula=f"first steady reading + {proof} d",
        )


def due(s: Subject) -> Iterator[Due]:
    """Yield the next gravity reading."""
    if s.c.store:
        return
    yield from _ferment(s)
    yield from _arrested(s) if s.alive_by_cold else _finished(s)


RULE = Rule(
    ID,
    "test gravity",
    (
        "Gravity shows progress; two readings at least 3 days apart that agree show fermentation is over. It "
        "never proves dryness."
    ),
    due,
    (ResponseForm("reading", ("sg", "sample_temperature")), ResponseForm("reading", ("brix", "method"))),
    kit="hydrometer",
    cautions=(cautions.GAS, cautions.HYDROMETER),
)
