"""Two bottles are kept back, one warm and one cold, and looked at unopened 14, 90 and 365 days after bottling.

Where sugar or live yeast went into the bottle also after 28 and 60 days.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.history import checks
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import cautions, needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.spirit import by_spirit
from cellar_tui.planning.subject import Subject

ID = "kept_bottle_check"
MARKS = ("kept_first", "kept_second", "kept_third")
SWEET_MARKS = ("kept_sweet_first", "kept_sweet_second")


def bottled(s: Subject) -> needs.Moment | None:
    """Return when the wine of a store was bottled, None for a wine that is not in bottles."""
    found = s.events(k.Bottle)[-1:] if s.c.store else []
    return needs.moment(found[0]) if found else None


def _wakes(s: Subject) -> bool:
    """Return whether yeast could wake in the bottle: sugar in it, or yeast that only cold has held."""
    sugar = s.sweetened or (s.sugar or 0.0) >= s.house.number("dry_sugar")
    return (sugar and by_spirit(s) is None) or s.alive_by_cold


def marks(s: Subject) -> list[str]:
    """Return the house rules of the looks that these bottles ask for, in the order of their days."""
    names = (*MARKS, *(SWEET_MARKS if _wakes(s) else ()))
    return sorted(names, key=s.house.days)


def due(s: Subject) -> Iterator[Due]:
    """Yield the next check retained bottles."""
    begun = bottled(s)
    if begun is None:
        return
    looks = [(needs.seen(one), False) for one, _ in checks(s.c, "kept_bottle", after=begun.index)]
    looks += [(needs.moment(skip), True) for skip in s.skips(ID) if skip[0] > begun.index]
    left, last = marks(s), begun
    others = s.changed(*left, "dry_sugar")
    for last, skipped in sorted(looks, key=lambda look: look[0].index):
        # A late look answers every mark before it, a skip the one that was asked.
        passed = [name for name in left if s.days(name) <= last.on - begun.on]
        left = left[max(len(passed), int(skipped)) :]
    for name in left[:1]:
        yield window(
            ID,
            begun.on + s.days(name),
            None,
            last.entry,
            "what wakes in a bottle shows first where it is warm",
            (begun.fact("bottled"), s.fact(name), *others),
            formula=f"bottling + {s.days(name) // timedelta(days=1)} d",
        )


RULE = Rule(
    ID,
    "check retained bottles",
    "Keep back two bottles, one warm and one cold: neither may show gas, film, haze, crystals or a colour change.",
    due,
    (ResponseForm("check", ("result", "fault", "opened"), (("test", "kept_bottle"),)),),
    kit="a lamp",
    guards=_wakes,
    cautions=("Look without opening: one that hisses, lifts its cork or bulges is under pressure.", cautions.LIVE),
)
