"""What a vessel holds: the amounts in it and everything that has happened to that wine."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import TypeVar

from cellar_tui.ledger.beginnings import Log, Places
from cellar_tui.ledger.entry import NOON
from cellar_tui.ledger.kinds import Body, Press
from cellar_tui.ledger.styles import Intents

T = TypeVar("T")


def _part(mass: float | None, part: float) -> float | None:
    """Return a share of a mass, unknown where the mass is."""
    return None if mass is None else mass * part


def _both(first: float | None, second: float | None) -> float | None:
    """Return two masses together, unknown where either is."""
    return None if first is None or second is None else first + second


@dataclass(frozen=True, slots=True)
class Sugar:
    """Sugar that yeast could ferment in one filling [g]; as it is made, nothing is known of it.

    Attributes:
        low: the least that can be in it: what was read or put in.
        middle: what is likely; where the sugar is not known, the part of it that is.
        high: the most that can be in it, endless where it is not known.
    """

    low: float = 0.0
    middle: float = 0.0
    high: float = math.inf

    @property
    def known(self) -> bool:
        """It was read, proven, estimated or stated."""
        return math.isfinite(self.high)

    @property
    def exact(self) -> bool:
        """It rests on a reading or a proof, not on an estimate."""
        return self.high <= self.low

    def share(self, part: float) -> Sugar:
        """Return the sugar in `part` (0 to 1 and over) of this wine."""
        return Sugar(self.low * part, self.middle * part, self.high * part if self.known else math.inf)

    def plus(self, other: Sugar) -> Sugar:
        """Return the sugar of both together; not known in either is not known in the sum."""
        return Sugar(self.low + other.low, self.middle + other.middle, self.high + other.high)


def exactly(grams: float) -> Sugar:
    """Return sugar known by a reading, a proof or a scale [g]."""
    return Sugar(grams, grams, grams)


@dataclass(frozen=True, slots=True)
class Amounts:
    """Masses and volumes in one filling; they add up when wines are joined.

    A mass that is not known is None, and so is what it becomes part of.

    Attributes:
        volume: [L].
        so2_added: SO2 put in by hand [mg].
        so2_total: total SO2 [mg]: the yeast's own until measured, or the last measured total, and what was added since.
        sorbate: potassium sorbate [g].
        sugar: sugar that yeast could ferment: the last reading and what came in since, else estimated from gravity [g].
        gained: that reading and what came in since, on the high side: what the guards against bursting count [g].
        fed: sugar fed to the ferment [g].
        ethanol: pure ethanol [L], None where the strength is not known.
        potassium: potassium from salts added [mg].
        copper: copper added [mg].
        original: what it would weigh unfermented [SG x L]: by the gravity of its must and all that came in since.
        weight: what it weighs by its last gravity and all that came in since [SG x L].
        potential: fermentable sugar that its ferment had to eat [g]: the must's by its gravity, and what was fed since.
    """

    volume: float = 0.0
    so2_added: float = 0.0
    so2_total: float = 0.0
    sorbate: float = 0.0
    sugar: Sugar = Sugar()
    gained: float = 0.0
    fed: float = 0.0
    ethanol: float | None = None
    potassium: float = 0.0
    copper: float = 0.0
    original: float | None = None
    weight: float | None = None
    potential: float | None = None

    def share(self, part: float) -> Amounts:
        """Return the amounts in `part` (0 to 1) of this wine."""
        return Amounts(
            self.volume * part,
            self.so2_added * part,
            self.so2_total * part,
            self.sorbate * part,
            self.sugar.share(part),
            self.gained * part,
            self.fed * part,
            _part(self.ethanol, part),
            self.potassium * part,
            self.copper * part,
            _part(self.original, part),
            _part(self.weight, part),
            _part(self.potential, part),
        )

    def plus(self, other: Amounts) -> Amounts:
        """Return the amounts of both together; what is unknown in either is unknown in the sum."""
        return Amounts(
            self.volume + other.volume,
            self.so2_added + other.so2_added,
            self.so2_total + other.so2_total,
            self.sorbate + other.sorbate,
            self.sugar.plus(other.sugar),
            self.gained + other.gained,
            self.fed + other.fed,
            _both(self.ethanol, other.ethanol),
            self.potassium + other.potassium,
            self.copper + other.copper,
            _both(self.original, other.original),
            _both(self.weight, other.weight),
            _both(self.potential, other.potential),
        )

    def mg_l(self, milligrams: float) -> float:
        """Return a mass in this wine as a concentration [mg/L]; nothing in nothing is 0."""
        return milligrams / self.volume if self.volume > 0 else 0.0

    def g_l(self, grams: float) -> float:
        """Return a mass in this wine as a concentration [g/L]; nothing in nothing is 0."""
        return grams / self.volume if self.volume > 0 else 0.0

    def per_litre(self, mass: float | None) -> float | None:
        """Return a mass in a litre of this wine, None where it is not known or there is no wine."""
        return None if mass is None or self.volume <= 0 else mass / self.volume

    @property
    def counted(self) -> float:
        """Sugar that guards against bursting count [g/L]: the last reading and what came in since, on the high side."""
        return self.g_l(self.gained)

    @property
    def alcohol(self) -> float | None:
        """Strength [% vol], None where it is not known."""
        strength = self.per_litre(self.ethanol)
        return None if strength is None else 100 * strength

    @property
    def original_gravity(self) -> float | None:
        """Gravity it would have unfermented [SG 20/20], with all that came into it."""
        return self.per_litre(self.original)

    @property
    def gravity(self) -> float | None:
        """Its last gravity [SG 20/20], carried through all that came in since."""
        return self.per_litre(self.weight)


@dataclass(frozen=True, slots=True)
class Given:
    """What a filling begins with that no reading of its own shows: stated by a person, or carried over by a blend.

    Attributes:
        finished: day of the finish, None where the ferment is still to come or running.
        malolactic: state of the malolactic fermentation.
        first_sulfite: whether the first sulfite counts as in; None where that is not known.
        fermenting: yeast is at work already.
        sorbate_fit: sorbate in every part was effective (meaningless without sorbate).
        arrested: yeast was stopped by cold and is alive.
        fortified: spirit is in it.
        live: a malolactic fermentation may be alive in it.
        untouched: began as must in this cellar, so that nothing unknown lies before its first entry.
        strength_known: its alcohol was stated or measured.
        stated_total: its total SO2 was stated.
    """

    finished: date | None = None
    malolactic: str = "none"
    first_sulfite: bool | None = False
    fermenting: bool = False
    sorbate_fit: bool = True
    arrested: bool = False
    fortified: bool = False
    live: bool = False
    untouched: bool = True
    strength_known: bool = False
    stated_total: bool = False


@dataclass(frozen=True, slots=True)
class Event:
    """One entry as it befell one filling.

    Attributes:
        entry: number of the entry (the root of its chain of corrections).
        on, minute: when it happened; minute is None where no hour was given.
        by: whose entry it is.
        body: what it says.
        after: amounts once it had happened.
        before: amounts before it.
        values: readings as they count: gravity corrected for temperature, Brix turned into SG.
        foreign: share of other wine that came in (0 to 1).
        fed: the sugar in it fed a running ferment.
        so2, sorbate, potassium: what it raised, in mg/L of the wine after it.
        sugar: sugar that it brought [g/L of the wine after it]; poured wine counts once the whole is sweet.
        passive: the entry was made on another vessel and only took wine from this one.
        live: wine with a live malolactic fermentation came in.
        into: material of the vessel that it moved the wine into, "" where the wine stayed.
        must: its gravity was read before the yeast worked.
        poured: the wine of this cellar that was poured in, as it stood before; None where none was.
        poured_mark: its mark, by which two foldings are compared without following every wine poured into another.
    """

    entry: int
    on: date
    minute: int | None
    by: str
    body: Body
    before: Amounts
    after: Amounts
    values: Mapping[str, float] = field(default_factory=dict)
    foreign: float = 0.0
    fed: bool = False
    so2: float = 0.0
    sugar: float = 0.0
    sorbate: float = 0.0
    potassium: float = 0.0
    passive: bool = False
    live: bool = False
    into: str = ""
    poured: Contents | None = field(default=None, compare=False, repr=False)
    poured_mark: int = 0
    must: bool = False

    @property
    def at(self) -> tuple[date, int]:
        """Day and minute, noon where no hour was given."""
        return self.on, NOON if self.minute is None else self.minute

    @property
    def mark(self) -> int:
        """A fingerprint of it, equal for equal events of one run of the program."""
        return hash(
            (self.entry, self.at, self.body, self.before, self.after, self.passive, self.into, self.poured_mark)
        )


@dataclass(frozen=True, slots=True)
class Contents:
    """The wine in one vessel from filling to emptying.

    Attributes:
        filling: number of the entry that filled it first.
        vessel: vessel it lies in, or store of bottles.
        wine: its name.
        base: intents before any `intent` entry.
        started: day the wine began (of the youngest part of a blend).
        harvested: day of harvest, where stated (the latest of a blend's parts).
        source: grape, fruit, juice, concentrate or honey.
        skins: it began on its skins or pulp.
        first_sg: gravity of the must, where stated.
        given: what it begins with.
        parents: fillings it came from.
        log: what happened to it, in order.
        begin: amounts at the beginning.
        store: it lies in bottles.
        material: of the vessel that it was filled into first.
        before: the wine that stood in the vessel until a blend made this one of it.
        fruit: which fruit it is made from, "" where nobody said.
        kept: what was worked out of these contents, under a name, so that it is worked out once.
    """

    filling: int
    vessel: int
    wine: str
    base: Intents
    started: date
    harvested: date | None
    source: str
    skins: bool
    first_sg: float | None
    given: Given
    begin: Amounts
    parents: tuple[int, ...] = ()
    log: Sequence[Event] = ()
    store: bool = False
    material: str = "glass"
    before: Contents | None = None
    fruit: str = ""
    kept: dict[str, object] = field(default_factory=dict, init=False, compare=False, repr=False)
    _places: Places[Event] | None = field(default=None, init=False, compare=False, repr=False)

    @property
    def now(self) -> Amounts:
        """Amounts after the last event."""
        size = self.size
        if self._places is not None:
            self._places.looked_at_amounts(size)
        return self.log[size - 1].after if size else self.begin

    @property
    def size(self) -> int:
        """Number of events, to find them by their places; no answer is read from it, as it is from the log's length."""
        return self.log.size if isinstance(self.log, Log) else len(self.log)

    @property
    def on_skins(self) -> bool:
        """It lies on its skins or pulp, not yet pressed."""
        return self.skins and not any(not event.passive for _, event in self.at(self.places.of(Press)))

    @property
    def mark(self) -> int:
        """A fingerprint of all that it holds, equal for equal contents of one run of the program."""
        before = 0 if self.before is None else self.before.mark
        begin = (self.filling, self.base, self.started, self.given, self.begin, self.material, before)
        return hash((*begin, *(event.mark for event in self.log)))

    def with_event(self, event: Event) -> Contents:
        """Return these contents with one more event."""
        log = (*self.log, event)
        found = self.with_log(log)
        if self._places is not None and not isinstance(self.log, Log):
            object.__setattr__(found, "_places", self._places.followed_by(log))
        return found

    @property
    def places(self) -> Places[Event]:
        """Where each kind of entry and reading stands in the log, and past it in a log that this one begins."""
        if self._places is None:
            object.__setattr__(self, "_places", Places(tuple(self.log)))
        assert self._places is not None
        return self._places

    def prefix(self, size: int) -> Contents:
        """Return these contents as they stood after the first `size` events."""
        return self._beginning(self.places, size)

    def watched(self) -> Contents:
        """Return these contents with a log of which it is noted what is read, for nobody else."""
        return self._beginning(Places(tuple(self.log)), self.size)

    def _beginning(self, places: Places[Event], size: int) -> Contents:
        found = self.with_log(Log(places, size))
        object.__setattr__(found, "_places", places)
        return found

    def with_log(self, log: Sequence[Event]) -> Contents:
        """Return these contents with another log."""
        # Written out: the fold makes one of these for every entry, and `replace` costs several times as much.
        return Contents(
            self.filling,
            self.vessel,
            self.wine,
            self.base,
            self.started,
            self.harvested,
            self.source,
            self.skins,
            self.first_sg,
            self.given,
            self.begin,
            self.parents,
            log,
            self.store,
            self.material,
            self.before,
            self.fruit,
        )

    def each(self, kind: type[Body], after: int = -1) -> Iterator[tuple[int, Event]]:
        """Yield index and event of each entry of `kind` later than index `after`."""
        return self.at(self.places.of(kind), after)

    def at(self, places: Sequence[int], after: int = -1) -> Iterator[tuple[int, Event]]:
        """Yield index and event at those of some places that lie in the log, later than index `after`."""
        for place in self.among(places, after):
            yield place, self.log[place]

    def among(self, places: Sequence[int], after: int = -1) -> Sequence[int]:
        """Return those of some places that lie in the log, later than index `after`."""
        self.places.looked(places, self.size)
        return places[bisect_right(places, after) : bisect_left(places, self.size)]

    def made_of(
        self, name: Hashable, places: Sequence[int], make: Callable[[int, Event], T], after: int = -1
    ) -> list[T]:
        """Return what is made of the events at those of some places that lie in the log, later than index `after`.

        It is made once for the whole log; `name` stands for what is made of which places.
        """
        own = self.places
        own.looked(places, self.size)
        made: list[T] = own.made.get(name, [])
        if len(made) < len(places):
            made = own.made[name] = [*made, *(make(place, own.log[place]) for place in places[len(made) :])]
        return made[bisect_right(places, after) : bisect_left(places, self.size)]
