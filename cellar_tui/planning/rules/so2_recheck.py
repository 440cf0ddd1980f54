"""Free SO2 is read on the day on which it may slip under the target, by the last reading and the work since.

From the first sulfite, due or done, to bottling; never in must, a ferment or a running malolactic fermentation. After
the first sulfite, a blend or a sweetening it is read 3 days later: how much stays free is not known. A sulfite that is
asked for comes first; the reading follows once the last one is too old to dose on. Once sorbate or the cold hold waits
for nothing but a fresh reading, it is read the day the last one grows too old. A small lot is read after a racking,
before sorbate and before bottling; otherwise a standing dose may take the reading's place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta

from cellar_tui.planning import handling, so2, sulfur
from cellar_tui.planning.forecast import outlook
from cellar_tui.planning.plan import Due
from cellar_tui.planning.rules import (
    cautions,
    cold_hold_start,
    final_so2,
    needs,
    so2_reading,
    sorbate,
    sulfite,
    sulfiting,
    sweeten,
)
from cellar_tui.planning.rules.base import AGAIN_DAYS, ResponseForm, Rule, window
from cellar_tui.planning.small_lot import small, standing_dose
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.air import work
from cellar_tui.planning.verdicts.table import settled

ID = "so2_recheck"
SERVED: tuple[tuple[str, Callable[[Subject], bool], str], ...] = (
    ("sorbate", sorbate.needs_but_reading, "sorbate_reading_age"),
    ("cold hold", cold_hold_start.needs_but_reading, "hold_reading_age"),
)
"""What waits for a fresh reading: its name, its other needs, the house rule of how old a reading may be."""

ALWAYS_READ = ("racking", "sulfite addition")
"""Work after which no standing dose is offered: a racking is read in a small lot too, and a dose is no day old."""


def watched(s: Subject) -> bool:
    """Return whether free SO2 matters: the first sulfite is due or done, and no bacteria are wanted at work.

    A wine that came finished is watched from the day it came, whatever its bacteria may have done before.
    """
    through = s.ml.state in ("done", "given_up") or not s.intents.encouraged or s.c.given.finished is not None
    return s.end is not None and s.ml.state != "running" and through


def _standing(s: Subject) -> bool:
    """Return whether a small lot may take a standing dose in place of a reading: room for it, and no other dose due."""
    more = s.house.number("standing_dose")
    room = small(s) and s.total_so2 + more <= so2.total_limit(s)
    return room and not needs.low(s) and not so2.stings(s, more)


def _dosed_blind(s: Subject) -> bool:
    """Return whether a dose needs no reading after it: a small lot, bacteria shown held, nothing waiting for one."""
    return _standing(s) and settled(s, "bacteria") and not any(holds(s) for _, holds, _ in SERVED)


def _offered(s: Subject, due: Due) -> Due:
    """Return a recheck with the standing dose that a small lot is offered beside the reading."""
    if not _standing(s):
        return due
    dose = standing_dose(s)
    because = replace(due.because, facts=(*due.because.facts, *dose.because.facts))
    return replace(due, because=because, dose=dose, task="test free SO2, or add the standing dose")


def _reckoned(s: Subject, since: needs.Moment) -> Iterator[Due]:
    """Yield the recheck that the latest event asks for."""
    jobs = [(needs.moment((i, s.c.log[i])), name) for i, name in work(s) if i >= since.index]
    reads = [(needs.seen(read), "reading") for read in sulfur.reads(s) if read.index > since.index]
    skips = [(needs.moment(skip), "skip") for skip in s.skips(ID) if skip[0] > since.index]
    if not [*jobs, *reads, *skips]:
        if s.c.given.finished is not None and s.c.given.first_sulfite is not False:
            yield window(
                ID,
                since.on,
                None,
                since.entry,
                "what SO2 it brought with it is not known by a reading",
                (since.fact("came finished"),),
                task="test free SO2",
            )
        return
    last, name = max([*jobs, *reads, *skips], key=lambda job: job[0].index)
    dose = sulfite.asked(s)
    if name == "skip":
        yield _days_after(s, last, name, "recheck_least", "it was looked at and put off")
    elif dose is not None:
        yield from _after_dose(s, last, name, dose)
    elif name == "reading":
        yield from _read_again(s, last)
    else:
        yield from _worked(s, last, name)


def _days_after(s: Subject, last: needs.Moment, name: str, rule: str, reason: str) -> Due:
    days = s.house.days(rule)
    formula = f"{name} + {days} d"
    found = window(
        ID, last.on + s.days(rule), None, last.entry, reason, (last.fact(name), s.fact(rule)), formula=formula
    )
    return found if name in ALWAYS_READ else _offered(s, found)


def _after_dose(s: Subject, last: needs.Moment, name: str, dose: Due) -> Iterator[Due]:
    """Yield the recheck once a sulfite that is asked for can wait no longer; the first one rests on no reading."""
    if dose.expires is not None:
        yield window(
            ID,
            dose.expires + needs.DAY,
            None,
            last.entry,
            "the sulfite due has waited until its free SO2 test is too old to dose on",
            (last.fact(name), *so2.fit_until(s)[1], *needs.changed(dose.because.facts)),
            formula=f"reading + at most {s.house.days('dose_reading_age')} d, exceeded",
        )


def _read_again(s: Subject, last: needs.Moment) -> Iterator[Due]:
    """Yield the recheck after a reading: on the forecast's day."""
    found = outlook.recheck(s)
    if found is None:
        return
    if not needs.low(s) or needs.doubtful(s):
        yield _offered(s, Due(found.on, found.on, found.because, last.entry))
        return
    # Under the target, and no dose is asked for: reading it every week would change nothing.
    days, most = so2.longest(s)
    why = f"a dose under {s.figure('dose_worth')} mg/L, or past a limit, is not due: it waits for the next visit"
    facts = (*found.because.facts, s.fact("dose_worth"), s.fact("molecular_most"), s.fact("jurisdiction"), most)
    yield window(ID, last.on + timedelta(days=days), None, last.entry, why, facts, formula=f"reading + {days} d")


