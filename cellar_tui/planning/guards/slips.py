"""Slips and second hands: a reading far from what is expected, and what another person has done already."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.entry import NOON
from cellar_tui.ledger.ferment import steps
from cellar_tui.ledger.history import Evidence, readings
from cellar_tui.ledger.materials import material
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.subject import Subject

REPEAT = "repeat the reading, and look at its decimal point"
DAY = timedelta(days=1)
SECOND_HAND = 12.0
"""Hours in which an addition like another person's is doubted: a shift; common practice."""


def guard(act: Act) -> Iterator[Finding]:
    """Caution a value that looks like a slip of the pen, and an addition that another person has just made."""
    body, s = act.entry.body, act.wine
    if s is None:
        return
    if isinstance(body, k.Reading) and act.result is not None:
        yield from _ph(s, body)
        yield from _gravity(s, act.result)
        yield from _malic(s, body)
        yield from _temperature(s, act, body)
        yield from _acid(s, body)
    elif isinstance(body, k.Addition):
        yield from _second_hand(s, act, body)


def _before(s: Subject, name: str, moves: Callable[[Event], bool]) -> Evidence | None:
    """Return the last reading of a value if nothing has moved that value since."""
    seen = readings(s.c, name)
    if not seen:
        return None
    since = s.c.log[seen[-1].index + 1 :]
    return None if any(moves(event) for event in since) else seen[-1]


def _sours(event: Event) -> bool:
    """Return whether an entry changes the acid of a wine: acid, carbonate, thinning, a blend, cold, a culture."""
    body = event.body
    if isinstance(body, k.Addition):
        return material(body.material or "").sort in ("acid", "carbonate", "volume", "sugar", "culture")
    return isinstance(body, k.Blend | k.Chill) or event.foreign > 0


def _play(s: Subject, seen: Evidence) -> float:
    """Return how much more acid may have moved by itself since a reading: twice where yeast or bacteria worked."""
    worked = s.end is None or s.end.index >= seen.index or s.ml.index >= seen.index or s.ml.live
    return 2.0 if worked else 1.0


def _far(guard: str, what: str, seen: Evidence, unit: str) -> Finding:
    expected = f"about {seen.value:g} {unit}".rstrip() + f" was expected, from the test of {short_day(seen.on)}"
    return Finding(guard, f"{what}: {expected}: {REPEAT}.")


def _ph(s: Subject, body: k.Reading) -> Iterator[Finding]:
    if body.ph is None:
        return
    low, high, most = (s.house.number(name) for name in ("slip_ph_low", "slip_ph_high", "slip_ph"))
    seen = _before(s, "ph", _sours)
    far = seen is not None and round(abs(body.ph - seen.value), 3) >= most * _play(s, seen)
    if far and seen is not None:
        yield _ruled(_far("ph_far", f"pH {body.ph:.2f}", seen, ""), s, "slip_ph")
    elif not low <= body.ph <= high:
        told = f"pH {body.ph:.2f}: wine lies between {low:g} and {high:g}: {REPEAT}."
        yield _ruled(Finding("ph_far", told), s, "slip_ph_low", "slip_ph_high")


def _ruled(found: Finding, s: Subject, *rules: str) -> Finding:
    return Finding(found.guard, found.why, None, tuple(map(s.fact, rules)))


def _gravity(s: Subject, after: Subject) -> Iterator[Finding]:
    """Caution a gravity that rises without sugar; hydrometer and Brix alike, as they count at 20 C."""
    if not after.gravities or not s.gravities or after.gravities[-1].index != len(after.c.log) - 1:
        return
    last, now = s.gravities[-1], after.gravities[-1]
    fed = any(event.sugar > 0 or isinstance(event.body, k.Blend) for event in s.c.log[last.index + 1 :])
    if not fed and steps(now.value) - steps(last.value) >= steps(s.house.number("slip_sg")):
        found = _far("gravity_rises", f"SG {now.value:.3f} rises without sugar", last, "SG")
        yield _ruled(found, s, "slip_sg")


def _malic(s: Subject, body: k.Reading) -> Iterator[Finding]:
    seen = _before(s, "malic", lambda event: _brings(event, "malic_acid"))
    if body.malic is None or seen is None:
        return
    if round(body.malic - seen.value, 3) >= s.house.number("slip_malic"):
        found = _far("malic_rises", f"malic acid {body.malic:g} g/L rises by itself", seen, "g/L or less")
        yield _ruled(found, s, "slip_malic")


def _brings(event: Event, stuff: str) -> bool:
    body = event.body
    return (isinstance(body, k.Addition) and body.material == stuff) or isinstance(body, k.Blend) or event.foreign > 0


def _temperature(s: Subject, act: Act, body: k.Reading) -> Iterator[Finding]:
    seen = _before(s, "temperature", lambda event: isinstance(event.body, k.Chill))
    if body.temperature is None or seen is None or act.entry.on - seen.on > DAY:
        return
    if abs(body.temperature - seen.value) >= s.house.number("slip_temperature"):
        found = _far("temperature_far", f"{body.temperature:g} C within a day", seen, "C")
        yield _ruled(found, s, "slip_temperature")


def _acid(s: Subject, body: k.Reading) -> Iterator[Finding]:
    seen = _before(s, "ta", _sours)
    if body.ta is None or seen is None:
        return
    if round(abs(body.ta - seen.value), 3) >= s.house.number("slip_ta") * _play(s, seen):
        yield _ruled(_far("acid_far", f"TA {body.ta:g} g/L", seen, "g/L"), s, "slip_ta")


def _second_hand(s: Subject, act: Act, body: k.Addition) -> Iterator[Finding]:
    """Caution an addition like one that another person made within the hours of a house rule."""
    minute = NOON if act.entry.minute is None else act.entry.minute
    for _, event in reversed(s.events(k.Addition)):
        other = event.body
        apart = abs((act.entry.on - event.on) / timedelta(hours=1) + (minute - event.at[1]) / 60)
        if apart > SECOND_HAND:
            return
        if isinstance(other, k.Addition) and other.material == body.material and event.by != act.entry.by:
            when = short_day(event.on)
            if event.minute is not None:
                when += f" {event.minute // 60:02d}:{event.minute % 60:02d}"
            stuff = (body.material or "").replace("_", " ")
            amount = f"{other.amount or 0:g} {material(other.material or '').unit}"
            told = (
                f"{event.by} added {amount} {stuff} on {when} (entry {event.entry}): is this the same addition twice?"
            )
            yield Finding("second_hand", told)
            return
