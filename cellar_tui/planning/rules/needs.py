"""What the rules wait for, and since when each of it holds."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.ferment import steps
from cellar_tui.ledger.history import Evidence, additions, checks, free_readings, readings
from cellar_tui.planning import arrested, coldhold, handling, so2, sulfur
from cellar_tui.planning.age import wished_bottling
from cellar_tui.planning.forecast.priors import about_to_be_sweetened
from cellar_tui.planning.forecast.track import track
from cellar_tui.planning.plan import Fact
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.base import Kind
from cellar_tui.planning.verdicts.haze import HAZE, needs_heat, tests
from cellar_tui.planning.verdicts.table import settled, verdict

DAY = timedelta(days=1)

ARREST = ("arrest_first", "arrest_second", "arrest_third")
"""House rules of the days after an arrest on which its gravity is read."""


@dataclass(frozen=True, slots=True)
class Moment:
    """When something came true: the day, the entry that did it, and its place in the log (-1 for the beginning)."""

    on: date
    entry: int
    index: int

    def fact(self, name: str) -> Fact:
        """Return it as an input of an explanation."""
        return Fact(name, self.on.isoformat(), "", (self.entry,), self.on)


def moment(one: tuple[int, Event]) -> Moment:
    """Return the moment of an event."""
    index, event = one
    return Moment(event.on, event.entry, index)


def seen(one: Evidence) -> Moment:
    """Return the moment of a reading or check."""
    return Moment(one.on, one.entry, one.index)


def holding(s: Subject, holds: Callable[[Subject], bool]) -> tuple[bool, int]:
    """Return whether something holds, and the least number of events from which on that is so without a break."""
    found = s.c.places.asked(s.c.size, lambda: holds(s))
    return found.value, found.span.low


def came_true(s: Subject, holds: Callable[[Subject], bool], least: int = 0) -> Moment | None:
    """Return since when something holds without a break, None where it does not hold now.

    The search goes back no further than the first `least` events.
    """
    so, low = holding(s, holds)
    if not so:
        return None
    log, size = s.c.log, s.c.size
    # A blend begins with its own entry: before it there was no such wine.
    floor = max(least, 1 if size and log[0].entry == s.c.filling else 0)
    while so and size > floor:
        size = max(low, floor)
        if size > floor:
            so, low = holding(s.as_of(size - 1), holds)
    if size == 0:
        return Moment(s.c.started, s.c.filling, -1)
    return moment((size - 1, log[size - 1]))


def last_of(*moments: Moment | None) -> Moment:
    """Return the latest of some moments; at least one must be there."""
    return max((one for one in moments if one is not None), key=lambda one: (one.index, one.on))


def undone(s: Subject, kind: Kind) -> int:
    """Return the place of the last thing that undid a kind of stability, -1 where nothing did."""
    places = [undoing.index for undoing in kind.undoings(s)]
    found = verdict(s, kind.name)
    if found.state == "lapsed":
        places += s.c.among(sorted(place for entry in found.evidence for place in s.c.places.of_entry(entry)))
    return max(places, default=-1)


def sulfited(s: Subject) -> bool:
    """Return whether the first sulfite is in, or a free SO2 reading of the finished wine shows that none is wanted."""
    if sulfur.sulfited(s) is True:
        return True
    open_end = s.end is not None and not (s.intents.encouraged and s.ml.state not in ("done", "given_up"))
    return open_end and s.free is not None and not low(s)


def low(s: Subject) -> bool:
    """Return whether the last free SO2 reading is under the target and its margin."""
    margin = s.house.number("keeping_margin")
    return s.free is not None and s.free.value < so2.target(s).free + margin


def doubtful(s: Subject) -> bool:
    """Return whether free SO2 was read low before the sugar, far from what was expected, and not again that day."""
    found = track(s) if about_to_be_sweetened(s) else None
    if found is None or not found.far or not sulfur.reads(s) or not low(s):
        return False
    last = sulfur.reads(s)[-1]
    return not any(read.on == last.on for read in sulfur.reads(s)[:-1]) and not found.dosed


def under_target(s: Subject) -> bool:
    """Return whether the latest free SO2 reading of the wine is under the target, or there is none."""
    return s.free is None or s.free.value < so2.target(s).free - 1e-9


def on_target(s: Subject, setting: str) -> list[Evidence]:
    """Return the last free SO2 readings in a row on target that follow each other within a house rule's days."""
    if s.end is None:
        return []
    wanted, age = so2.target(s).free, s.days(setting)
    run: list[Evidence] = []
    for reading in reversed(free_readings(s.c, s.house, s.end.index)):
        if reading.value < wanted or (run and run[0].on - reading.on > age):
            break
        run.insert(0, reading)
    return run


def free_fact(one: Evidence) -> Fact:
    """Return a free SO2 reading as an input of an explanation."""
    return Fact("free SO2", one.value, "mg/L", one.entries, one.on)


def ml_settled(s: Subject) -> bool:
    """Return whether malolactic fermentation is done, given up, or kept away by the first sulfite."""
    return s.ml.state in ("done", "given_up") or (not s.intents.encouraged and sulfited(s))


