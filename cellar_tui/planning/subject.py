"""One filling under the eye of the rules: what has happened to it, put into the trade's questions."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from datetime import timedelta
from typing import Any, TypeVar, cast

from cellar_tui.ledger import ferment, history
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger import malolactic as ml
from cellar_tui.ledger.beginnings import FAR, Answer
from cellar_tui.ledger.cellar import VesselInfo
from cellar_tui.ledger.contents import Contents, Event, Sugar
from cellar_tui.ledger.history import Evidence
from cellar_tui.ledger.house import SETTINGS, House
from cellar_tui.ledger.materials import material
from cellar_tui.ledger.styles import Intents
from cellar_tui.planning.once import once
from cellar_tui.planning.plan import HOUSE_RULE, Fact

T = TypeVar("T")


def house_fact(house: House, setting: str) -> Fact:
    """Return a house rule as an input of an explanation, with the entry that changed it."""
    rule = SETTINGS[setting]
    value = house.word(setting) if rule.words else house.number(setting)
    return Fact(f"{HOUSE_RULE}{setting}", value, rule.unit, house.source(setting))


def span(house: House, setting: str) -> timedelta:
    """Return a house rule in days (or weeks) as a span."""
    count = house.number(setting)
    return timedelta(days=round(count * 7 if SETTINGS[setting].unit == "weeks" else count))


def all_skips(s: Subject, rule: str) -> list[tuple[int, Event]]:
    """Return every skip of an action of this rule, also those that only hold it off until a day."""
    return [(i, e) for i, e in s.events(k.Skip) if isinstance(e.body, k.Skip) and e.body.action == rule]


def clear_rule(wanted: Intents) -> str:
    """Return the house rule of the turbidity under which such a wine is clear."""
    return "clear_ntu_red" if wanted.red else "clear_ntu"


class Subject:
    """A filling with its vessel and the house rules; a question is answered once for all moments with the same answer.

    Attributes:
        c: its contents, of which it is noted what is read.
        courses: what was believed of its free SO2 along its log, by where its ferment ended (`forecast.track`).
        whole: the wine after its whole log.
        earlier: it is a beginning of that log.
    """

    def __init__(self, contents: Contents, vessel: VesselInfo, house: House, whole: Subject | None = None) -> None:
        self.c = contents.watched() if whole is None else contents
        self.vessel = vessel
        self.house = house
        self.whole = self if whole is None else whole
        self.earlier = whole is not None
        self.courses: dict[int, Any] = {}
        self._answers: dict[Hashable, Answer[Any]] = {}
        self._beginnings: dict[int, Subject] = {}
        self._before: list[Subject] = []

    # -- how it is looked at

    def as_of(self, size: int) -> Subject:
        """Return the same filling after the first `size` events of its log."""
        if size >= self.c.size:
            return self
        known = self.whole._beginnings
        if size not in known:
            known[size] = Subject(self.c.prefix(size), self.vessel, self.house, self.whole)
        return known[size]

    def ask(self, question: Hashable, work: Callable[[], T]) -> T:
        """Return the answer to a question, worked out once for all beginnings of the log that give the same."""
        found = self._answers.get(question)
        if found is None:
            found = self._answers[question] = self.c.places.answer(question, self.c.size, work)
        else:
            self.c.places.read_from(found.span, self.c.size)
        return cast(T, found.value)

    @property
    def before(self) -> Subject | None:
        """The wine that stood in the vessel until a blend, None where no blend made this one."""
        known = self.whole._before
        if self.c.before is not None and not known:
            known.append(Subject(self.c.before, self.vessel, self.house))
        return known[0] if known else None

    def events(self, *kinds: type[k.Body], after: int = -1) -> list[tuple[int, Event]]:
        """Return index and event of entries of these kinds, made on this filling itself, later than `after`."""
        return [one for one in self.c.at(self.c.places.of(*kinds), after) if not one[1].passive]

    def skips(self, rule: str) -> list[tuple[int, Event]]:
        """Return the times that an action of this rule was looked at and found not needed: its cycle ended there."""
        return [
            skip for skip in all_skips(self, rule) if isinstance(skip[1].body, k.Skip) and skip[1].body.until is None
        ]

    def fact(self, setting: str) -> Fact:
        """Return a house rule as an input of an explanation, with the entry that changed it."""
        return house_fact(self.house, setting)

    def changed(self, *settings: str) -> tuple[Fact, ...]:
        """Return those of the house rules that this cellar has changed.

        For what a date rests on at second hand: a default goes without saying there, a change does not.
        """
        return tuple(self.fact(name) for name in settings if self.house.source(name))

    def figure(self, setting: str) -> str:
        """Return a numeric house rule as it is written where it is spoken of, without its unit."""
        return f"{self.house.number(setting):g}"

    def days(self, setting: str) -> timedelta:
        """Return a house rule in days (or weeks) as a span."""
        return span(self.house, setting)

    # -- what is wanted

    @property
    @once
    def intents(self) -> Intents:
        """What the winemaker wants of it now."""
        return history.intents(self.c)

    # -- the ferment

    @property
    @once
    def end(self) -> ferment.Finish | None:
        """How and when the ferment ended."""
        return ferment.finish(self.c, self.house)

    @property
    def end_index(self) -> int:
        """Place in the log after which it is a wine; past the log while it still ferments."""
        return FAR if self.end is None else self.end.index

    @property
    @once
    def arrest(self) -> ferment.Finish | None:
        """When its yeast was stopped with sugar left."""
        return ferment.arrest(self.c, self.end, self.house)

    @property
    def alive_by_cold(self) -> bool:
        """Its yeast was stopped with sugar left."""
        return self.arrest is not None

    @property
    @once
    def gravities(self) -> list[Evidence]:
        """The gravities that count, oldest first [SG 20/20]."""
        return ferment.gravities(self.c)

    @property
    @once
    def sweetenings(self) -> list[tuple[int, Event]]:
        """What brought fermentable sugar into the finished wine, by any road."""
        sweet = self.c.places.where("sweetened", lambda e: e.sugar > 0 and not e.fed and not e.passive)
        return list(self.c.at(sweet, self.end_index))

    @property
    def sweetened(self) -> bool:
        """Sugar went in after the finish."""
        return bool(self.sweetenings)

    @property
    @once
    def sugar(self) -> float | None:
        """Sugar that yeast could ferment [g/L]: read, proven gone, estimated; None in a ferment or where unknown."""
        held = self.sugar_held
        return held.middle if self.end is not None and held.known else None

    @property
    @once
    def sugar_held(self) -> Sugar:
        """The sugar in a litre of it [g]: what is likely, and the least and the most it can be."""
        now = self.c.now
        return now.sugar.share(1 / now.volume) if now.volume > 0 else Sugar()

    @property
    @once
    def alcohol(self) -> float | None:
        """Strength [% vol]: measured, stated, mixed, or read off the fall of gravity."""
        return self.c.now.alcohol

    # -- malolactic fermentation

    @property
    @once
    def ml(self) -> ml.Malolactic:
        """Where the malolactic fermentation stands."""
        return ml.malolactic(self.c, self.house)

    # -- sulfite

    @property
    @once
    def ph(self) -> Evidence | None:
        """The last pH."""
        return history.last_reading(self.c, "ph")

    @property
    @once
    def free(self) -> Evidence | None:
        """The last free SO2 reading that a dose or verdict may rest on [mg/L]; a must's tells nothing of a wine."""
        seen = history.free_readings(self.c, self.house, -1 if self.end is None else self.end.index)
        return seen[-1] if seen else None

    @property
    def volume(self) -> float:
        """Volume [L]."""
        return self.c.now.volume

    @property
    def sorbate(self) -> float:
        """Potassium sorbate [mg/L]."""
        return self.c.now.mg_l(self.c.now.sorbate * 1000)

    @property
    def total_so2(self) -> float:
        """Total SO2 by the ledger [mg/L]."""
        return self.c.now.mg_l(self.c.now.so2_total)

    # -- work done on it

    def added(self, *sorts: str, after: int = -1) -> list[tuple[int, Event]]:
        """Return the additions of materials of these sorts later than index `after`."""
        return [(i, e) for i, e, _ in history.additions(self.c, lambda name: material(name).sort in sorts, after)]

    @property
    @once
    def clarity(self) -> list[Evidence]:
        """Looks at clearness since the finish, as 1 (clear) or 0: by eye or by turbidity."""
        limit = self.house.number(clear_rule(self.intents))
        seen = [one for one, _ in history.checks(self.c, "clarity")]
        seen += [
            Evidence(float(reading.value < limit), reading.on, reading.minute, reading.entries, reading.index)
            for reading in history.readings(self.c, "turbidity")
        ]
        return sorted((one for one in seen if one.index > self.end_index), key=lambda one: one.index)

    @property
    @once
    def clear(self) -> Evidence | None:
        """The look that shows it clear: the last one passed, and no fining, blend or failed one since."""
        if not self.clarity or self.clarity[-1].value < 1:
            return None
        last = self.clarity[-1]
        return None if self.added("fining", after=last.index) or self.events(k.Blend, after=last.index) else last
