"""One filling under the eye of the rules: what has happened to it, put into the trade's questions."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from functools import cached_property
from typing import TYPE_CHECKING

from dateutil.relativedelta import relativedelta

from cellar_tui.ledger import ferment, history, pour
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger import malolactic as ml
from cellar_tui.ledger.cellar import VesselInfo
from cellar_tui.ledger.contents import Contents, Event, Sugar
from cellar_tui.ledger.history import Evidence
from cellar_tui.ledger.house import SETTINGS, House
from cellar_tui.ledger.materials import material
from cellar_tui.ledger.styles import Intents
from cellar_tui.planning.plan import HOUSE_RULE, Fact, Verdict

if TYPE_CHECKING:
    from cellar_tui.planning.forecast.track import Track


def house_fact(house: House, setting: str) -> Fact:
    """Return a house rule as an input of an explanation, with the entry that changed it."""
    rule = SETTINGS[setting]
    value = house.word(setting) if rule.words else house.number(setting)
    return Fact(f"{HOUSE_RULE}{setting}", value, rule.unit, house.source(setting))


class Subject:
    """A filling with its vessel and the house rules; every question is answered once and kept."""

    def __init__(self, contents: Contents, vessel: VesselInfo, house: House) -> None:
        self.c = contents
        self.vessel = vessel
        self.house = house
        self.verdicts: dict[str, Verdict] = {}
        self.tracks: dict[tuple[int, int], Track] = {}
        self._prefixes: dict[int, Subject] = {}
        self._before: list[Subject] = []
        self.earlier = False

    # -- how it is looked at

    def as_of(self, count: int) -> Subject:
        """Return the same filling after the first `count` events of its log."""
        if count >= len(self.c.log):
            return self
        if count not in self._prefixes:
            earlier = Subject(self.c.prefix(count), self.vessel, self.house)
            # A prefix of a prefix is a prefix of the whole: what is worked out once serves all of them.
            earlier._prefixes, earlier._before = self._prefixes, self._before
            earlier.tracks, earlier.earlier = self.tracks, True
            self._prefixes[count] = earlier
        return self._prefixes[count]

    @property
    def before(self) -> Subject | None:
        """The wine that stood in the vessel until a blend, None where no blend made this one."""
        if self.c.before is not None and not self._before:
            self._before.append(Subject(self.c.before, self.vessel, self.house))
        return self._before[0] if self._before else None

    def events(self, *kinds: type[k.Body], after: int = -1) -> list[tuple[int, Event]]:
        """Return index and event of entries of these kinds, made on this filling itself, later than `after`."""
        return [one for one in self.c.at(self.c.places.of(*kinds), after) if not one[1].passive]

    def skips(self, rule: str) -> list[tuple[int, Event]]:
        """Return the times that an action of this rule was looked at and found not needed: its cycle ended there."""
        return [one for one in self.all_skips(rule) if isinstance(one[1].body, k.Skip) and one[1].body.until is None]

    def all_skips(self, rule: str) -> list[tuple[int, Event]]:
        """Return every skip of an action of this rule, also those that only hold it off until a day."""
        return [(i, e) for i, e in self.events(k.Skip) if isinstance(e.body, k.Skip) and e.body.action == rule]

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
        count = self.house.number(setting)
        return timedelta(days=round(count * 7 if SETTINGS[setting].unit == "weeks" else count))

    # -- what is wanted

    @cached_property
    def intents(self) -> Intents:
        """What the winemaker wants of it now."""
        return history.intents(self.c)

    @property
    def red(self) -> bool:
        """A red wine: tannin protects it and throws its protein."""
        return self.intents.colour == "red"

    @property
    def sterile(self) -> bool:
        """Yeast and bacteria are left to a sterile filter at bottling."""
        return self.intents.sterile_filtration

    @property
    def sweet_style(self) -> bool:
        """It is to be sweetened after its ferment."""
        return self.intents.finish == "sweetened"

    @cached_property
    def wished_bottling(self) -> date:
        """The bottling day wished, or the day it reaches its minimum age."""
        return self.intents.bottling or self.of_age

    @cached_property
    def of_age(self) -> date:
        """The day it reaches its minimum age, counted from harvest, else from its start."""
        months = self.intents.minimum_age
        whole = int(months)
        born = self.c.harvested or self.c.started
        return born + relativedelta(months=whole, days=round((months - whole) * 30))

    @cached_property
    def born(self) -> date:
        """The day from which it is a wine of its own: that of the split or blend that made it, else of its start."""
        made = [event.on for event in self.c.log if event.entry == self.c.filling]
        return made[0] if made else self.c.started

    @cached_property
    def ground(self) -> tuple[Fact, ...]:
        """Changed house rules that decide where the wine stands, so that all that is asked of it rests on them."""
        wanted = self.intents.finish
        names: list[str] = []
        if self.c.given.finished is None and wanted in ("dry", "sweetened"):
            names += ferment.PROOF
        if wanted == "fortified" or self.strong is not None:
            names.append("spirit_strength")
        if self.end is not None and self.end.how == "finish_here":
            names.append("dry_sugar")
        if self.c.given.malolactic != "done":
            names += ml.PROOF
        if self.added("sugar"):
            names += ferment.FEEDING
        if self.c.given.stated_total:
            names.append("yeast_so2")
        if any(one.method == "strip" for one in self.reads):
            names.append("strip_most")
        if self.alive_by_cold:
            names.append("cold_rackings")
        if wanted == "arrested" or self.alive_by_cold:
            names.append("arrest_cold")
        if history.readings(self.c, "turbidity"):
            names.append(self.clear_rule)
        return self.changed(*names)

    # -- the ferment

    @cached_property
    def end(self) -> ferment.Finish | None:
        """How and when the ferment ended."""
        return ferment.finish(self.c, self.house)

    @property
    def end_index(self) -> int:
        """Place in the log after which it is a wine; past the log while it still ferments."""
        return len(self.c.log) if self.end is None else self.end.index

    @cached_property
    def arrest(self) -> ferment.Finish | None:
        """When its yeast was stopped with sugar left."""
        return ferment.arrest(self.c, self.end, self.house)

    @property
    def alive_by_cold(self) -> bool:
        """Its yeast was stopped with sugar left."""
        return self.arrest is not None

    @property
    def on_skins(self) -> bool:
        """It lies on its skins or pulp, not yet pressed."""
        return self.c.on_skins

    @cached_property
    def gravities(self) -> list[Evidence]:
        """The gravities that count, oldest first [SG 20/20]."""
        return ferment.gravities(self.c)

    @cached_property
    def sweetenings(self) -> list[tuple[int, Event]]:
        """What brought fermentable sugar into the finished wine, by any road."""
        return [
            (i, e)
            for i, e in enumerate(self.c.log)
            if i > self.end_index and e.sugar > 0 and not e.fed and not e.passive
        ]

    @property
    def sweetened(self) -> bool:
        """Sugar went in after the finish."""
        return bool(self.sweetenings)

    @cached_property
    def sugar(self) -> float | None:
        """Sugar that yeast could ferment [g/L]: read, proven gone, estimated; None in a ferment or where unknown."""
        held = self.sugar_held
        return held.middle if self.end is not None and held.known else None

    @cached_property
    def sugar_held(self) -> Sugar:
        """The sugar in a litre of it [g]: what is likely, and the least and the most it can be."""
        now = self.c.now
        return now.sugar.share(1 / now.volume) if now.volume > 0 else Sugar()

    @property
    def sugar_gained(self) -> float:
        """The last sugar reading and what came in since, on the high side [g/L]: what guards against bursting count."""
        return self.c.now.g_l(self.c.now.gained)

    @cached_property
    def alcohol(self) -> float | None:
        """Strength [% vol]: measured, stated, mixed, or read off the fall of gravity."""
        return self.c.now.alcohol

    @cached_property
    def strong(self) -> Evidence | None:
        """What shows 18 % (a house rule) by spirit or a reading, by what it holds now [% vol]; None where weaker."""
        strength = self.alcohol or 0.0
        if strength < self.house.number("spirit_strength"):
            return None
        for index in range(len(self.c.log) - 1, -1, -1):
            event = self.c.log[index]
            mixed = isinstance(event.body, k.Addition) and event.body.material == "spirit"
            if mixed or (isinstance(event.body, k.Reading) and "alcohol" in event.values):
                return Evidence(strength, event.on, event.minute, (event.entry,), index)
        stated = Evidence(strength, self.c.started, None, (self.c.filling,), -1)
        return stated if self.c.given.fortified else None

    # -- malolactic fermentation

    @cached_property
    def ml(self) -> ml.Malolactic:
        """Where the malolactic fermentation stands."""
        return ml.malolactic(self.c, self.house)

    @property
    def encouraged(self) -> bool:
        """Malolactic fermentation is wanted."""
        return self.intents.malolactic == "encouraged"

    @cached_property
    def ml_settled(self) -> bool:
        """It is done, given up, or (prevented, either) the first sulfite is in."""
        return self.ml.state in ("done", "given_up") or (not self.encouraged and self.sulfited is True)

    # -- sulfite

    @cached_property
    def sulfites(self) -> list[tuple[int, Event]]:
        """The sulfite additions that count after the ferment."""
        return [(index, self.c.log[index]) for index, _ in pour.first_sulfites(self.c, self.house)]

    @cached_property
    def sulfited(self) -> bool | None:
        """Whether the first sulfite after the ferment is in; None where a finished wine came without being told."""
        return pour.sulfited(self.c, self.house)

    @cached_property
    def ph(self) -> Evidence | None:
        """The last pH."""
        return history.last_reading(self.c, "ph")

    @cached_property
    def free(self) -> Evidence | None:
        """The last free SO2 reading that a dose or verdict may rest on [mg/L]; a must's tells nothing of a wine."""
        seen = history.free_readings(self.c, self.house, -1 if self.end is None else self.end.index)
        return seen[-1] if seen else None

    @cached_property
    def reads(self) -> list[Evidence]:
        """Every free SO2 reading, strips too: what a recheck is satisfied by."""
        return history.readings(self.c, "free_so2")

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

    @cached_property
    def rackings(self) -> list[tuple[int, Event]]:
        """Rackings since the finish (a pressing is none)."""
        return self.events(k.Racking, after=self.end_index)

    def finings(self, after: int = -1) -> list[tuple[int, Event]]:
        """Return the fining additions later than index `after`."""
        return self.added("fining", after=after)

    def added(self, *sorts: str, after: int = -1) -> list[tuple[int, Event]]:
        """Return the additions of materials of these sorts later than index `after`."""
        return [(i, e) for i, e, _ in history.additions(self.c, lambda name: material(name).sort in sorts, after)]

    def blends(self, after: int = -1) -> list[tuple[int, Event]]:
        """Return the blends that went into it later than index `after`."""
        return self.events(k.Blend, after=after)

    @property
    def clear_rule(self) -> str:
        """The house rule of the turbidity under which it is clear."""
        return "clear_ntu_red" if self.red else "clear_ntu"

    @cached_property
    def clarity(self) -> list[Evidence]:
        """Looks at clearness since the finish, as 1 (clear) or 0: by eye or by turbidity."""
        limit = self.house.number(self.clear_rule)
        seen = [one for one, _ in history.checks(self.c, "clarity")]
        seen += [
            Evidence(float(one.value < limit), one.on, one.minute, one.entries, one.index)
            for one in history.readings(self.c, "turbidity")
        ]
        return sorted((one for one in seen if one.index > self.end_index), key=lambda one: one.index)

    @cached_property
    def clear(self) -> Evidence | None:
        """The look that shows it clear: the last one passed, and no fining, blend or failed one since."""
        if not self.clarity or self.clarity[-1].value < 1:
            return None
        last = self.clarity[-1]
        return None if self.finings(last.index) or self.blends(last.index) else last

    @property
    def tartrate(self) -> bool:
        """Grape or tartaric acid is in it, so that it can drop crystals."""
        brought = ("tartaric_acid", "cream_of_tartar", "concentrate")
        if any(True for _ in history.additions(self.c, lambda name: name in brought)):
            return True
        if self.c.source == "honey" or ferment.other_fruit(self.c):
            return False
        juice = self.c.source in ("fruit", "juice") and not self.c.fruit
        return not (juice and self.intents.colour == "fruit")

    def foreign_since(self, index: int) -> float:
        """Return the share of other wine topped in since that place in the log [%]."""
        return 100 * sum(e.foreign for _, e in self.events(k.Topping, after=index))

    def latest(self, *groups: Iterable[tuple[int, Event]]) -> tuple[int, Event] | None:
        """Return the last of several kinds of event, None where there was none."""
        return max((one for group in groups for one in group), key=lambda one: one[0], default=None)