def marks_met(found: list[Evidence], begun: date, marks: tuple[int, ...]) -> list[Evidence]:
    """Return the readings that answered the marks [d after `begun`] so far, one for each, in their order."""
    met: list[Evidence] = []
    for one in found:
        if len(met) < len(marks) and (one.on - begun).days >= marks[len(met)]:
            met.append(one)
    return met


def next_mark(begun: date, met: list[Evidence], marks: tuple[int, ...]) -> date:
    """Return the day of the first mark that is not met: a reading that came late is the only one of its day."""
    day = begun + timedelta(days=marks[len(met)])
    return max(day, met[-1].on + DAY) if met else day


def arrest_marks(s: Subject) -> tuple[int, ...]:
    """Return the days after an arrest on which its gravity is read, in their order."""
    return tuple(sorted(s.house.days(name) for name in ARREST))


def arrest_facts(s: Subject) -> tuple[Fact, ...]:
    """Return the house rules by which an arrested wine is held; nothing for any other wine."""
    return tuple(map(s.fact, (*ARREST, "arrest_cold", "steady_sg"))) if s.alive_by_cold else ()


def held(s: Subject) -> bool:
    """Return whether an arrested wine has stood still, cold, over the marks of its arrest."""
    begun, found = held_since(s), arrested.cold(s)
    if begun is None or found is None:
        return False
    after = [gravity for gravity in s.gravities if gravity.index > begun.index]
    marks = arrest_marks(s)
    met = marks_met(after, begun.on, marks)
    if len(met) < len(marks):
        return False
    values = [steps(one.value) for one in after if one.index <= met[-1].index]
    # A wine that came arrested has no reading of the arrest itself.
    cold = begun.index >= 0 or any(reading.index <= met[-1].index for reading in readings(s.c, "temperature"))
    return cold and max(values) - min(values) <= steps(s.house.number("steady_sg"))


def held_since(s: Subject) -> Moment | None:
    """Return the reading from which cold holds an arrested wine, None while it is awake or was never arrested."""
    found, end = arrested.cold(s), s.arrest
    if found is None or found.since is None or end is None:
        return None
    if found.since == end.index:
        return Moment(end.on, end.entries[-1], end.index)
    return moment((found.since, s.c.log[found.since]))


def ferment_settled(s: Subject) -> bool:
    """Return whether the ferment is over; one that was arrested must also have held."""
    return s.end is not None and (not s.alive_by_cold or held(s))


def clear(s: Subject) -> bool:
    """Return whether the last look found it clear."""
    return s.clear is not None


def clear_after_racking(s: Subject) -> bool:
    """Return whether a look long enough after the last racking found it clear, and nothing has stirred it since."""
    if s.clear is None:
        return False
    return not handling.rackings(s) or s.clear.on >= handling.rackings(s)[-1][1].on + s.days("clarity_after")


def off_crystals(s: Subject) -> bool:
    """Return whether no cold hold is open and its crystals are racked off, if there was one."""
    hold = coldhold.hold(s)
    if hold is None:
        return True
    if hold.ended is None or hold.end_index is None:
        return False
    same_day = any(event.on == hold.ended for _, event in s.events(k.Racking, after=hold.start))
    return same_day or bool(s.events(k.Racking, after=hold.end_index))


SETTLING = {"bentonite": "settle_bentonite", "gelatin": "settle_fining", "isinglass": "settle_fining"}
"""House rule of the days that a fining settles."""


def on_fining(s: Subject) -> tuple[int, Event, str] | None:
    """Return place, event and material of the fining on which the finished wine still lies, if any."""
    found = list(additions(s.c, lambda name: name in SETTLING, s.end_index))[-1:]
    return found[0] if found and not s.events(k.Racking, after=found[0][0]) else None


def on_bentonite(s: Subject) -> bool:
    """Return whether bentonite went in and the wine still lies on it."""
    found = [index for index, _, _ in additions(s.c, lambda name: name == "bentonite")]
    return bool(found) and not s.events(k.Racking, after=found[-1])


def haze_ready(s: Subject) -> bool:
    """Return whether protein cannot hinder the cold: tested, its fining off, or a wine that throws it itself."""
    if on_fining(s) is not None:
        return False
    if not needs_heat(s) or settled(s, "haze"):
        return True
    last = undone(s, HAZE)
    for name in tests(s):
        found = checks(s.c, name, after=last)
        if not found or found[-1][1].result != "pass":
            return False
    return True


def behind(s: Subject, *kinds: str) -> tuple[Fact, ...]:
    """Return the changed house rules behind the verdicts on these kinds of stability, for what waits for them."""
    return changed(fact for kind in kinds for fact in verdict(s, kind).because.facts)


def changed(facts: Iterable[Fact]) -> tuple[Fact, ...]:
    """Return the house rules among the inputs of another date that this cellar has changed, for what follows it."""
    return tuple(dict.fromkeys(fact for fact in facts if fact.house_rule and fact.entries))


def to_be_sweetened(s: Subject) -> bool:
    """Return whether its sugar is still to come."""
    return s.intents.sweet and not s.sweetened


def wish(s: Subject) -> Fact:
    """Return the target date day as an input of an explanation."""
    return Fact("target date", wished_bottling(s).isoformat(), "", so2.intent_entries(s), wished_bottling(s))
