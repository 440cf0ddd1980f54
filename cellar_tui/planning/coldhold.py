"""The cold hold: how much of it is served, when it may end, and when its credit can no longer be trusted."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from cellar_tui.enology import cold
from cellar_tui.ledger import ferment
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.beginnings import FAR
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.entry import NOON
from cellar_tui.planning.once import once
from cellar_tui.planning.plan import Fact
from cellar_tui.planning.subject import Subject

DAY = 86_400.0


@dataclass(frozen=True, slots=True)
class Hold:
    """One cold hold.

    Attributes:
        start: place of its start in the log.
        started: day of its start.
        ended: day of its end, None while it goes on.
        end_index: place of its end, None while it goes on.
        credit: share of the hold served by the latest entry of it (1 is a whole hold).
        last: day of the latest temperature.
        last_index: place of the latest temperature.
        temperature: the latest temperature of the wine [C].
        end: day on which credit reaches 1 if the last temperature goes on, None where it earns nothing.
        first_end: the same as it stood when the hold began.
        seen_index: place of the latest entry up to which it is credited.
        facts: the temperatures it rests on.
        rules: the house rules it is reckoned with.
    """

    start: int
    started: date
    ended: date | None
    end_index: int | None
    credit: float
    last: date
    last_index: int
    temperature: float
    end: date | None
    first_end: date | None
    seen_index: int
    facts: tuple[Fact, ...]
    rules: tuple[Fact, ...]


def _moment(event: Event) -> datetime:
    minute = NOON if event.minute is None else event.minute
    return datetime.combine(event.on, time(minute // 60, minute % 60))


def _days(temperature: float, factor: float) -> float:
    return cold.hold_days(temperature) * factor


def _credit_day(start: datetime, credit: float, temperature: float, factor: float) -> date | None:
    """Return the civil day on which credit reaches 1 at that temperature."""
    needed = _days(temperature, factor)
    if math.isinf(needed):
        return None
    if credit >= 1:
        return start.date()
    # Rounded to a minute, so that float noise cannot push the end past midnight.
    seconds = round((1 - credit) * needed * DAY / 60) * 60
    return (start + timedelta(seconds=seconds)).date()


def _of_must(s: Subject) -> int:
    """Return the place up to which a chill is that of a must or a ferment: to settle it or to slow it, no cold hold.

    The chill that arrests a ferment is its cold hold, and one that goes on past the finish as well.
    """
    begun = FAR
    if s.end is not None:
        begun = s.end.index if s.end.begun is None else s.end.begun
    elif s.intents.finish != "arrested" or not ferment.fermenting(s.c):
        return begun
    open_chill = -1
    for index, event in s.events(k.Chill):
        if index < begun and isinstance(event.body, k.Chill):
            open_chill = index if event.body.start else -1
    return (open_chill if open_chill >= 0 else begun) - 1


Mark = tuple[int, datetime, Event, float]
"""A temperature of the wine: place of its entry in the log, when, the entry, and the temperature [C]."""


def _read(index: int, event: Event, *, after: datetime) -> list[Mark]:
    """Return the temperatures of a reading: of a logger's file each point after a moment, then its last."""
    at = _moment(event)
    points = event.body.rows() if isinstance(event.body, k.Series) else ()
    earlier = [(index, at - timedelta(minutes=ago), event, warm) for ago, warm in points]
    return [*(one for one in earlier if after < one[1] < at), (index, at, event, event.values["temperature"])]


def _marks(s: Subject, start: int, warm: float) -> tuple[list[Mark], int | None]:
    """Return the temperatures of a hold in the order of time, and the place of its end, None while it goes on."""
    begun = s.c.log[start]
    marks: list[Mark] = [(start, _moment(begun), begun, warm)]
    closed = None
    for index, event in s.c.at(s.c.places.where("warmth", _tells_warmth), start):
        if isinstance(event.body, k.Reading) and "temperature" in event.values and not event.passive:
            marks += _read(index, event, after=marks[0][1])
        elif isinstance(event.body, k.Chill) and event.body.temperature is not None:
            marks.append((index, _moment(event), event, event.body.temperature))
            if event.body.end:
                closed = index
                break
    # A logger's rows lie before its entry, among other readings.
    return sorted(marks, key=lambda mark: mark[1]), closed


def _tells_warmth(event: Event) -> bool:
    body = event.body
    return isinstance(body, k.Chill) or (isinstance(body, k.Reading) and "temperature" in event.values)


def _told(marks: list[Mark]) -> list[tuple[int, Event, float]]:
    """Return the temperatures to be named: of a logger's many the warmest and the last alone."""
    found: list[tuple[int, Event, float]] = []
    for index, group in itertools.groupby(marks, key=lambda mark: mark[0]):
        own = list(group)
        warmest = max(own, key=lambda mark: mark[3])
        found += [(index, one[2], one[3]) for one in ([] if warmest is own[-1] else [warmest]) + own[-1:]]
    return found


@once
def hold(s: Subject) -> Hold | None:
    """Return the last cold hold of the filling, None where there was none."""
    chills = [(i, e, e.body) for i, e in s.events(k.Chill, after=_of_must(s)) if isinstance(e.body, k.Chill)]
    starts = [chill for chill in chills if chill[2].start]
    if not starts:
        return None
    start_index, start_event, start_body = starts[-1]
    begin = next(
        (start for start in starts if not any(other[2].end and start[0] < other[0] < start_index for other in chills)),
        starts[-1],
    )
    start_index, start_event, start_body = begin
    factor = s.house.number("hold_factor")
    marks, closed = _marks(s, start_index, start_body.temperature or 0.0)
    ended, end_index = (None, None) if closed is None else (s.c.log[closed].on, closed)
    credit, reached = 0.0, None
    for (_, earlier, _, warm), (_, later, _, warmer) in itertools.pairwise(marks):
        span = (later - earlier).total_seconds() / DAY
        gained = max(0.0, span) / _days(max(warm, warmer), factor)
        if reached is None and round(credit + gained, 6) >= 1:
            reached = _credit_day(earlier, credit, max(warm, warmer), factor)
        credit += gained
    last_index, _, last, temperature = marks[-1]
    end = (reached or _credit_day(_moment(last), credit, temperature, factor)) if ended is None else None
    trust = "hold_trust_cellar" if (start_body.place or "cellar") == "cellar" else "hold_trust_cold"
    seen = len(s.c.log) - 1 if ended is None else last_index
    since = (_moment(s.c.log[seen]) - _moment(last)).total_seconds() / DAY
    # Up to the latest entry of the hold its last temperature is taken to have gone on, but no longer than is trusted.
    credit += min(max(since, 0.0), s.house.number(trust)) / _days(temperature, factor)
    facts = tuple(Fact("temperature of the wine", t, "C", (e.entry,), e.on) for _, e, t in _told(marks))
    return Hold(
        start_index,
        start_event.on,
        ended,
        end_index,
        credit,
        last.on,
        last_index,
        temperature,
        end,
        _credit_day(_moment(start_event), 0.0, marks[0][3], factor),
        seen,
        facts,
        (s.fact("hold_factor"), s.fact(trust)),
    )


def holding(s: Subject) -> Hold | None:
    """Return the cold hold that is going on, None where none is."""
    found = hold(s)
    return found if found is not None and found.ended is None else None
