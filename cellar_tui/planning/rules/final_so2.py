"""The final SO2, 4 to 7 days before bottling: a reading, sulfite to the target and what filling costs, a reading after.

It waits until every other kind of stability is shown, waived or left to the sterile filter; the reading that closes it
comes 2 to 3 days after the sulfite and is not older than 5 days at bottling.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

from cellar_tui.ledger.history import Evidence
from cellar_tui.planning import so2, sulfur
from cellar_tui.planning.age import wished_bottling
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs, so2_reading, sulfiting
from cellar_tui.planning.rules.base import Rule, window
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.air import work
from cellar_tui.planning.verdicts.table import settled

ID = "final_so2"


def ready_but_air(s: Subject) -> bool:
    """Return whether the other four kinds are shown, waived, or (yeast, bacteria) left to the sterile filter.

    A wine that is still to be sweetened is not ready, however stable it is without the sugar.
    """
    if needs.to_be_sweetened(s):
        return False
    living = s.intents.sterile_filtration or (settled(s, "yeast") and settled(s, "bacteria"))
    return s.end is not None and living and settled(s, "crystals") and settled(s, "haze")


def goal(s: Subject) -> float:
    """Return the free SO2 aimed at for the filling [mg/L]."""
    return so2.target(s).free + s.house.number("final_extra")


def opened(s: Subject) -> tuple[date, needs.Moment] | None:
    """Return the day from which the final SO2 is asked for, and what it waited for last."""
    near = wished_bottling(s) - min(s.days("final_to"), s.days("final_window"))
    before = sum(event.on <= near for event in s.c.log)
    ready = needs.came_true(s, ready_but_air, before)
    if ready is None:
        return None
    if ready.index < before:
        # Settled when the day came: the wish for that day opens the cycle, whatever was done to the wine before.
        return near, needs.Moment(near, so2.intent_entries(s)[-1], ready.index)
    return ready.on, ready


def opens(s: Subject) -> tuple[Fact, ...]:
    """Return the house rules that decide from when the final SO2 is asked for, of the verdicts it waits for too."""
    days = (s.fact("final_to"), s.fact("final_window"))
    return (*days, *needs.behind(s, "yeast", "bacteria", "crystals", "haze"))


def closed(s: Subject) -> Evidence | None:
    """Return the reading that closes the final SO2, None while it is open."""
    begun = opened(s)
    last = _reading(s, begun[0]) if begun else None
    if begun is None or last is None or last.value < so2.target(s).free:
        return None
    dosed = any(event.on >= begun[0] and index > begun[1].index for index, event in sulfur.sulfites(s))
    return last if dosed or last.value >= goal(s) or so2.dose(s, goal(s)) is None else None


def unless_open(s: Subject, due: Due) -> Iterator[Due]:
    """Yield what another rule asks of free SO2, until the final SO2 is asked for: from then on that alone."""
    begun = opened(s)
    if begun is None:
        yield due
    elif due.earliest < begun[0]:
        eve = begun[0] - needs.DAY
        because = replace(due.because, facts=(*due.because.facts, *needs.changed(opens(s))))
        last = eve if due.expires is None else min(due.expires, eve)
        yield replace(due, latest=min(due.latest, eve), because=because, expires=last)


def rules(s: Subject) -> tuple[Fact, ...]:
    """Return the house rules that decide whether the final SO2 is closed, those of the verdicts it waits for too."""
    return (*opens(s), s.fact("final_extra"), s.fact("final_reading_from"), *so2.target_rules(s))


def _bound(s: Subject) -> tuple[int, date]:
    """Return the place of the last work on the wine, and the day from which a reading shows what it left free."""
    for index, name in work(s)[-1:]:
        settling = s.days("final_reading_from") if name == "sulfite addition" else timedelta(0)
        return index, s.c.log[index].on + settling
    return -1, s.c.started


def _reading(s: Subject, day: date) -> Evidence | None:
    """Return the last free SO2 reading if it is of that day or later and far enough from the last work on the wine."""
    index, shows = _bound(s)
    if s.free is None or s.free.index < index or s.free.on < max(day, shows):
        return None
    return s.free


def _after_work(s: Subject, day: date, since: int) -> Iterator[Due]:
    """Yield the reading after the last sulfite, racking or filtration of these days."""
    for index, name in work(s)[-1:]:
        event = s.c.log[index]
        if index > since and event.on >= day:
            yield window(
                ID,
                event.on + s.days("final_reading_from"),
                event.on + s.days("final_reading_to"),
                event.entry,
                f"how much stays free after the {name} shows by then",
                (needs.moment((index, event)).fact(name), s.fact("final_reading_from"), s.fact("final_reading_to")),
                formula=f"{name} + {s.figure('final_reading_from')} to {s.figure('final_reading_to')} d",
                task="test free SO2 for the filling",
            )


def _grown_old(s: Subject, shut: Evidence) -> Due:
    """Return the reading that is asked for again where the closing one is too old by then."""
    return window(
        ID,
        shut.on + s.days("final_reading_age") + timedelta(days=1),
        None,
        shut.entry,
        "unless it is bottled before, the reading is too old then",
        (needs.free_fact(shut), s.fact("final_reading_age"), *rules(s)),
        formula=f"reading + {s.figure('final_reading_age')} d, exceeded",
        task="test free SO2 for the filling",
    )


def due(s: Subject) -> Iterator[Due]:
    """Yield the next step of the final SO2."""
    begun = None if s.c.store else opened(s)
    if begun is None:
        return
    day, ready = begun
    end, shut = wished_bottling(s) - s.days("final_from"), closed(s)
    facts: tuple[Fact, ...] = (
        ready.fact("everything else settled"),
        needs.wish(s),
        s.fact("final_from"),
        *opens(s),
    )
    if shut is not None:
        yield _grown_old(s, shut)
        return
    waiting = list(_after_work(s, day, ready.index))
    last = _reading(s, day)
    if last is None and waiting:
        yield from waiting
        return
    dose = so2.dose(s, goal(s), (s.fact("final_extra"),))
    facts += (s.fact("final_extra"), *(dose.because.facts if dose else ()))
    if last is None:
        yield window(
            ID,
            max(day, _bound(s)[1]),
            end,
            ready.entry,
            "free SO2 is tested, then raised for the filling: the dose rests on that reading",
            facts,
            formula=f"target date - {s.figure('final_to')} to {s.figure('final_from')} d",
            task="test free SO2, then add sulfite",
            source="losses to 11 mg/L published",
        )
    elif dose is not None:
        yield window(
            ID,
            last.on,
            end,
            last.entry,
            "filling takes free SO2: it is raised beforehand",
            (needs.free_fact(last), *facts),
            dose=dose,
            formula=f"target + {s.figure('final_extra')} mg/L",
            source="losses to 11 mg/L published",
            task="add sulfite for the filling",
        )


RULE = Rule(
    ID,
    "pre-bottling SO2",
    "Bottling costs about 5 mg/L of free SO2, 10 without gas or vacuum; a later test shows what is left.",
    due,
    (
        *so2_reading.USUAL,
        *sulfiting.ANSWERS,
        so2_reading.STRIPS_INSTEAD,
    ),
    kit="SO2 test",
    cautions=(*cautions.SULFITE, cautions.STRIP, cautions.DECLARE),
)
