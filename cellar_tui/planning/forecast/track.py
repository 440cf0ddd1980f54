"""The filter carried along the log of one filling, event by event, from the end of its ferment.

A log is followed once, and that serves a look at any moment of it. Only what touches free SO2 moves the filter on;
everything else leaves it where it stands.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, replace
from datetime import date

from cellar_tui.enology.methods import METHODS
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Contents, Event
from cellar_tui.planning import sulfur
from cellar_tui.planning.estimate import Fading
from cellar_tui.planning.forecast.belief import TWO_STRIPS, Belief
from cellar_tui.planning.forecast.crossing import TAIL, chance_under
from cellar_tui.planning.forecast.priors import loss_rule, pace, prior, share_rule
from cellar_tui.planning.subject import Subject

MINUTES = 24 * 60

WARM_DAYS = 60
"""How long the last temperature of a wine counts [d]; assumed: within a season, and the longest time between two
readings of free SO2 in a full vessel."""

MEMO = "track"
"""Name under which contents keep what is believed of them."""


@dataclass(frozen=True, slots=True)
class Score:
    """A reading beside what was forecast for its day: what was expected [mg/L], and whether it fell inside the band."""

    entry: int
    on: date
    read: float
    expected: float
    inside: bool


@dataclass(frozen=True, slots=True)
class Track:
    """What is believed of a wine after some of its log.

    Attributes:
        belief: at the moment `at`.
        at: day and minute of the last event that touched free SO2.
        material: of the vessel that it lies in.
        rules: house rules that the belief rests on.
        readings: entries that it rests on.
        last: the last reading: its entry, day, value [mg/L], method.
        far: the last reading lay far from what was expected.
        dosed: entries of sulfite since the last reading.
        told: entries of the sulfites and readings by which the wine showed how much of it stays free.
        scores: of every forecast that a later reading tested.
        read_on: day of the last reading, of the older one where two wines were joined; None where there was none.
        read: the last reading [mg/L] (of strips of one day the mean) where nothing touched free SO2 after it.
        warm: the wine's last temperature and its day, None where none is known that still holds.
    """

    belief: Belief
    at: tuple[date, int]
    material: str
    rules: tuple[str, ...]
    readings: tuple[int, ...] = ()
    last: tuple[int, date, float, str | None] | None = None
    far: bool = False
    dosed: tuple[int, ...] = ()
    told: tuple[int, ...] = ()
    scores: tuple[Score, ...] = ()
    read_on: date | None = None
    read: float | None = None
    warm: tuple[date, float] | None = None

    def on(self, day: date) -> Belief:
        """Return what is believed for the end of a day's work, no earlier than the last event."""
        return self.belief.aged((day - self.at[0]).days)


@dataclass(frozen=True, slots=True)
class Course:
    """What was believed along a whole log: `tracks` before the first and after each of the `places` that changed it."""

    places: list[int]
    tracks: list[Track]


def _course(s: Subject, start: int) -> Course:
    """Follow the whole log of a wine from the end of its ferment at a place."""
    found = [_begun(s, start)]
    places = []
    for index in range(start + 1, s.c.size):
        now = _after(found[-1], s, index, s.c.log[index])
        if now is not found[-1]:
            places.append(index)
            found.append(now)
    return Course(places, found)


def track(s: Subject) -> Track | None:
    """Return what is believed of the free SO2 in a wine, None while it ferments."""
    if s.end is None:
        return None
    start, courses = s.end_index, s.whole.courses
    if start not in courses:
        # What an event did is the same whenever it is looked at, so that one course serves every moment.
        courses[start] = _course(s.whole, start)
    course: Course = courses[start]
    s.c.places.looked(course.places, s.c.size)
    return course.tracks[bisect_left(course.places, s.c.size)]


def fading(s: Subject) -> Fading | None:
    """Return how free SO2 fades after the last work on the wine, None where it was never read as a wine."""
    found = track(s)
    if found is None or not found.belief.read or found.read_on is None:
        return None
    ph = None if s.ph is None else s.ph.value
    return Fading(found.belief.free, found.belief.loss, found.at[0], found.read_on, ph, found.read)


def _begun(s: Subject, start: int) -> Track:
    moved = [event.into for event in s.c.log[: start + 1] if event.into]
    material = moved[-1] if moved else s.c.material
    on = s.c.started if start < 0 else s.c.log[start].on
    belief = Belief.unread(prior(s.house, material))
    return Track(belief, (on, 0), material, (loss_rule(material), "loss_spread"))


def _other(contents: Contents, s: Subject, at: tuple[date, int]) -> Track | None:
    """Return what is believed at a moment of another wine that was poured in.

    It is worked out once for contents: wines that top each other again and again would else be followed without end.
    """
    known = contents.kept.get(MEMO)
    if not isinstance(known, tuple) or known[0] is not s.house:
        known = (s.house, track(Subject(contents, s.vessel, s.house)))
        contents.kept[MEMO] = known
    found = known[1]
    return None if found is None else _aged(found, at)


