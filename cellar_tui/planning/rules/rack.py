"""Racking off the lees: 3 to 10 days after the ferment, 5 weeks later, then every 2 to 3 months until it is clear.

Rackings that other work asks for come under the same name: heavy solids of a pressed red, the two cold rackings of an
arrested wine, after the spirit, off the crystals the day the cold hold ends, off a fining once it has settled, off oak
that has given enough, out of bottles that go back to bulk.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta

from dateutil.relativedelta import relativedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.ferment import Finish
from cellar_tui.ledger.history import checks, decisions
from cellar_tui.planning import arrested, coldhold, handling
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import cautions, needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.rules.fining_trial import still_stinks
from cellar_tui.planning.rules.oak_taste import oaked
from cellar_tui.planning.subject import Subject

ID = "rack"


def _racked_since(s: Subject, index: int) -> bool:
    return bool(s.events(k.Racking, after=index))


def _between(s: Subject, event: Event, first: str, last: str, reason: str, cause: str, task: str) -> Due:  # noqa: PLR0913 (the cells of a row)
    """Return "A to B d after" an event, A and B being house rules."""
    fact = Fact(cause, event.on.isoformat(), "", (event.entry,), event.on)
    return window(
        ID,
        event.on + s.days(first),
        event.on + s.days(last),
        event.entry,
        reason,
        (fact, s.fact(first), s.fact(last)),
        formula=f"{cause} + {s.house.days(first)} to {s.house.days(last)} d",
        task=task,
    )


def _pressed(s: Subject) -> Iterator[Due]:
    for index, event in s.events(k.Press)[-1:]:
        if s.intents.red and not _racked_since(s, index):
            yield _between(
                s,
                event,
                "press_rack_from",
                "press_rack_to",
                "a pressed red drops heavy solids",
                "pressed",
                "rack off the heavy solids",
            )


def _after_hold(s: Subject) -> Iterator[Due]:
    hold = coldhold.hold(s)
    if hold is None or hold.end_index is None or needs.off_crystals(s):
        return
    event = s.c.log[hold.end_index]
    fact = Fact("cold hold ended", event.on.isoformat(), "", (event.entry,), event.on)
    yield window(
        ID,
        event.on,
        None,
        event.entry,
        "crystals dissolve again as the wine warms",
        (fact,),
        task="rack cold, off the crystals",
    )


def _fined(s: Subject) -> Iterator[Due]:
    lies_on = needs.on_fining(s)
    if lies_on is None:
        return
    _, event, name = lies_on
    rule = needs.SETTLING[name]
    fact = Fact(f"{name} added", event.on.isoformat(), "", (event.entry,), event.on)
    yield window(
        ID,
        event.on + s.days(rule),
        None,
        event.entry,
        f"{name} has settled by then",
        (fact, s.fact(rule)),
        formula="fining + settling",
        task="rack off the fining",
    )


def _at_once(s: Subject) -> Iterator[Due]:
    causes = [
        (one.index, "rotten egg smelled", "splash rack before any sulfite")
        for one, check in checks(s.c, "smell", after=s.end_index)
        if check.result == "fail" and check.fault == "rotten_egg" and still_stinks(s) is None
    ]
    oak = oaked(s)
    causes += [
        (one.index, "it tastes of enough oak", "rack off the oak")
        for one, check in checks(s.c, "taste", after=s.end_index if oak is None else max(oak.index, s.end_index))
        if oak is not None and check.result == "fail"
    ]
    causes += [
        (index, "malolactic fermentation is to be stopped", "rack off the bacteria, cold")
        for index, _ in decisions(s.c, "malolactic_unwanted", "stop")
    ]
    for index, reason, task in sorted(causes)[-1:]:
        if not _racked_since(s, index):
            event = s.c.log[index]
            fact = Fact(reason, event.on.isoformat(), "", (event.entry,), event.on)
            yield window(ID, event.on, None, event.entry, reason, (fact,), task=task)


def _undisturbed(s: Subject) -> bool:
    """Return whether no malolactic fermentation is at work, which air and the loss of its lees would hinder."""
    return s.ml.state not in ("running", "unknown")


def _waited(s: Subject) -> tuple[Fact, ...]:
    """Return the malolactic fermentation that a racking for clearness had to wait for."""
    if s.ml.state != "done" or s.ml.on is None:
        return ()
    return (Fact("malolactic fermentation done", s.ml.on.isoformat(), "", s.ml.entries, s.ml.on),)


def _back_to_bulk(s: Subject) -> Iterator[Due]:
    for index, event in decisions(s.c, "bottle_fault", "back_to_bulk")[-1:]:
        fact = needs.moment((index, event)).fact("back to bulk decided")
        yield window(
            ID,
            event.on,
            None,
            event.entry,
            "its fault can be cured in bulk only",
            (fact,),
            task="uncork and pour into an empty vessel, under gas",
        )


def _later(s: Subject, work: list[tuple[int, Event]], young: bool) -> Iterator[Due]:
    if s.clear is not None or s.intents.on_lees:
        return
    quiet = needs.came_true(s, _undisturbed)
    if quiet is None:
        return
    event, reason = work[-1][1], "it is not clear yet"
    if young and len(work) == 1:
        fact = Fact("first racking", event.on.isoformat(), "", (event.entry,), event.on)
        day = max(event.on + s.days("second_rack_weeks"), quiet.on)
        yield window(
            ID,
            day,
            None,
            event.entry,
            reason,
            (fact, s.fact("second_rack_weeks"), *_waited(s)),
            formula=f"first racking + {s.figure('second_rack_weeks')} weeks",
        )
        return
    first, last = (round(s.house.number(name)) for name in ("later_rack_from", "later_rack_to"))
    fact = Fact("last racking", event.on.isoformat(), "", (event.entry,), event.on)
    yield window(
        ID,
        max(event.on + relativedelta(months=first), quiet.on),
        event.on + relativedelta(months=last),
        event.entry,
        reason,
        (fact, s.fact("later_rack_from"), s.fact("later_rack_to"), *_waited(s)),
        formula=f"last racking + {first} to {last} months",
    )


def _lees(s: Subject) -> Iterator[Due]:
    """Yield the racking off the lees that is next in the life of the wine."""
    end = s.end
    if end is None:
        return
    moved = handling.blends(s, end.index) if end.index < 0 else []
    work = sorted([*handling.rackings(s), *moved, *s.skips(ID)], key=lambda racking: racking[0])
    work = [one for one in work if one[0] > end.index]
    event = s.c.log[end.index] if end.index >= 0 else None
    cold = [] if s.arrest is None else [one for one in work if one[0] > s.arrest.index]
    held = needs.held_since(s)
    if held is not None and held.index >= 0 and len(cold) < s.house.number("cold_rackings"):
        yield _off_the_yeast(s, held, cold)
    elif work:
        yield from _later(s, work, young=not s.alive_by_cold)
    elif event is not None and end.how == "fortified":
        yield _between(
            s,
            event,
            "spirit_rack_from",
            "spirit_rack_to",
            "spirit throws the lees down",
            "spirit added",
            "rack off the lees",
        )
    elif s.clear is None or end.index >= 0:
        yield _gross(s, end)


def _off_the_yeast(s: Subject, held: needs.Moment, cold: Sequence[tuple[int, Event]]) -> Due:
    """Return the next of the cold rackings of an arrested wine; `cold` are those made since the arrest."""
    if cold and cold[-1][0] > held.index:
        again = ("arrest_again_from", "arrest_again_to", "a second cold racking leaves few yeast cells")
        return _between(s, cold[-1][1], *again, "first cold racking", "rack cold, off the yeast")
    first = ("arrest_rack_from", "arrest_rack_to", "live yeast lies in the lees")
    return _between(s, s.c.log[held.index], *first, "arrested", "rack cold, off the yeast")


def _gross(s: Subject, end: Finish) -> Due:
    """Return the first racking after the ferment."""
    first, last = s.days("first_rack_from"), s.days("first_rack_to")
    fact = Fact("ferment finished", end.on.isoformat(), "", end.entries, end.on)
    return window(
        ID,
        end.on + first,
        end.on + last,
        end.entries[-1],
        "gross lees spoil a wine that lies on them",
        (fact, s.fact("first_rack_from"), s.fact("first_rack_to")),
        formula=f"finish + {first // timedelta(days=1)} to {last // timedelta(days=1)} d",
        task="rack off the gross lees",
    )


def due(s: Subject) -> Iterator[Due]:
    """Yield the rackings that the wine waits for."""
    if s.c.store:
        yield from _back_to_bulk(s)
        return
    # What lies on a fining is racked once that has settled, not before.
    settling = needs.on_fining(s) is not None
    yield from () if settling else _pressed(s)
    if s.end is not None and not arrested.awake(s):
        yield from () if settling else _lees(s)
        yield from _after_hold(s)
        yield from _fined(s)
        yield from _at_once(s)


RULE = Rule(
    ID,
    "rack",
    (
        "Rack once the lees have settled, and again while the wine keeps dropping sediment. Every racking "
        "picks up oxygen."
    ),
    due,
    (ResponseForm("racking", ("to", "volume")),),
    kit="hoses",
    cautions=(cautions.GAS, cautions.LIFTING, cautions.BRIM),
)
