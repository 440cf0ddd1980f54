"""A wine finished above its dry mark may still hold sugar that yeast could ferment: it is tested at once."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger.ferment import LEFT_APART, dry_left, dry_mark, fruit, steps, unfermentable
from cellar_tui.ledger.history import readings
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import needs
from cellar_tui.planning.rules.base import Answer, Rule, always, window
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.yeast import YEAST, sugar_tests

ID = "sugar_test"


def _above(s: Subject) -> bool:
    """Return whether it finished above its expected dry gravity and no sugar test says more."""
    end = s.end
    if end is None or end.how in ("arrested", "fortified") or s.sweetened or not s.gravities:
        return False
    if end.how == "finish_here" and readings(s.c, "residual_sugar"):
        return False
    above = steps(s.gravities[-1].value) > steps(dry_mark(s.c))
    return above and not sugar_tests(s, needs.undone(s, YEAST))


def _left_alone(s: Subject) -> bool:
    """Return whether a test of a fruit wine to be sweetened found so little that yeast may not be able to eat it."""
    seen = readings(s.c, "residual_sugar")
    if not s.intents.sweet or s.end is None or s.sweetened or not fruit(s.c) or not seen:
        return False
    return dry_left(seen[-1].value, s.house) and unfermentable(s.c, s.house) is None


def _again(s: Subject) -> Iterator[Due]:
    """Yield the second test of a fruit wine whose sugar may be sugar alcohols."""
    since, seen = needs.came_true(s, _left_alone), readings(s.c, "residual_sugar")
    if since is None:
        return
    first = next(one for one in seen if one.index >= since.index or one is seen[-1])
    yield window(
        ID,
        first.on + LEFT_APART,
        None,
        first.entry,
        "plum, pear and cherry keep sugar alcohols: found the same, with gravity steady, yeast cannot eat it",
        (Fact("residual sugar", first.value, "g/L", first.entries, first.on), s.fact("dry_sugar"), s.fact("steady_sg")),
        formula=f"first test + {LEFT_APART.days} d",
        task="test residual sugar again, and test gravity",
    )


def due(s: Subject) -> Iterator[Due]:
    """Yield the sugar test."""
    if not s.c.store:
        yield from _again(s)
    since = None if s.c.store else needs.came_true(s, _above)
    if since is None:
        return
    last = s.gravities[-1]
    facts = (
        Fact("gravity", last.value, "SG", last.entries, last.on),
        Fact("expected dry gravity of this wine", round(dry_mark(s.c), 4), "SG"),
        s.fact("dry_sugar"),
    )
    yield window(
        ID,
        since.on,
        None,
        since.entry,
        "it stopped above its expected dry gravity: sugar may be left",
        facts,
        formula="expected dry gravity = 0.996 - 0.001 x (potential alcohol - 10), reds 0.002 higher",
    )


RULE = Rule(
    ID,
    "test residual sugar",
    (
        "Gravity never proves dryness. A wine that finished above its expected dry gravity is dry only if "
        "glucose + fructose is under 2 g/L."
    ),
    due,
    (Answer("reading", ("residual_sugar",)),),
    kit="sugar test",
    guards=always,
    cautions=(
        "A copper reagent is caustic and boils: goggles. A urine strip reads glucose only, so send a sample out "
        "where it matters.",
    ),
)
