"""Clearness is looked at 14 days after each racking or fining, then every 30 days until it passes.

It is looked at once more 7 days before the target date.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.planning import handling, so2
from cellar_tui.planning.age import wished_bottling
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.haze import HAZE

ID = "clarity_check"


def _again(s: Subject, work: needs.Moment) -> Iterator[Due]:
    """Yield the look after work on the wine, and the next ones until one passes."""
    first = work.on + s.days("clarity_after")
    passed = [one for one in s.clarity if one.index > work.index and one.on >= first]
    seen = [needs.seen(one) for one in passed]
    seen += [needs.moment(skip) for skip in s.skips(ID) if skip[0] > work.index and skip[1].on >= first]
    if not seen:
        yield window(
            ID,
            first,
            None,
            work.entry,
            "what was stirred up has settled by then",
            (work.fact("last racking or fining"), s.fact("clarity_after")),
            formula=f"racking or fining + {s.figure('clarity_after')} d",
        )
        return
    last = needs.last_of(*seen)
    yield window(
        ID,
        last.on + s.days("clarity_days"),
        None,
        last.entry,
        "it has not passed yet",
        (last.fact("last look"), s.fact("clarity_days")),
        formula=f"last look + {s.figure('clarity_days')} d",
    )


def _changed(s: Subject) -> Iterator[Due]:
    """Yield the look that the haze verdict wants after acid, a sweetener or bacteria changed a clear wine."""
    place = needs.undone(s, HAZE)
    if s.clear is not None and place > s.clear.index:
        change = needs.moment((place, s.c.log[place]))
        yield window(
            ID,
            change.on + s.days("clarity_after"),
            None,
            change.entry,
            "it was clear before it was changed",
            (change.fact("changed"), s.fact("clarity_after"), *needs.behind(s, "haze")),
            formula=f"change + {s.figure('clarity_after')} d",
        )


def _last(s: Subject) -> Iterator[Due]:
    day = wished_bottling(s) - s.days("clarity_before")
    if any(one.on >= day for one in s.clarity):
        return
    yield window(
        ID,
        day,
        None,
        so2.intent_entries(s)[-1],
        "once more before the bottles",
        (needs.wish(s), s.fact("clarity_before"), *needs.behind(s, "haze")),
        formula=f"target date - {s.figure('clarity_before')} d",
    )


def due(s: Subject) -> Iterator[Due]:
    """Yield the next look at clearness."""
    if s.c.store or s.end is None:
        return
    latest = handling.latest(handling.rackings(s), handling.finings(s, s.end_index), handling.blends(s, s.end_index))
    if latest is None:
        if s.clear is not None:
            yield from _last(s)
        return
    work = needs.moment(latest)
    done = s.clear is not None and s.clear.index > work.index and s.clear.on >= work.on + s.days("clarity_after")
    yield from (*_changed(s), *_last(s)) if done else _again(s, work)


RULE = Rule(
    ID,
    "check clarity",
    "A clear wine casts no haze in a lamp beam: under 1 NTU, reds 2. Haze hides yeast, protein and bacteria.",
    due,
    (
        ResponseForm("check", ("result", "fault"), (("test", "clarity"),)),
        ResponseForm("reading", ("turbidity",)),
    ),
    kit="a lamp",
    cautions=("Look with a lamp behind the glass; never into the sun.",),
)
