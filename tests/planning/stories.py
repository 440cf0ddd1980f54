"""A wine told as a short story: what was done and read on which day, turned into the subject that rules look at."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any, Self

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar import Cellar
from cellar_tui.ledger.cellar_kinds import HouseRule, MaterialOnHand, Vessel, WineStart
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fold import replay
from cellar_tui.ledger.materials import active, amount_for_dose
from cellar_tui.ledger.standing import standing_entries
from cellar_tui.planning.consider import CellarState, consider
from cellar_tui.planning.guards.base import Finding
from cellar_tui.planning.plan import Due, Verdict
from cellar_tui.planning.rules.table import RULE_BY_ID
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.table import verdict

WRITTEN = datetime(2030, 1, 1, tzinfo=UTC)


def day(text: str) -> date:
    """Read a day."""
    return date.fromisoformat(text)


class Story:
    """One wine in one vessel; every telling returns the story, so that the next can follow."""

    def __init__(
        self,
        style: str = "dry_white",
        started: str = "2026-09-20",
        *,
        vessel: str = "glass",
        capacity: float = 23.0,
        volume: float = 22.95,
        lid: str | None = None,
        **wine: Any,
    ) -> None:
        self.entries: list[Entry] = []
        self._folded: tuple[int, Cellar] | None = None
        self._seen: Subject | None = None
        self.vessel = self.tell_vessel(vessel, capacity, lid)
        dates = {name: day(value) for name, value in wine.items() if name in ("harvested", "bottling")}
        start = WineStart(name="Hill", style=style, volume=volume, **(wine | dates))
        self.record(started, start)

    def tell_vessel(self, material: str, capacity: float, lid: str | None = None) -> int:
        """Add a vessel and return its number."""
        seq = len(self.entries) + 1
        body = Vessel(name=f"V{seq}", capacity=capacity, material=material, lid=lid)
        self.entries.append(self._entry("2020-01-01", body, None))
        return seq

    def _entry(self, on: str, body: k.Body, vessel: int | None) -> Entry:
        seq = len(self.entries) + 1
        return Entry(seq, seq.to_bytes(16, "big"), day(on), None, WRITTEN, "Ada", body, vessel)

    def record(self, on: str, body: k.Body, vessel: int | None = None) -> Self:
        """Tell of any entry."""
        self.entries.append(self._entry(on, body, vessel or self.vessel))
        return self

    def house(self, **values: object) -> Self:
        """Change house rules."""
        for name, value in values.items():
            self.entries.append(self._entry("2020-01-01", HouseRule(name=name, value=str(value)), None))
        return self

    def reading(self, on: str, **values: Any) -> Self:
        """Read values."""
        return self.record(on, k.Reading(**values))

    def add(self, on: str, material: str, amount: float, strength: float | None = None) -> Self:
        """Add a material by its amount [g, mL, L]."""
        brought = active(material, amount, strength)
        return self.record(
            on,
            k.Addition(
                material=material,
                amount=amount,
                strength=strength,
                so2_mg=brought.so2_mg,
                sorbate_g=brought.sorbate_g,
                sugar_g=brought.sugar_g,
                litres=brought.litres,
            ),
        )

    def sulfite(self, on: str, raised: float = 60.0) -> Self:
        """Add metabisulfite that raises total SO2 by so much [mg/L]."""
        grams = amount_for_dose("potassium_metabisulfite", raised, self.subject().volume, None)
        return self.add(on, "potassium_metabisulfite", grams)

    def rack(self, on: str, to: int | None = None, **values: Any) -> Self:
        """Rack it, without loss unless told."""
        self.record(on, k.Racking(to=to, **values))
        self.vessel = to or self.vessel
        return self

    def check(self, on: str, test: str, result: str = "pass", fault: str | None = None) -> Self:
        """Look, smell or test."""
        return self.record(on, k.Check(test=test, result=result, fault=fault))

    def chill(self, on: str, temperature: float, place: str = "fridge") -> Self:
        """Begin the cold hold."""
        return self.record(on, k.Chill(start=True, temperature=temperature, place=place))

    def warm(self, on: str, temperature: float = 0.0) -> Self:
        """End the cold hold."""
        return self.record(on, k.Chill(end=True, temperature=temperature))

    def intent(self, on: str, **wanted: Any) -> Self:
        """Say what is wanted."""
        if "bottling" in wanted:
            wanted["bottling"] = day(wanted["bottling"])
        return self.record(on, k.Intent(**wanted))

    def decide(self, on: str, about: str, choice: str) -> Self:
        """Decide."""
        return self.record(on, k.Decide(about=about, choice=choice, reason="as tasted"))

    def skip(self, on: str, action: str) -> Self:
        """Find an action not needed this time."""
        return self.record(on, k.Skip(action=action, reason="looked at"))

    def waive(self, on: str, *stabilities: str) -> Self:
        """Settle kinds of stability by word."""
        for name in stabilities:
            self.record(on, k.Waive(stability=name, reason="known wine"))
        return self

    def top(self, on: str, volume: float, wine: str = "Hill") -> Self:
        """Top it up from outside the cellar."""
        return self.record(on, k.Topping(outside=True, wine=wine, volume=volume))

    def blend_in(self, on: str, volume: float, started: str = "2026-09-20", **wine: Any) -> Self:
        """Blend in another finished wine, which stood in a vessel of its own."""
        other = self.tell_vessel("glass", max(volume, 5.0))
        told: dict[str, Any] = {"name": "Dale", "style": "dry_white", "volume": volume, "finished": True}
        start = WineStart(**(told | wine))
        self.record(started, start, other)
        return self.record(on, k.Blend(source=other, volume=volume))

    def then(self, kind: str, fields: dict[str, Any], on: str) -> Self:
        """Answer an action as the round would: an entry of that kind."""
        if kind == "addition":
            strength = fields.get("strength")
            return self.add(on, fields["material"], fields["amount"], None if strength is None else float(strength))
        bodies = {
            "reading": k.Reading,
            "check": k.Check,
            "racking": k.Racking,
            "chill": k.Chill,
            "intent": k.Intent,
            "decide": k.Decide,
            "gas": k.Gas,
            "bottle": k.Bottle,
            "topping": k.Topping,
            "press": k.Press,
            "note": k.Note,
            "trial": k.Trial,
        }
        words = {"yes": True, "no": False}
        values = {name: words.get(value, value) if isinstance(value, str) else value for name, value in fields.items()}
        return self.record(on, bodies[kind](**values))

    def trial(self, on: str, material: str, chosen: float | None) -> Self:
        """Try a material in glasses and choose a dose [g/hL]."""
        return self.record(on, k.Trial(material=material, doses=(25.0, 50.0, 75.0), chosen=chosen))

    def findings(self, on: str, body: k.Body) -> list[Finding]:
        """Return what the guards would say of a further entry."""
        weighed = consider(CellarState(self.entries), [self._entry(on, body, self.vessel)]).weighed
        return [finding for one in weighed for finding in one.findings]

    def cautioned(self, on: str, body: k.Body) -> set[str]:
        """Return the names of the guards that would speak of a further entry."""
        return {finding.guard for finding in self.findings(on, body)}

    def on_hand(self, name: str, opened: str) -> Self:
        """Say since when a material of the cellar is open."""
        self.entries.append(self._entry("2020-01-01", MaterialOnHand(name=name, opened=day(opened)), None))
        return self

    def cellar(self) -> Cellar:
        """Fold the ledger, once for as long as nothing more is told."""
        if self._folded is None or self._folded[0] != len(self.entries):
            told = standing_entries(replace(entry, root=entry.seq) for entry in self.entries)
            self._folded, self._seen = (len(self.entries), replay(told)), None
        return self._folded[1]

    def subject(self) -> Subject:
        """Return the wine as the rules see it."""
        cellar = self.cellar()
        if self._seen is None or self._seen.vessel.number != self.vessel:
            self._seen = Subject(cellar.holds[self.vessel], cellar.vessels[self.vessel], cellar.house)
        return self._seen

    def dues(self, rule: str) -> list[Due]:
        """Return what a rule asks for, the earliest first."""
        return sorted(RULE_BY_ID[rule].due(self.subject()), key=lambda one: (one.earliest, one.latest))

    def due(self, rule: str) -> tuple[str, str] | None:
        """Return the window of the earliest thing a rule asks for, None where it asks for nothing."""
        found = self.dues(rule)
        return (found[0].earliest.isoformat(), found[0].latest.isoformat()) if found else None

    def verdict(self, kind: str) -> Verdict:
        """Return the verdict on one kind of stability."""
        return verdict(self.subject(), kind)

    def state(self, kind: str) -> str:
        """Return how one kind of stability stands."""
        return self.verdict(kind).state

    def last(self) -> int:
        """Return the number of the last entry told."""
        return self.entries[-1].seq


def at_once(on: str) -> tuple[str, str]:
    """Return the window of "at once" or "N d after": that one day."""
    return (on, on)


def fermenting(style: str = "dry_white", **more: Any) -> Story:
    """A must of SG 1.090 from 20 September, yeast the day after: potential alcohol about 12.8 % vol."""
    return Story(style, **({"sg": 1.090} | more)).add("2026-09-21", "yeast", 6)


def dry(style: str = "dry_white", sg: float = 0.992, **more: Any) -> Story:
    """The same wine fermented out: steady from 10 October, proved finished on 13 October."""
    return fermenting(style, **more).reading("2026-10-10", sg=sg).reading("2026-10-13", sg=sg)


def kept(style: str = "dry_white", ph: float = 3.2, **more: Any) -> Story:
    """The same wine sulfited on the 14th, racked on the 18th, free SO2 on target by readings of 17 and 21 October."""
    story = dry(style, **more).reading("2026-10-13", ph=ph).sulfite("2026-10-14", 80)
    story.reading("2026-10-17", free_so2=40, method="aspiration", sg=0.992).rack("2026-10-18")
    return story.reading("2026-10-21", free_so2=38, method="aspiration")


def arrested() -> Story:
    """A sweet white chilled on 28 September at SG 1.015, held at 1 C."""
    story = fermenting("arrested_sweet").reading("2026-09-28", sg=1.015, ph=3.2).chill("2026-09-28", 3.0, "chiller")
    return story.reading("2026-09-29", temperature=1.0)


def fortified() -> Story:
    """A red fortified to over 18 % by mixing on 25 September."""
    story = fermenting("fortified", colour="red", volume=19.0).reading("2026-09-25", sg=1.030)
    return story.add("2026-09-25", "spirit", 2.6, 96)


def red() -> Story:
    """A dry red through malolactic fermentation on 20 October, sulfited, free SO2 on target on 24 October."""
    story = dry("dry_red", sg=0.994).reading("2026-10-20", malic=0.1, ph=3.5).sulfite("2026-10-21", 60)
    return story.reading("2026-10-24", free_so2=32, method="aspiration")


def clear(style: str = "dry_white", **more: Any) -> Story:
    """The kept wine found clear on 1 November, 14 days after its racking."""
    return kept(style, **more).check("2026-11-01", "clarity")


def came_finished(style: str = "sweet_white", **more: Any) -> Story:
    """A finished wine of 12 % vol brought in on 13 October, its total SO2 stated: 20 L in a 23 L vessel."""
    told = {"volume": 20.0, "finished": True, "alcohol": 12.0, "total_so2": 80.0} | more
    return Story(style, "2026-10-13", **told).reading("2026-10-13", ph=3.3)


def ready_to_sweeten(
    style: str = "sweet_white", sweetness: float | None = 30.0, free: float = 38.0, **more: Any
) -> Story:
    """That wine clear, haze and cold tests passed on 1 and 2 November, free SO2 on target on 3 November."""
    story = came_finished(style, **more)
    if sweetness is not None:
        story.intent("2026-10-13", sweetness=sweetness)
    story.check("2026-11-01", "clarity").check("2026-11-01", "heat_test").check("2026-11-02", "cold_test")
    return story.reading("2026-11-03", free_so2=free, method="aspiration")


def sweetened(free: float = 38.0) -> Story:
    """The same with 2.8 g of sorbate on 3 November and 612 g of sugar on 5 November: 30 g/L."""
    return ready_to_sweeten(free=free).add("2026-11-03", "potassium_sorbate", 2.8).add("2026-11-05", "sugar", 612)


def all_but_air(on: str = "2026-11-01", **more: Any) -> Story:
    """The kept wine with every other kind of stability settled by word; wished bottling 20 January 2027."""
    return kept(**more).waive(on, "yeast", "bacteria", "crystals", "haze")
