"""A ferment that stands still and is not dry asks at once for a decision: warm it, restart it, or finish here.

Still is a fall under 0.002 in 3 days, 4 days or more after the yeast, above the higher of SG 0.996 and the wine's dry
mark; an arrested or fortified one is judged by its finish mark. A finished wine whose sugar test finds 2 g/L or more
asks the same. What was decided has a week to show.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from cellar_tui.ledger.ferment import dry_limit, moves_gravity, steps, unfermentable
from cellar_tui.ledger.history import Evidence, decisions
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.yeast import YEAST, sugar_tests

ID = "ferment_decision"
ABOUT = "ferment_stuck"


def _compared(s: Subject) -> tuple[Evidence, Evidence] | None:
    """Return the last gravity and the latest one long enough before it, with nothing poured in between."""
    if not s.gravities:
        return None
    last = s.gravities[-1]
    moved = max((index for index, _ in moves_gravity(s.c)), default=-1)
    earlier = [gravity for gravity in s.gravities if gravity.index > moved]
    must = s.c.first_sg
    if must is not None and moved < 0 and not any(event.must for event in s.c.log):
        earlier.insert(0, Evidence(must, s.c.started, None, (s.c.filling,), -1))
    found = [one for one in earlier if last.on - one.on >= s.days("stuck_days")]
    return (last, found[-1]) if found else None


def _stuck(s: Subject) -> bool:
    pair = _compared(s) if running.running(s) else None
    if pair is None:
        return False
    last, earlier = pair
    yeasts = running.yeasts(s)
    begun = yeasts[-1][1].on if yeasts else running.start(s).on
    mark = running.mark(s) or dry_limit(s.c, s.house)
    slow = steps(earlier.value) - steps(last.value) < steps(s.house.number("stuck_fall"))
    return slow and not running.at_or_under(last.value, mark) and last.on - begun >= s.days("stuck_after")


def _sugar_left(s: Subject) -> bool:
    """Return whether the finished wine was found to hold sugar that yeast could ferment, and that not put in."""
    end, dry = s.end, s.house.number("dry_sugar")
    if end is None or end.how not in ("dry", "stated") or s.alive_by_cold or s.sweetened:
        return False
    if s.intents.sweet and unfermentable(s.c, s.house) is not None:
        return False
    if s.intents.finish == "fortified" or s.c.begin.g_l(s.c.begin.gained) >= dry:
        return False
    tests = sugar_tests(s, needs.undone(s, YEAST))
    return bool(tests) and tests[-1].value >= dry


def _ask(s: Subject, holds: Callable[[Subject], bool], reason: str, *facts: Fact) -> Iterator[Due]:
    """Yield the decision: at once, and again once the last one has had its time and left the cause standing."""
    since = needs.came_true(s, holds)
    if since is None:
        return
    made = [
        needs.moment(decision) for decision in decisions(s.c, ABOUT, "warm", "restart") if decision[0] > since.index
    ]
    last = needs.last_of(since, *made)
    day = last.on + s.days("stuck_quiet") if made else since.on
    told = (made[-1].fact("decided before"), s.fact("stuck_quiet")) if made else ()
    yield window(ID, day, None, last.entry, reason, (*facts, *told))


def due(s: Subject) -> Iterator[Due]:
    """Yield the decision on a stuck ferment."""
    if s.c.store:
        return
    pair = _compared(s)
    if pair is not None:
        last, earlier = pair
        facts = [
            running.gravity_fact(s),
            Fact("gravity before", earlier.value, "SG", earlier.entries, earlier.on),
            s.fact("stuck_fall"),
            s.fact("stuck_days"),
            s.fact("stuck_after"),
            *running.end_facts(s),
        ]
        fall = max(0, steps(earlier.value) - steps(last.value)) / 10_000
        yield from _ask(s, _stuck, f"it fell by {fall:.4f} in {(last.on - earlier.on).days} d and is not done", *facts)
    tests = sugar_tests(s, -1)
    if tests:
        one = tests[-1]
        sugar = Fact("residual sugar", one.value, "g/L", one.entries, one.on)
        reason = "the ferment is over and sugar that yeast could ferment is left"
        yield from _ask(s, _sugar_left, reason, sugar, s.fact("dry_sugar"))


RULE = Rule(
    ID,
    "decide: warm it, restart it, or finish here",
    (
        "Warm a stuck ferment, restart it with fresh yeast, or leave it. At 2 g/L sugar or more treat a wine "
        "that is left as live."
    ),
    due,
    tuple(
        ResponseForm("decide", ("reason",), (("about", ABOUT), ("choice", choice)))
        for choice in ("warm", "restart", "finish_here")
    ),
    kit="hydrometer",
    cautions=(cautions.STUCK, cautions.WARMING, cautions.AIRLOCK),
)