def _worked(s: Subject, last: needs.Moment, name: str) -> Iterator[Due]:
    """Yield the recheck after work: soon where nobody knows what stays free, else on the forecast's day."""
    if name == "sulfite addition" and _dosed_blind(s):
        days, most = so2.longest(s)
        facts = (last.fact(name), most, s.fact("small_lot"))
        reason, formula = "a small lot is not tested after each dose", f"{name} + {days} d"
        day = last.on + timedelta(days=days)
        yield _offered(s, window(ID, day, None, last.entry, reason, facts, formula=formula))
        return
    found = None if _unsettled(s) else outlook.recheck(s, last.on)
    if found is None:
        yield _days_after(s, last, name, "recheck_after_work", f"a {name} takes or gives free SO2")
        return
    because = replace(found.because, facts=(last.fact(name), *found.because.facts))
    asked = Due(found.on, found.on, because, last.entry)
    yield asked if name in ALWAYS_READ else _offered(s, asked)


def _unsettled(s: Subject) -> bool:
    """Return whether a first sulfite, blend or sweetening since the last reading leaves open how much is free."""
    read = sulfur.reads(s)[-1].index if sulfur.reads(s) else -1
    first = sulfur.sulfites(s)[0][0] if sulfur.sulfites(s) and s.c.given.first_sulfite is not True else -1
    places = [
        first,
        *(index for index, _ in handling.blends(s, after=s.end_index)),
        *(index for index, _ in s.sweetenings),
    ]
    return max(places) > read


