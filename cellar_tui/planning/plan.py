"""The plan of one filling, and the explanations it carries, as data."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from cellar_tui.ledger.names import as_words
from cellar_tui.planning.estimate import Fading

PLAN_VERSION = 4
"""Raised by hand whenever a derived value may change; a newer program then rebuilds the board once."""

VerdictState = Literal["shown", "in_progress", "not_yet", "lapsed", "waived"]
Stage = Literal["must", "fermenting", "ageing", "malolactic", "sweetened", "holding_cold", "ready", "bottled"]
HOUSE_RULE = "house rule "
"""How the name of a fact begins that is a house rule."""

STABILITIES = ("yeast", "bacteria", "air", "crystals", "haze")


@dataclass(frozen=True, slots=True)
class Fact:
    """One input of an explanation: its name, value and unit, and the entries it rests on."""

    name: str
    value: float | str
    unit: str = ""
    entries: tuple[int, ...] = ()
    on: date | None = None

    @property
    def house_rule(self) -> bool:
        """It is a house rule: what is reckoned with, not what happened to the wine."""
        return self.name.startswith(HOUSE_RULE)


def changed_rules(facts: Iterable[Fact]) -> str:
    """Return the house rules among these inputs that the cellar has changed, as a sentence to follow another."""
    told = []
    for fact in dict.fromkeys(facts):
        if fact.house_rule and fact.entries:
            value = fact.value if isinstance(fact.value, str) else f"{fact.value:g}"
            rule = f"{as_words(fact.name.removeprefix(HOUSE_RULE))} {value} {fact.unit}".rstrip()
            told.append(f"{rule} (entry {', '.join(map(str, fact.entries))})")
    return f" House rule {'; '.join(told)}." if told else ""


@dataclass(frozen=True, slots=True)
class Because:
    """Why a date, dose or verdict is what it is.

    Attributes:
        rule: rule or verdict that says so.
        reason: one clause in the trade's words.
        facts: the inputs, each with its entries.
        formula: how they were put together, "" where nothing was calculated.
        source: where the rule is from.
    """

    rule: str
    reason: str
    facts: tuple[Fact, ...] = ()
    formula: str = ""
    source: str = "common practice"

    @property
    def entries(self) -> tuple[int, ...]:
        """Every entry that the facts rest on, the newest first, once each."""
        return tuple(sorted({entry for fact in self.facts for entry in fact.entries}, reverse=True))


@dataclass(frozen=True, slots=True)
class Dose:
    """An amount to add: material, amount in its unit, what to know, and how it was worked out."""

    material: str
    amount: float
    unit: str
    note: str
    because: Because


@dataclass(frozen=True, slots=True)
class Due:
    """What a rule asks for.

    Attributes:
        earliest, latest: window in which to do it; the first day is the due date.
        because: why.
        anchor: the entry that opened this cycle; overrides die when it moves.
        dose: what to add, where there is something to add.
        expires: last day on which the needs of this action still hold, None where they do not age.
        task: what to do now, in a few words, where the rule's title does not say it.
        urgent: it stands above all housekeeping: pressure, or live yeast that nothing holds.
    """

    earliest: date
    latest: date
    because: Because
    anchor: int
    dose: Dose | None = None
    expires: date | None = None
    task: str = ""
    urgent: bool = False


@dataclass(frozen=True, slots=True)
class Action:
    """A due action of one filling.

    `show` is the day it is shown, which a postponement moves, never `due`; `ways` are the places, among the answers of
    its rule, of those that are open to the wine.
    """

    rule: str
    vessel: int
    filling: int
    anchor: int
    due: date
    latest: date
    show: date
    because: Because
    dose: Dose | None = None
    expires: date | None = None
    postponed: bool = False
    task: str = ""
    kit: str = ""
    ways: tuple[int, ...] = ()
    urgent: bool = False

    @property
    def key(self) -> str:
        """Stable name of this action while its cycle lasts: rule, filling, anchor."""
        return f"{self.rule}:{self.filling}:{self.anchor}"


@dataclass(frozen=True, slots=True)
class Verdict:
    """How one kind of stability stands, with the entries that show it; `until` ends a verdict on air."""

    kind: str
    state: VerdictState
    because: Because
    until: date | None = None

    @property
    def evidence(self) -> tuple[int, ...]:
        """The entries that show it, the newest first; a house rule decides what they show and is no evidence itself."""
        return tuple(sorted({e for f in self.because.facts if not f.house_rule for e in f.entries}, reverse=True))


@dataclass(frozen=True, slots=True)
class Step:
    """One step on the way to bottling.

    Attributes:
        action: rule that asks for it.
        needs: steps that must be done first.
        days: how long it lasts [d].
        why: what it is for.
        not_before: earliest day of its own, None where only its needs count.
        begun: day from which its days count where it has begun already.
        facts: the house rules and entries that its days rest on.
    """

    action: str
    needs: tuple[str, ...]
    days: int
    why: str
    not_before: date | None = None
    begun: date | None = None
    facts: tuple[Fact, ...] = ()


@dataclass(frozen=True, slots=True)
class Dated:
    """A step of the way to bottling on its days: the earliest it can begin, when it is done, its days from then [d]."""

    action: str
    earliest: date
    needs: tuple[str, ...]
    why: str
    done: date
    days: int
    because: Because


@dataclass(frozen=True, slots=True)
class Forecast:
    """Free SO2 to come [mg/L]: the target, the last value, and the day on which it may slip under the target."""

    target: float
    free: float
    free_on: date
    risk_day: date
    middle_day: date
    band: tuple[tuple[date, float, float, float], ...]
    because: Because


@dataclass(frozen=True, slots=True)
class Measured:
    """The last value of one reading."""

    value: float
    unit: str
    on: date
    entry: int
    method: str | None


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums of the ledger in the wine as it is: SO2 and sorbate [mg/L], sugar [g/L].

    `sugar_band` is the least and the most sugar it can be where it is an estimate, None where it was read or proven.
    """

    so2_added: float
    so2_total: float
    sorbate: float
    sugar: float | None
    sugar_band: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything that follows from one filling's ledger and the house rules; it knows no today."""

    vessel: int
    filling: int
    wine: str
    style: str
    colour: str
    stage: Stage
    volume: float
    readings: dict[str, Measured]
    totals: Totals
    verdicts: dict[str, Verdict]
    actions: tuple[Action, ...]
    path: tuple[Step, ...]
    forecast: Forecast | None
    so2: Fading | None
    wished: date


def status(show: date, latest: date, today: date) -> str:
    """Return ahead before an action is shown, today from there to the end of its window, late after it."""
    if today < show:
        return "ahead"
    return "late" if today > max(show, latest) else "today"
