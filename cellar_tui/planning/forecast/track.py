"""The filter carried along the log of one filling, event by event, from the end of its ferment.

What was worked out for the first events of a log serves every later look at it. Only what touches free SO2 moves the
filter on; everything else leaves it where it stands.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from cellar_tui.enology.methods import METHODS
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.planning.forecast.belief import Belief
from cellar_tui.planning.forecast.crossing import TAIL, chance_under
from cellar_tui.planning.forecast.priors import loss_rule, prior, share_rule
from cellar_tui.planning.subject import Subject

MINUTES = 24 * 60


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

    def on(self, day: date) -> Belief:
        """Return what is believed for the end of a day's work, no earlier than the last event."""
        return self.belief.aged((day - self.at[0]).days)


def track(s: Subject) -> Track | None:
    """Return what is believed of the free SO2 in a wine, None while it ferments."""
    start, count = s.end_index, len(s.c.log)
    if s.end is None:
        return None
    known = count
    while known > start + 1 and (start, known) not in s.tracks:
        known -= 1
    found = s.tracks.get((start, known)) or _begun(s, start)
    for index in range(known, count):
        found = _after(found, s, index, s.c.log[index])
        s.tracks[start, index + 1] = found
    return found


def _begun(s: Subject, start: int) -> Track:
    moved = [event.into for event in s.c.log[: start + 1] if event.into]
    material = moved[-1] if moved else s.c.material
    on = s.c.started if start < 0 else s.c.log[start].on
    belief = Belief.unread(prior(s.house, material))
    return Track(belief, (on, 0), material, (loss_rule(material), "loss_spread"))


def _after(found: Track, s: Subject, index: int, event: Event) -> Track:
    """Return the track after one event."""
    if event.passive:
        return found
    body = event.body
    read = event.values.get("free_so2") if isinstance(body, k.Reading) else None
    thinner = event.after.volume > event.before.volume > 0 and not isinstance(body, k.Reading)
    if event.free is not None:
        return replace(_aged(found, event.at), belief=found.belief.blended(event.free))
    if read is None and not (event.so2 > 0 or thinner or event.into or isinstance(body, k.Racking | k.Filter)):
        return found
    now = _aged(found, event.at)
    if read is not None and isinstance(body, k.Reading):
        return _read(found, now, event, read, body.method, s.house.number("reading_far"))
    if thinner:
        part = event.before.volume / event.after.volume
        same = event.foreign == 0 if isinstance(body, k.Topping) else None
        now = replace(now, belief=now.belief.thinned(part, same=same))
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


def _with(rules: tuple[str, ...], rule: str) -> tuple[str, ...]:
    return rules if rule in rules else (*rules, rule)


def _aged(found: Track, at: tuple[date, int]) -> Track:
    minutes = at[1] - found.at[1]
    days = (at[0] - found.at[0]).days + minutes / MINUTES
    return replace(found, belief=found.belief.aged(days), at=at) if days > 0 else found


def _read(before: Track, now: Track, event: Event, value: float, method: str | None, far: float) -> Track:
    """Return the track after a reading, the forecast that it tests scored; `far` deviations off it is doubted."""
    if method not in METHODS:
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
    )
