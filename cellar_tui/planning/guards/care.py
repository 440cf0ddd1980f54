"""Cautions: recorded with the entry and never in the way."""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.enology import alcohol, cold
from cellar_tui.enology.errors import OutOfRange
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.ledger.history import additions, last_reading
from cellar_tui.planning import so2
from cellar_tui.planning.guards.base import Act, Finding
from cellar_tui.planning.subject import Subject

FAR = 10.0
"""Free SO2 this far from what was expected is read again before a dose rests on it [mg/L]; common practice."""

FULL_FERMENT = 0.8
"""Share of a vessel that a ferment may fill, for the foam; common practice."""

STRONG_MUST = 16.0
"""Potential alcohol that few yeasts finish [% vol]; common practice."""


def guard(act: Act) -> Iterator[Finding]:
    """Caution what a careful cellar hand would mention."""
    body, s = act.entry.body, act.wine
    if isinstance(body, WineStart):
        yield from _start(act, body)
    if s is None:
        return
    if isinstance(body, k.Reading):
        yield from _reading(s, body)
    elif isinstance(body, k.Chill):
        yield from _chill(s, body)
    elif isinstance(body, k.Racking) and s.intents.bottling is not None:
        days = (s.intents.bottling - act.entry.on).days
        if days in (0, 1):
            yield Finding("racking_late", "racked within a day of bottling: read free SO2 again before the filling.")
    elif isinstance(body, k.Addition) and body.material == "pectic_enzyme" and _bentonite(s):
        yield Finding("enzyme_bentonite", "bentonite takes pectic enzyme out: rack off the bentonite first.")


def _bentonite(s: Subject) -> bool:
    return any(isinstance(e.body, k.Addition) and e.body.material == "bentonite" for _, e in s.added("fining"))


def _start(act: Act, body: WineStart) -> Iterator[Finding]:
    info = act.before.vessels.get(act.entry.vessel or 0)
    room = None if info is None else info.capacity
    if room and not body.finished and (body.volume or 0.0) / room > FULL_FERMENT:
        yield Finding("full_ferment", "a ferment foams: leave a fifth of the vessel empty until it calms.")
    if body.sg is not None:
        try:
            strength = alcohol.potential_alcohol_from_sg(body.sg)
        except OutOfRange:
            return
        if strength > STRONG_MUST:
            told = f"{strength:.1f} % potential alcohol: few yeasts finish this; choose one that does."
            yield Finding("strong_must", told)


def _reading(s: Subject, body: k.Reading) -> Iterator[Finding]:
    if body.free_so2 is None:
        return
    if body.method == "titration" and s.red:
        yield Finding("reads_high", "titration reads high in reds: the true free SO2 may be several mg/L lower.")
    if body.method == "titration" and any(True for _ in additions(s.c, lambda name: name == "ascorbic_acid")):
        yield Finding("reads_high", "titration takes ascorbic acid for SO2: read it by aspiration, or do not trust it.")
    if body.method == "strip" and body.free_so2 > 20:
        told = "one strip over 20 mg/L is a trend only: read a second strip today, the mean counts."
        yield Finding("one_strip", told)
    expected, _ = so2.free_now(s)
    if expected is not None and s.end is not None and abs(body.free_so2 - expected) > FAR:
        told = f"about {expected:.0f} mg/L free SO2 was expected: repeat the reading before a dose rests on it."
        yield Finding("far_from_forecast", told)


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
        yield Finding("chill_malolactic", told)
