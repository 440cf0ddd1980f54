"""On skins or pulp, until pressed, the cap is pushed under: one action a day, 2 to 3 times in it."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger.history import checks
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "cap"


def due(s: Subject) -> Iterator[Due]:
    """Yield the day's work on the cap."""
    if s.c.store or not s.c.on_skins:
        return
    looks = [needs.seen(one) for one, _ in checks(s.c, ID)] + [needs.moment(skip) for skip in s.skips(ID)]
    last = needs.last_of(running.start(s), *looks)
    yield window(
        ID,
        last.on + s.days("cap_days"),
        None,
        last.entry,
        "skins that float dry out, warm up and turn to vinegar: push them under 2 to 3 times a day",
        (last.fact("cap last wet, or on skins since"), s.fact("cap_days")),
        formula=f"last time + {s.figure('cap_days')} d",
    )


RULE = Rule(
    ID,
    "punch down, 2 to 3 times",
    (
        "Punch down or pump over 2 to 3 times a day until pressing: it extracts colour and keeps the cap from "
        "drying out and turning to vinegar."
    ),
    due,
    (ResponseForm("check", ("result", "punch_downs", "pump_overs"), (("test", ID),)),),
    kit="punch-down tool",
    cautions=(cautions.GAS, "Stand firm and work from outside the vat: never lean over a fermenting one."),
)
