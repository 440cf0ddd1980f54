"""A red is pressed at SG 1.010 to 0.998 or after 10 days on its skins, fruit after 5 to 7 days on its pulp or at 1.030.

White and rose must leaves its skins before it ferments; a ferment that is to be stopped earlier leaves them by then.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger.ferment import steps
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "press"


def _sort(s: Subject) -> tuple[str, str, str]:
    """Return the house rules of its days, earliest and latest, and of its gravity ("" where none counts)."""
    if running.fruit(s):
        return "press_fruit_from", "press_fruit_to", "press_fruit_sg"
    if s.intents.red:
        return "press_red_days", "press_red_days", "press_red_sg"
    return "press_white_days", "press_white_days", ""


def _wanted(s: Subject) -> float | None:
    """Return the gravity at which it is pressed: that of its sort, or the mark of a ferment to be stopped before."""
    name = _sort(s)[2]
    marks = [one for one in (s.house.number(name) if name else None, running.mark(s)) if one is not None]
    return max(marks, default=None)


def _low(s: Subject) -> bool:
    wanted = _wanted(s)
    return (
        s.c.on_skins and wanted is not None and bool(s.gravities) and running.at_or_under(s.gravities[-1].value, wanted)
    )


def _by_gravity(s: Subject) -> Iterator[Due]:
    low = needs.came_true(s, _low)
    if low is None:
        return
    name, facts = _sort(s)[2], [running.gravity_fact(s)]
    mark = running.mark(s)
    if mark is not None and steps(mark) == steps(_wanted(s) or 0):
        reason, facts = "the ferment is at its stopping gravity", [*facts, running.mark_fact(s)]
    elif s.intents.red and not running.fruit(s):
        last = s.fact("press_red_last")
        reason, facts = f"now, and by SG {last.value:.3f}, it has its colour", [*facts, s.fact(name), last]
    else:
        reason, facts = "so low, the pulp gives little more but bitterness", [*facts, s.fact(name)]
    yield window(ID, low.on, None, low.entry, reason, tuple(facts), formula="gravity at or below the pressing gravity")


def due(s: Subject) -> Iterator[Due]:
    """Yield the pressing."""
    if s.c.store or not s.c.on_skins:
        return
    begun, (first, last, _) = running.start(s), _sort(s)
    facts: tuple[Fact, ...] = (begun.fact("on skins or pulp since"), s.fact(first))
    yield window(
        ID,
        begun.on + s.days(first),
        begun.on + s.days(last),
        begun.entry,
        "so long on skins or pulp is enough",
        facts if first == last else (*facts, s.fact(last)),
        formula="on skins since + days",
    )
    yield from _by_gravity(s)


RULE = Rule(
    ID,
    "press, fit airlock",
    "Press reds at SG 1.010 to 0.998 or after 10 days, fruit after 5 to 7 days or at 1.030; then fit an airlock.",
    due,
    (ResponseForm("press", ("to", "volume")),),
    kit="press",
    cautions=(cautions.GAS, cautions.AIRLOCK, cautions.LIFTING),
)
