"""Cautions: recorded with the entry and never in the way."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from cellar_tui.enology import cold
from cellar_tui.enology.errors import OutOfRange
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.history import additions, last_reading
from cellar_tui.planning import so2
from cellar_tui.planning.forecast.track import track
from cellar_tui.planning.ground import ground
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.subject import Subject


def guard(act: Act) -> Iterator[Finding]:
    """Caution what a careful cellar hand would mention."""
    body, s = act.entry.body, act.wine
    if s is None:
        return
    if isinstance(body, k.Reading):
        yield from _reading(s, body, act.entry.on)
    elif isinstance(body, k.Chill):
        yield from _chill(s, body)
    elif isinstance(body, k.Racking) and s.intents.bottling is not None:
        days = (s.intents.bottling - act.entry.on).days
        if days in (0, 1):
            yield Finding("racking_late", "racked within a day of bottling: test free SO2 again before the filling.")


def _reading(s: Subject, body: k.Reading, on: date) -> Iterator[Finding]:
    limit = so2.total_limit(s)
    if body.total_so2 is not None and s.end is not None and limit - body.total_so2 < s.house.number("dose_worth"):
        told = f"no room is left under {limit:.0f} mg/L total SO2: add none, blend it down with another wine."
        yield Finding("total_full", told, None, (s.fact("jurisdiction"), s.fact("dose_worth")))
    lower = s.total_so2 - (s.total_so2 if body.total_so2 is None else body.total_so2)
    if s.end is not None and lower > s.house.number("total_tolerance"):
        told = f"total SO2 is {lower:.0f} mg/L under the running sum: the measured total counts from here."
        yield Finding("total_lower", told, None, (s.fact("total_tolerance"),))
    if body.free_so2 is None:
        return
    if body.method == "titration" and s.intents.red:
        yield Finding("reads_high", "titration reads high in reds: the true free SO2 may be several mg/L lower.")
    if body.method == "titration" and any(True for _ in additions(s.c, lambda name: name == "ascorbic_acid")):
        yield Finding("reads_high", "titration takes ascorbic acid for SO2: test it by aspiration, or do not trust it.")
    trend = s.house.number("strip_most")
    single = body.method == "strip" and body.second_strip is None
    if single and body.free_so2 > trend and not _strip_read(s, on, trend):
        told = f"one strip over {trend:g} mg/L is a trend only: test a second strip today, the mean counts."
        yield Finding("one_strip", told, None, (s.fact("strip_most"),))
    known = track(s)
    belief = None if known is None else known.on(on)
    far = s.house.number("reading_far")
    if known is not None and belief is not None and belief.far(body.free_so2, body.method, far):
        told = f"about {belief.expected():.0f} mg/L free SO2 was expected: repeat the reading before dosing on it."
        yield Finding("far_from_forecast", told, None, tuple(map(s.fact, (*known.rules, "reading_far"))))


def _strip_read(s: Subject, on: date, trend: float) -> bool:
    """Return whether a strip over the trend mark was read that day already: the next makes the mean that counts."""
    read = (event.body for event in s.c.log if event.on == on)
    return any(isinstance(one, k.Reading) and one.method == "strip" and (one.free_so2 or 0) > trend for one in read)


def _chill(s: Subject, body: k.Chill) -> Iterator[Finding]:
    strength = s.alcohol
    if body.temperature is not None and strength is not None:
        try:
            freezes = cold.freezing_point(strength)
        except OutOfRange:
            return
        if body.temperature < freezes:
            told = f"{body.temperature:g} C is under the freezing point, about {freezes:.1f} C: ice bursts vessels."
            yield Finding("freezing", told)
    if body.start and s.ph is not None and (last := last_reading(s.c, "malic")) is not None and s.ml.live:
        told = f"malic acid was {last.value:g} g/L on {last.on}: cold stops malolactic fermentation."
        yield Finding("chill_malolactic", told, None, ground(s))
