"""The trace of a wine or lot back to what it is made of, and of a material's lot forward to all that it reached."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from cellar_tui.ledger import bottle_stock
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import WineStart
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.standing import standing_entries
from cellar_tui.ledger.trace import Traced, trace
from cellar_tui.service.views import CellarError


@dataclass(frozen=True, slots=True)
class Source:
    """An entry that brought something into a wine.

    Attributes:
        entry, on: its number and day.
        vessel: name of the vessel into which it went.
        body: what it says.
        litres: what of it is in the wine now [L]; 0 for what brought none.
        share: that part of the wine (0 to 1).
    """

    entry: int
    on: date
    vessel: str
    body: k.Body
    litres: float
    share: float


@dataclass(frozen=True, slots=True)
class Yield:
    """What the crop of one vessel gave: kilograms taken in, litres pressed off (or its must)."""

    vessel: str
    kg: float
    litres: float

    @property
    def per_100_kg(self) -> float:
        """Litres from 100 kg."""
        return 100 * self.litres / self.kg


@dataclass(frozen=True, slots=True)
class Place:
    """A vessel or store, with its wine, its bottles and all that came into it; of one empty since only the names."""

    vessel: str
    wine: str
    volume: float
    stock: bottle_stock.Stock | None
    sources: tuple[Source, ...] = ()
    yields: tuple[Yield, ...] = ()

    @property
    def wines(self) -> list[Source]:
        """Wine, must and spirit by the litre, the largest part first."""
        return sorted(
            (source for source in self.sources if source.litres > 0), key=lambda source: (-source.litres, source.entry)
        )

    @property
    def intakes(self) -> list[Source]:
        """Grapes and fruit by parcel."""
        return [source for source in self.sources if isinstance(source.body, k.Harvest)]

    @property
    def additions(self) -> list[Source]:
        """Materials, in the order in which they went in."""
        return [source for source in self.sources if isinstance(source.body, k.Addition)]


@dataclass(frozen=True, slots=True)
class Trace:
    """What a name was found to be (`vessel`, `lot` or `material`), the places it is about, and what it says of them."""

    name: str
    found: str
    places: tuple[Place, ...]
    entries: tuple[int, ...] = ()


def trace_of(name: str, entries: Sequence[Entry]) -> Trace:
    """Trace a vessel or store by name, a lot of bottles, or the lot of a material.

    Raises:
        CellarError: nothing is called so.
    """
    ordered = standing_entries(entries)
    found = trace(ordered)
    by_root = {entry.root: entry for entry in ordered}
    wanted = name.casefold()
    numbers = [number for number, info in found.cellar.vessels.items() if info.name.casefold() == wanted]
    held = [number for number in numbers if number in found.cellar.holds]
    if numbers and not held:
        raise CellarError(f"{name} holds nothing now: trace the vessel that its wine went to.", field="name")
    if held:
        return Trace(name, "vessel", tuple(_place(number, found, by_root) for number in held))
    bottled = _stores(wanted, ordered, found)
    if bottled:
        return Trace(name, "lot", tuple(_place(number, found, by_root) for number in sorted(bottled)))
    used = [
        entry.root
        for entry in ordered
        if isinstance(entry.body, k.Addition) and (entry.body.lot or "").casefold() == wanted
    ]
    if not used:
        told = (
            f"nothing is called {name}: name a vessel, a store of bottles, a lot of bottles or the lot of a material."
        )
        raise CellarError(told, field="name")
    places = (_reached(place, found, by_root) for place in found.reached(used))
    return Trace(name, "material", tuple(places), tuple(used))


def _stores(lot: str, ordered: Sequence[Entry], found: Traced) -> set[int]:
    """Return the stores, emptied since or not, that a lot was filled into."""
    filled = [
        entry
        for entry in ordered
        if isinstance(entry.body, k.Bottle | WineStart) and (entry.body.lot or "").casefold() == lot
    ]
    ends = {end for one in filled for end in (one.root, getattr(one.body, "into", None)) if end is not None}
    return {end for end in ends if any(number == end for number, _ in found.ever)}


def _place(number: int, found: Traced, by_root: dict[int, Entry]) -> Place:
    name, held = found.cellar.name(number), found.cellar.holds.get(number)
    if held is None:
        wine, came = next((wine, came) for (one, wine), came in found.ever.items() if one == number)
        gone = tuple(_source(by_root[root], 0.0, 0.0, found.cellar.name) for root in sorted(came))
        return Place(name, wine, 0.0, None, gone)
    origin = found.holds[number]
    volume = held.now.volume
    sources = tuple(
        _source(by_root[root], origin.litres.get(root, 0.0), volume, found.cellar.name)
        for root in sorted(origin.entries)
    )
    stock = bottle_stock.stock(held) if held.store else None
    return Place(name, held.wine, volume, stock, sources, _yields(sources, by_root, found.cellar.name))


def _yields(
    sources: Sequence[Source], by_root: dict[int, Entry], name: Callable[[int | None], str]
) -> tuple[Yield, ...]:
    """Return the yield of each vessel whose crop is in a wine; a crop that was never weighed has none."""
    weighed: dict[int, float] = {}
    for source in sources:
        body, vessel = source.body, by_root[source.entry].vessel
        if isinstance(body, k.Harvest) and body.kg and vessel is not None:
            weighed[vessel] = weighed.get(vessel, 0.0) + body.kg
    found = []
    for vessel, kg in weighed.items():
        of_it = {source.entry for source in sources if by_root[source.entry].vessel == vessel}
        crop = _pressed(vessel, of_it, by_root)
        if crop > 0:
            found.append(Yield(name(vessel), kg, crop))
    return tuple(found)


def _pressed(vessel: int, of_it: set[int], by_root: dict[int, Entry]) -> float:
    """Return the litres pressed off in a vessel from the wine that began with these entries, else the must it began."""
    must, pressed, ours = 0.0, 0.0, False
    for entry in by_root.values():
        if entry.vessel != vessel:
            continue
        body = entry.body
        if isinstance(body, WineStart):
            ours = entry.root in of_it
            must += (body.volume or 0.0) if ours else 0.0
        elif isinstance(body, k.Harvest) and entry.root in of_it:
            must += body.volume or 0.0
        elif isinstance(body, k.Press) and ours:
            pressed += body.volume or 0.0
    return pressed or must


def _reached(place: tuple[int, str], found: Traced, by_root: dict[int, Entry]) -> Place:
    number, wine = place
    held = found.cellar.holds.get(number)
    if held is not None and held.wine == wine:
        return _place(number, found, by_root)
    return Place(found.cellar.name(number), wine, 0.0, None)


def _source(entry: Entry, litres: float, volume: float, name: Callable[[int | None], str]) -> Source:
    return Source(entry.root, entry.on, name(entry.vessel), entry.body, litres, litres / volume if volume > 0 else 0.0)


def title(source: Source) -> str:
    """Return what a source is called: a wine, a parcel with its variety, a material with its lot."""
    body = source.body
    if isinstance(body, WineStart):
        return body.name or "wine"
    if isinstance(body, k.Harvest):
        return ", ".join(filter(None, (body.parcel, body.variety))) or "intake"
    if isinstance(body, k.Topping):
        return f"{body.wine or 'wine'} from outside"
    if isinstance(body, k.Addition):
        lot = f" (lot {body.lot})" if body.lot else ""
        return f"{(body.material or '').replace('_', ' ')}{lot}"
    return body.kind
