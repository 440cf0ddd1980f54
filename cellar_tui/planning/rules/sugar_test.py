"""A wine finished above its dry mark may still hold sugar that yeast could ferment: it is tested at once.

So is one into which wine was poured that nobody knows the sugar of, or from outside the cellar the strength.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.ferment import LEFT_APART, dry_left, dry_mark, fruit, steps, unfermentable
from cellar_tui.ledger.history import readings
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, always, window
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


def _blind(s: Subject) -> list[tuple[int, Event]]:
    """Return the toppings and blends since the last sugar reading that leave sugar or strength unknown."""
    if s.end is None or (s.sugar_held.known and s.alcohol is not None):
        return []
    read = readings(s.c, "residual_sugar")
    after = max(s.end_index, read[-1].index if read else -1)
    return [
        event
        for event in s.events(k.Topping, k.Blend, after=after)
        if event[1].foreign > 0 and _leaves_unknown(event[1])
    ]


def _leaves_unknown(event: Event) -> bool:
    body, after = event.body, event.after
    if not isinstance(body, k.Topping) or not body.outside:
        # Wine of the cellar brings what is known of it; of its strength the wine as a whole is asked elsewhere.
        return event.before.sugar.known and not after.sugar.known
    return (body.sugar is None and not after.sugar.known) or (body.alcohol is None and after.alcohol is None)


def _poured(event: Event) -> Fact:
    """Return the wine that was poured in as an input of an explanation."""
    body, litres = event.body, f"{event.after.volume - event.before.volume:.3g} L"
    if isinstance(body, k.Topping) and body.outside:
        return Fact("topped from outside with", f"{body.wine or 'wine'}, {litres}", "", (event.entry,), event.on)
    return Fact("wine of unknown sugar poured in", litres, "", (event.entry,), event.on)


def _topped(s: Subject) -> Iterator[Due]:
    """Yield the test of a wine into which wine went of which too little is known."""
    found = _blind(s)
    if not found:
        return
    _, first = found[0]
    poured = tuple(_poured(event) for _, event in found)
    lacks = [name for name, known in (("sugar", s.sugar_held.known), ("strength", s.alcohol is not None)) if not known]
    yield window(
        ID,
        first.on,
        None,
        first.entry,
        f"wine poured in left its {' and '.join(lacks)} unknown: sugar in it can wake yeast",
        (*poured, s.fact("dry_sugar")),
        formula="at once",
    )


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
        yield from _topped(s)
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
    (ResponseForm("reading", ("residual_sugar",)),),
    kit="sugar test",
    guards=always,
    cautions=(
        "A copper reagent is caustic and boils: goggles. A urine strip reads glucose only, so send a sample out "
        "where it matters.",
    ),
)
