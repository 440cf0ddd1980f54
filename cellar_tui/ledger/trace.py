"""Where wine is from and where it went: parcels, additions and lots, followed through every transfer of the ledger.

Entries are folded one by one, and what flowed is read off the fold itself: a problem that the fold solved in its own
way (no vessel gives more than it holds) is traced as it was solved. Nothing is followed by its name.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar import Cellar, house_of, vessels_of
from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fold import apply
from cellar_tui.ledger.house import House

CAME_IN = (WineStart, k.Harvest, k.Addition, k.Topping)
"""Kinds of entry that bring something into the cellar's wine."""


@dataclass(frozen=True, slots=True)
class Origin:
    """What the wine of one vessel or store is made of.

    Attributes:
        litres: wine, juice, spirit or water by the entry that brought it in [L]; they add up to the volume.
        entries: every entry that brought something into it, the dry ones too.
    """

    litres: Mapping[int, float] = field(default_factory=dict)
    entries: frozenset[int] = frozenset()

    def scaled(self, volume: float) -> Origin:
        """Return the same make-up in another volume [L]."""
        whole = sum(self.litres.values())
        part = volume / whole if whole > 0 else 0.0
        return Origin({one: litres * part for one, litres in self.litres.items()}, self.entries)

    def plus(self, other: Origin) -> Origin:
        """Return both together."""
        found = dict(self.litres)
        for one, litres in other.litres.items():
            found[one] = found.get(one, 0.0) + litres
        return Origin(found, self.entries | other.entries)


@dataclass(slots=True)
class Traced:
    """The cellar with the origin of all that it holds, and of all that it ever held.

    Attributes:
        cellar: as the fold leaves it.
        holds: origin by vessel or store that holds wine.
        ever: entries that ever came into a vessel or store, with the wine that held them then.
    """

    cellar: Cellar
    holds: dict[int, Origin] = field(default_factory=dict)
    ever: dict[tuple[int, str], set[int]] = field(default_factory=dict)

    def reached(self, entries: Iterable[int]) -> list[tuple[int, str]]:
        """Return every vessel or store, with the name of its wine, that any of these entries ever reached."""
        wanted = set(entries)
        return sorted(place for place, came in self.ever.items() if came & wanted)


def trace(entries: Iterable[Entry], house: House | None = None) -> Traced:
    """Follow standing entries, in the order they happened."""
    ordered = list(entries)
    found = Traced(Cellar(house or house_of(ordered), vessels_of(ordered)))
    for entry in ordered:
        _follow(entry, found)
    return found


def _follow(entry: Entry, found: Traced) -> None:
    holds = found.cellar.holds
    body = entry.body
    named = (entry.vessel, entry.root, *(getattr(body, name, None) for name in ("to", "source", "into")))
    places = {one for one in named if isinstance(one, int)}
    before = {place: holds[place] for place in places if place in holds}
    old = {one: found.holds.get(one, Origin()) for one in before}
    apply(entry, found.cellar)
    for place in places:
        now = holds.get(place)
        if now is None:
            found.holds.pop(place, None)
        elif now is not before.get(place):
            made = _made(entry, place, now, before, old, found.cellar).scaled(now.now.volume)
            found.holds[place] = made
            found.ever.setdefault((place, now.wine), set()).update(made.entries)


def _made(
    entry: Entry, place: int, now: Contents, before: Mapping[int, Contents], old: Mapping[int, Origin], cellar: Cellar
) -> Origin:
    """Return what a vessel holds after an entry: what stayed there, what was poured in, what was brought in."""
    stayed = before.get(place)
    found = Origin() if stayed is None else old[place]
    sources = {entry.vessel, getattr(entry.body, "source", None)}
    for source in set(before) & sources - {place}:
        poured = _poured(entry.body, source, place, now, before, cellar)
        if poured > 0:
            found = found.plus(old[source].scaled(poured))
    return found.plus(_brought(entry, place, now, stayed))


def _poured(
    body: k.Body, source: int, place: int, now: Contents, before: Mapping[int, Contents], cellar: Cellar
) -> float:
    """Return how much of a source went into a vessel [L]; nothing where the source only lost wine elsewhere."""
    left = cellar.holds.get(source)
    gone = before[source].now.volume - (left.now.volume if left is not None else 0.0)
    held = before[place].now.volume if place in before else 0.0
    if isinstance(body, k.Topping | k.Blend):
        return gone if now.now.volume > held or place not in before else 0.0
    return min(gone, max(0.0, now.now.volume - held))


def _brought(entry: Entry, place: int, now: Contents, stayed: Contents | None) -> Origin:
    """Return what an entry brought into the cellar, if it came into this vessel."""
    body = entry.body
    if place != entry.vessel or not isinstance(body, CAME_IN):
        return Origin()
    if isinstance(body, k.Topping) and body.source is not None and not body.outside:
        return Origin()
    gained = now.now.volume - (0.0 if stayed is None else stayed.now.volume)
    if isinstance(body, k.Topping):
        gained = body.volume or 0.0
    litres = {entry.root: gained} if gained > 0 else {}
    return Origin(litres, frozenset((entry.root,)))