def _after(found: Track, s: Subject, index: int, event: Event) -> Track:
    """Return the track after one event."""
    if event.passive:
        return found
    before, found = found, _warmed(found, s, event)
    if event.poured is not None and isinstance(event.body, k.Blend):
        return _blended(found, s, event, event.poured)
    body = event.body
    read = event.values.get("free_so2") if isinstance(body, k.Reading) else None
    thinner = event.after.volume > event.before.volume > 0 and not isinstance(body, k.Reading)
    if read is None and not (event.so2 > 0 or thinner or event.into or isinstance(body, k.Racking | k.Filter)):
        return found
    now = replace(_aged(found, event.at), read=None)
    if read is not None and isinstance(body, k.Reading):
        now = _read(before, now, event, read, body.method, s.house.number("reading_far"))
        return replace(now, read=_of_the_day(s, index, event, read, body.method))
    if thinner:
        now = _thinned(now, s, event)
    if event.so2 > 0:
        rule = share_rule(s.as_of(index))
        belief = now.belief.dosed(event.so2, s.house.number(rule))
        now = replace(now, belief=belief, dosed=(*now.dosed, event.entry), rules=_with(now.rules, rule))
    if isinstance(body, k.Racking | k.Filter):
        now = replace(now, belief=now.belief.racked())
    if event.into and event.into != now.material:
        rules = _with(now.rules, loss_rule(event.into))
        belief = now.belief.moved(prior(s.house, event.into))
        now = replace(now, belief=belief, material=event.into, rules=rules)
    return now


def _blended(found: Track, s: Subject, event: Event, poured: Contents) -> Track:
    """Return the track of a blend: free SO2 of that day by volume, of the rate what the vessel does."""
    now, first = replace(_aged(found, event.at), read=None), s.before
    own = None if first is None else track(first)
    other = _other(poured, s, event.at)
    if own is None or other is None or event.after.volume <= 0:
        return now
    part = event.before.volume / event.after.volume
    days = [one.read_on for one in (own, other) if one.read_on is not None]
    belief = now.belief.blended(_aged(own, event.at).belief, other.belief, part)
    return replace(now, belief=belief, read_on=min(days) if belief.read and days else None)


def _thinned(now: Track, s: Subject, event: Event) -> Track:
    """Return the track after something was poured in: wine of this cellar, wine from outside, or what has no SO2."""
    part = event.before.volume / event.after.volume
    other = None if event.poured is None else _other(event.poured, s, event.at)
    if other is not None and other.belief.read:
        return replace(now, belief=now.belief.topped(other.belief, part))
    same = event.foreign == 0 if isinstance(event.body, k.Topping) else None
    return replace(now, belief=now.belief.thinned(part, same=same))


def _warmed(found: Track, s: Subject, event: Event) -> Track:
    """Return the track with the pace of the temperature that an event tells; an old temperature tells nothing."""
    body, old = event.body, found.warm
    read = event.values.get("temperature") if isinstance(body, k.Reading) else None
    if isinstance(body, k.Chill) and body.start:
        read = body.temperature
    if read is not None:
        # Between two temperatures the wine was on its way from one to the other.
        mean = read if old is None or _stale(old, event) else (old[1] + read) / 2
        between = replace(found, belief=replace(found.belief, pace=pace(s.house, mean))) if old is not None else found
        now, rules = _aged(between, event.at), _with(_with(found.rules, "loss_q10"), "loss_warmth")
        return replace(now, belief=replace(now.belief, pace=pace(s.house, read)), warm=(event.on, read), rules=rules)
    if old is not None and (_stale(old, event) or (isinstance(body, k.Chill) and body.end)):
        now = _aged(found, event.at)
        return replace(now, belief=replace(now.belief, pace=1.0), warm=None)
    return found


def _of_the_day(s: Subject, index: int, event: Event, value: float, method: str | None) -> float:
    """Return what a reading says of its day [mg/L]: of strips the mean of that day's, else the reading."""
    if method != "strip":
        return value
    strips = [
        read.value for read in sulfur.reads(s) if read.on == event.on and read.index <= index and read.method == "strip"
    ]
    return sum(strips) / len(strips)


def _stale(warm: tuple[date, float], event: Event) -> bool:
    return (event.on - warm[0]).days > WARM_DAYS


def _with(rules: tuple[str, ...], rule: str) -> tuple[str, ...]:
    return rules if rule in rules else (*rules, rule)


def _aged(found: Track, at: tuple[date, int]) -> Track:
    minutes = at[1] - found.at[1]
    days = (at[0] - found.at[0]).days + minutes / MINUTES
    return replace(found, belief=found.belief.aged(days), at=at) if days > 0 else found


def _read(before: Track, now: Track, event: Event, value: float, method: str | None, far: float) -> Track:
    """Return the track after a reading, the forecast that it tests scored; `far` deviations off it is doubted."""
    if method == "strip" and "second_strip" in event.values:
        method = TWO_STRIPS
    elif method not in METHODS:
        method = None
    belief, scores, told = now.belief, now.scores, now.told
    if now.last is not None and event.on > before.at[0]:
        days = (event.on - before.at[0]).days + (event.at[1] - before.at[1]) / MINUTES
        chance = chance_under(before.belief, days, value, method)
        inside = TAIL <= chance <= 1 - TAIL
        scores = (*scores, Score(event.entry, event.on, value, belief.expected(), inside))
    if now.last is not None and now.dosed:
        told = (*told, *now.readings[-1:], *now.dosed, event.entry)
    return replace(
        now,
        belief=belief.corrected(value, method),
        readings=(*now.readings, event.entry),
        last=(event.entry, event.on, value, method),
        far=belief.far(value, method, far),
        dosed=(),
        told=tuple(dict.fromkeys(told)),
        scores=scores,
        read_on=event.on,
    )