def _again(s: Subject) -> Iterator[Due]:
    """Yield the repetition of a reading far from what was expected, the same day and before its dose."""
    if sulfur.reads(s) and needs.doubtful(s):
        last = sulfur.reads(s)[-1]
        yield window(
            ID,
            last.on,
            None,
            last.entry,
            "it lies far from what was expected: test it again today, before a dose rests on it",
            (needs.free_fact(last), s.fact("reading_far")),
            task="test free SO2 again",
        )


def _sweetening(s: Subject) -> Iterator[Due]:
    """Yield the reading that sugar waits for once the sulfite before it is in."""
    waits = sweeten.waits_for_so2(s)
    jobs = [needs.moment((i, s.c.log[i])) for i, _ in sulfur.sulfites(s) if s.free is None or i > s.free.index]
    if waits and jobs:
        fact, rule = jobs[-1].fact("sulfite before the sugar"), s.fact("recheck_after_work")
        yield window(
            ID,
            jobs[-1].on + s.days("recheck_after_work"),
            None,
            jobs[-1].entry,
            "sugar waits for free SO2 on target by a reading",
            (fact, rule),
            formula=f"sulfite addition + {s.house.days('recheck_after_work')} d",
        )


def _serving(s: Subject, since: needs.Moment) -> Iterator[Due]:
    """Yield the reading that sorbate or the cold hold waits for."""
    jobs = [index for index, _ in work(s) if index >= since.index]
    unread = bool(jobs) and (not sulfur.reads(s) or jobs[-1] > sulfur.reads(s)[-1].index)
    # Before the first sulfite there is nothing to read; while a sulfite is asked for, the reading after it serves.
    if not needs.sulfited(s) or (not unread and sulfite.asked(s) is not None):
        return
    for name, holds, age in SERVED:
        ready = needs.came_true(s, holds)
        if ready is None:
            continue
        day, entry = ready.on, ready.entry
        facts = [ready.fact(f"{name} waits for nothing else since"), s.fact(age)]
        if s.free is not None and not needs.low(s):
            day, entry = max(day, s.free.on + s.days(age)), s.free.entry
            facts.append(needs.free_fact(s.free))
        elif sulfur.reads(s):
            day = max(day, sulfur.reads(s)[-1].on + timedelta(days=AGAIN_DAYS))
        if unread:
            event = s.c.log[jobs[-1]]
            day, entry = max(day, event.on + s.days("recheck_after_work")), event.entry
            facts.append(s.fact("recheck_after_work"))
        yield window(
            ID,
            day,
            None,
            entry,
            f"{name} needs a free SO2 reading not older than {s.house.days(age)} d",
            tuple(facts),
            formula=f"reading + {s.house.days(age)} d",
        )


def due(s: Subject) -> Iterator[Due]:
    """Yield the next free SO2 reading."""
    since = None if s.c.store else needs.came_true(s, watched)
    if since is None:
        return
    behind = (
        *needs.behind(s, "crystals", "haze"),
        *needs.changed((*sorbate.rules(s), *needs.arrest_facts(s))),
        *s.changed("small_lot"),
    )
    for one in (*_again(s), *_reckoned(s, since), *_serving(s, since), *_sweetening(s)):
        told = replace(one, because=replace(one.because, facts=(*one.because.facts, *behind)))
        yield from final_so2.unless_open(s, told)


def _offers(answer: ResponseForm) -> Callable[[Subject], bool]:
    return lambda s: answer.open_to(s) and any(one.dose is not None for one in due(s))


RULE = Rule(
    ID,
    "test free SO2",
    "Free SO2 drops unseen. Test it soon after any handling, then before it can fall below target.",
    due,
    (
        *so2_reading.USUAL,
        so2_reading.STRIPS_INSTEAD,
        *(replace(one, open_to=_offers(one)) for one in sulfiting.ANSWERS if one.open_to is not sulfiting.in_powder),
    ),
    kit="SO2 test",
    cautions=(cautions.STRIP,),
    source=so2.SOURCE,
)
