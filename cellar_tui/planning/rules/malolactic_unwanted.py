"""Bacteria at work where they are not wanted ask for a decision at once: stop them, or let them finish.

Malic acid down by 0.3 g/L, a lactic spot, or gas while the gravity stands.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from cellar_tui.ledger import malolactic as ml
from cellar_tui.ledger.ferment import steps
from cellar_tui.ledger.history import checks, decisions
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject, all_skips

ID = "malolactic_unwanted"
GAS = "gas while the gravity stands"
STOP = "to stop it: SO2 to target, under 10 C, rack; test malic acid again after 14 and 28 d"


def _gravity_moves(s: Subject) -> bool:
    """Return whether the last gravities differ, so that gas may come from yeast."""
    width = steps(s.house.number("steady_sg"))
    pairs = list(itertools.pairwise(s.gravities))[-1:]
    return any(abs(steps(a.value) - steps(b.value)) > width for a, b in pairs)


def _signs(s: Subject, after: int) -> list[tuple[int, tuple[int, ...], str]]:
    """Return place, entries and name of the first sign of each kind later than `after`."""
    fall = ml.falling(s.c, s.house, after)
    found = [(fall[2], fall[1], "malic acid falling, or a lactic spot")] if fall else []
    gas = [one for one, check in checks(s.c, "gas", after=after) if check.result == "fail"]
    if gas and not _gravity_moves(s):
        found.append((gas[0].index, gas[0].entries, GAS))
    return found


def due(s: Subject) -> Iterator[Due]:
    """Yield the decision about an unwanted malolactic fermentation."""
    if s.c.store or s.end is None or s.intents.malolactic != "prevented" or s.ml.state not in ("none", "given_up"):
        return
    answered = [index for index, _ in decisions(s.c, ID, "stop", "let_finish")]
    skipped = max((index for index, _ in all_skips(s, ID)), default=-1)
    since = max(s.end_index, s.ml.index, *answered)
    # A sign that is newer than a skip shows the need again.
    signs = _signs(s, max(since, skipped)) or _signs(s, since)
    for index, entries, name in sorted(signs)[:1]:
        event = s.c.log[index]
        fact = Fact(name, event.on.isoformat(), "", entries, event.on)
        yield window(
            ID,
            event.on,
            None,
            event.entry,
            f"bacteria are at work where they are not wanted; {STOP}",
            (fact, s.fact("steady_sg")) if name == GAS else (fact,),
        )


RULE = Rule(
    ID,
    "unwanted MLF: decide",
    "To stop it: SO2 to target, below 10 C, rack. If you let it finish, it is tracked like a planned MLF.",
    due,
    (
        ResponseForm("decide", ("reason",), (("about", ID), ("choice", "stop"))),
        ResponseForm("decide", ("reason",), (("about", ID), ("choice", "let_finish"))),
    ),
    kit="malic test",
    cautions=(cautions.AIRLOCK, *cautions.SULFITE),
)
