"""Law 6 of sugar: it is never shown lower than what was put in, and never comes onto live yeast without a stop."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from cellar_tui.ledger import ferment
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar import Cellar
from cellar_tui.ledger.cellar_kinds import Vessel, WineStart
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.effects import weighed_out
from cellar_tui.ledger.entry import Entry
from cellar_tui.planning.consider import CellarState, consider
from cellar_tui.planning.subject import Subject
from tests.laws.book import Book
from tests.laws.statements import steps

EATEN = 3.0
"""Most sugar that yeast can have eaten for a fall of gravity by 0.001 [g/L]: no ethanol but all extract lost would be
2.6 g/L by the sucrose table."""

STOP = "sugar_before_sorbate"


@dataclass
class Purse:
    """A second account of one wine: the sugar that is surely in it [g] and the highest gravity since that was known."""

    grams: float = 0.0
    top: float | None = None

    def put_in(self, grams: float) -> None:
        """Count sugar that came in."""
        self.grams, self.top = self.grams + grams, None

    def read_gravity(self, sg: float, volume: float, runs: bool) -> None:
        """Count what yeast can have eaten: all of it in a ferment, else by the fall of gravity."""
        if self.top is not None and self.top - sg > 0.0005:
            eaten = (self.top - sg) * 1000 * EATEN * volume
            self.grams = 0.0 if runs else max(0.0, self.grams - eaten)
        self.top = sg


def sugar_is_never_shown_lower_than_what_went_in(book: Book) -> None:
    """By a second account of readings and additions: what is shown is that or more, less what yeast can have eaten."""
    purses: dict[int, Purse] = {}
    for entry, before, cellar in steps(book):
        _book(entry, before, cellar, purses)
        for vessel, held in cellar.holds.items():
            s = Subject(held, cellar.vessels[vessel], cellar.house)
            purse = purses.get(vessel)
            if purse is not None and s.sugar is not None:
                assert s.sugar * held.now.volume >= purse.grams - 1e-6 * max(1.0, purse.grams), (
                    f"{cellar.name(vessel)} holds {purse.grams:.1f} g, {s.sugar * held.now.volume:.1f} are shown"
                )


def _book(entry: Entry, before: dict[int, Contents], cellar: Cellar, purses: dict[int, Purse]) -> None:
    body, vessel = entry.body, entry.vessel or 0
    changed = {v for v in {*before, *cellar.holds} if before.get(v) is not cellar.holds.get(v)}
    if isinstance(body, WineStart) and vessel in changed:
        purses[vessel] = Purse()
    elif isinstance(body, k.Addition | k.Reading) and vessel in changed and vessel in cellar.holds:
        _judged(body, before[vessel], cellar, purses[vessel])
    else:
        _moved(entry, before, cellar, changed, purses)


def _judged(body: k.Addition | k.Reading, before: Contents, cellar: Cellar, purse: Purse) -> None:
    held = cellar.holds[before.vessel]
    part = held.now.volume / before.now.volume if isinstance(body, k.Reading) and before.now.volume > 0 else 1.0
    purse.grams *= part
    if isinstance(body, k.Addition):
        if body.sugar_g and not held.log[-1].fed:
            purse.put_in(body.sugar_g)
        return
    seen = [one for one in ferment.gravities(held) if one.index == len(held.log) - 1]
    if body.residual_sugar is not None:
        purse.grams, purse.top = body.residual_sugar * held.now.volume, seen[0].value if seen else purse.top
    elif seen:
        runs = ferment.finish(before, cellar.house) is None
        purse.read_gravity(seen[0].value, held.now.volume, runs)


def _moved(
    entry: Entry, before: dict[int, Contents], cellar: Cellar, changed: set[int], purses: dict[int, Purse]
) -> None:
    """Share what is surely there by volume; wine that came out of a ferment or went into it counts as eaten."""
    was = {v: replace(purses.get(v, Purse())) for v in changed}
    source = getattr(entry.body, "source", None)
    for vessel in changed:
        held = cellar.holds.get(vessel)
        if held is None:
            purses.pop(vessel, None)
            continue
        runs = ferment.finish(held, cellar.house) is None
        come_from = [vessel] if vessel in before else []
        if (isinstance(entry.body, k.Blend) and vessel != source) or vessel not in before:
            come_from = [entry.vessel or 0]
        grams = 0.0
        for one in come_from:
            if one in before and before[one].now.volume > 0 and one in was:
                grams += was[one].grams * min(1.0, held.now.volume / before[one].now.volume)
        top = was[come_from[0]].top if come_from and come_from[0] in was else None
        joined = isinstance(entry.body, k.Blend | k.Topping) and vessel != source
        purses[vessel] = Purse(0.0 if runs and joined else grams, None if joined else top)


# -- no sugar onto live yeast without a stop

POURED = 60.0
"""Sugar of the wine that is poured in [g/L]."""
SWEET = ("stated", "read", "by gravity and strength", "must", "arrested and unknown")


def no_sugar_comes_onto_live_yeast_without_a_stop(book: Book, kind: str, share: float) -> None:
    """2 g/L or more by sugar or by a wine that holds it, into every finished wine that nothing holds."""
    made = list(book.entries)
    day = max(one.on for one in made) + timedelta(days=20)
    source, sugar = _sweet_wine(made, kind, day - timedelta(days=1))
    base = CellarState(made)
    for vessel in _live(base.cellar, source):
        volume = base.cellar.holds[vessel].now.volume
        grams = weighed_out(k.Addition(material="sugar"), 2.3 * volume, None)
        assert STOP in _said(base, grams, vessel, day), "sugar passed"
        wanted = 2.1 * volume / (sugar - 2.1)
        if wanted < 90:
            poured = _said(base, k.Topping(source=source, volume=wanted), vessel, day)
            if "overfull" in poured:  # what does not fit is not poured at all
                continue
            assert STOP in poured, f"{kind} topped in passed"
            assert STOP in _said(base, k.Blend(source=source, volume=wanted), vessel, day), f"{kind} blended in passed"
            _in_parts(base, source, wanted * share, int(1 / share) + 1, vessel, day)


def _in_parts(base: CellarState, source: int, part: float, times: int, vessel: int, day: date) -> None:
    """Small toppings pass one by one and are stopped once their sum is too much."""
    made = list(base.entries)
    for number in range(times):
        now = CellarState(made)
        if STOP in _said(now, k.Topping(source=source, volume=part), vessel, day + timedelta(days=number)):
            return
        _entry(made, k.Topping(source=source, volume=part), vessel, day + timedelta(days=number))
    raise AssertionError("sweet wine topped in by little and little passed")


def _live(cellar: Cellar, source: int) -> Iterator[int]:
    """Yield the vessels but `source` whose wine is finished and held by nothing: no sorbate, no filter, no spirit."""
    for vessel, held in cellar.holds.items():
        s = Subject(held, cellar.vessels[vessel], cellar.house)
        filtered = any(isinstance(e.body, k.Filter) and e.body.sterile for e in held.log)
        spirit = (held.now.alcohol or 0.0) >= 18 or s.intents.finish == "fortified"
        if (
            vessel == source
            or held.store
            or s.end is None
            or held.now.sorbate > 0
            or filtered
            or s.intents.sterile_filtration
            or spirit
        ):
            continue
        # What holds more sugar than is poured in, and is kept from waking by nothing but cold, is no sweeter for it.
        # Nor is what already counts as sweeter, for a must or wine of unknown sugar was poured in before.
        if held.now.volume > 0.5 and s.sugar_held.low < 1 and held.now.counted < POURED:
            yield vessel


def _sweet_wine(made: list[Entry], kind: str, day: date) -> tuple[int, float]:
    """Put 100 L of a sweet wine beside the others and return its vessel and the sugar it holds at least [g/L]."""
    vessel = _entry(made, Vessel(name="sweet", capacity=100.0, material="steel"), None, day)
    told = {"name": "Fen", "style": "arrested_sweet", "volume": 100.0, "finished": True}
    if kind == "stated":
        _entry(made, WineStart(**told, sugar=60.0), vessel, day)  # type: ignore[arg-type]
    elif kind == "must":
        _entry(made, WineStart(name="Fen", style="dry_white", volume=100.0, sg=1.080), vessel, day)
    else:
        _entry(made, WineStart(**told), vessel, day)  # type: ignore[arg-type]
    if kind == "read":
        _entry(made, k.Reading(residual_sugar=60.0), vessel, day)
    elif kind == "by gravity and strength":
        _entry(made, k.Reading(sg=1.016, alcohol=12.0), vessel, day)
    return vessel, POURED


def _entry(made: list[Entry], body: k.Body, vessel: int | None, day: date) -> int:
    seq = len(made) + 1
    made.append(
        replace(made[0], seq=seq, key=seq.to_bytes(16, "big"), on=day, minute=None, body=body, vessel=vessel, root=0)
    )
    return seq


def _said(base: CellarState, body: k.Body, vessel: int, day: date) -> set[str]:
    seq = len(base.entries) + 1
    entry = replace(
        base.entries[0], seq=seq, key=seq.to_bytes(16, "big"), on=day, minute=None, body=body, vessel=vessel, root=0
    )
    weighed = consider(base, [entry]).weighed
    return {finding.guard for one in weighed for finding in one.findings if finding.stops}
