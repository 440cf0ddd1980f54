"""Whites, roses and fruit wines take a heat test once clear, at least 9 weeks before bottling, 15 if to be sweetened.

It comes before the cold hold; fruit wines take a pectin test as well. A failed test is tried again after a treatment.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.history import Evidence, additions, checks
from cellar_tui.planning import handling
from cellar_tui.planning.age import wished_bottling
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import cautions, needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, before, window
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.haze import HAZE, needs_heat, tests
from cellar_tui.planning.verdicts.table import settled

ID = "haze_test"
HEAT = (
    "Heat a sample, cool it, compare: a rise of 2 NTU or less passes; without a meter any haze beside an unheated "
    "glass fails."
)
PECTIN = (
    "Mix 1 part wine with 3 to 4 parts strong spirit, wait an hour: strings or jelly mean pectin. Away from any flame."
)


def _treated_since(s: Subject, index: int) -> bool:
    enzyme = any(True for _ in additions(s.c, lambda name: name == "pectic_enzyme", index))
    return enzyme or bool(handling.finings(s, index))


def made(s: Subject, name: str) -> list[tuple[Evidence, k.Check]]:
    """Return the haze tests of a kind since anything undid the verdict, one that undid it by failing among them."""
    return checks(s.c, name, after=max(needs.undone(s, HAZE) - 1, -1))


def _open(s: Subject, name: str) -> bool:
    """Return whether a test is still to be made: not passed since the last undoing, nor failed without a treatment."""
    found = made(s, name)
    return not found or (found[-1][1].result != "pass" and _treated_since(s, found[-1][0].index))


def _ready(s: Subject) -> bool:
    wanted = s.end is not None and needs_heat(s) and not settled(s, "haze")
    return wanted and s.clear is not None and any(_open(s, name) for name in tests(s))


def _reason(s: Subject, asked: list[str]) -> str:
    if asked == ["pectin_test"]:
        return "pectin clouds a fruit wine; in spirit it shows as threads or jelly"
    passes = f"a rise of {s.house.number('heat_rise'):g} NTU passes"
    return f"protein and pectin cloud a clear wine in the warmth; tested before the cold hold, where {passes}"


def _hazy_fruit(s: Subject) -> bool:
    """Return whether a fruit wine stays hazy that had no pectic enzyme and was never tested for pectin."""
    if s.intents.colour != "fruit" or not s.clarity or s.clarity[-1].value == 1:
        return False
    enzyme = any(True for _ in additions(s.c, lambda name: name == "pectic_enzyme"))
    return not enzyme and not checks(s.c, "pectin_test")


def _pectin_first(s: Subject) -> Iterator[Due]:
    since = needs.came_true(s, _hazy_fruit)
    if since is not None:
        yield window(
            ID,
            since.on,
            None,
            since.entry,
            "a fruit wine that had no pectic enzyme is hazy by pectin more often than by anything else",
            (since.fact("hazy since"),),
            task="pectin test",
        )


def due(s: Subject) -> Iterator[Due]:
    """Yield the haze test."""
    if not s.c.store:
        yield from _pectin_first(s)
    ready = None if s.c.store else needs.came_true(s, _ready)
    if ready is None:
        return
    weeks = "haze_weeks_sweet" if needs.to_be_sweetened(s) else "haze_weeks"
    earliest, latest = before(wished_bottling(s), ready.on, s.days(weeks))
    asked = [name for name in tests(s) if _open(s, name)]
    # Of two tests the first one made opens the cycle of the other.
    part = [needs.seen(one) for one, _ in checks(s.c, *tests(s), after=ready.index)]
    yield window(
        ID,
        earliest,
        latest,
        needs.last_of(ready, *part).entry,
        _reason(s, asked),
        (
            ready.fact("clear and untested since"),
            needs.wish(s),
            s.fact(weeks),
            s.fact("heat_rise"),
            *needs.behind(s, "haze"),
        ),
        formula="target date less the weeks",
        source="heat test: AWRI",
        task=" and ".join(name.replace("_", " ") for name in asked),
    )


def _heat_open(s: Subject) -> bool:
    return s.clear is not None and _open(s, "heat_test")


def _pectin_open(s: Subject) -> bool:
    return "pectin_test" in tests(s) and _open(s, "pectin_test")


RULE = Rule(
    ID,
    "test for haze",
    (
        "Heat a sample, cool it, compare: a rise of 2 NTU or less passes; without a meter any haze beside an "
        "unheated glass fails. Pectin shows in strong spirit."
    ),
    due,
    (
        ResponseForm("check", ("result",), (("test", "heat_test"),), _heat_open, HEAT, (cautions.SCALD,)),
        ResponseForm(
            "check",
            ("result",),
            (("test", "pectin_test"),),
            _pectin_open,
            PECTIN,
            (cautions.FLAME,),
            kit="strong spirit",
        ),
    ),
    kit="heat test",
    source="AWRI",
)
