"""What the front ends are handed: immutable pictures of the cellar, one for each thing they show or ask."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cellar_tui.ledger.care import Care
    from cellar_tui.ledger.cellar import Problem, VesselInfo
    from cellar_tui.ledger.contents import Contents
    from cellar_tui.ledger.entry import Entry
    from cellar_tui.ledger.house import House
    from cellar_tui.planning.empty import EmptyPlan
    from cellar_tui.planning.estimate import Estimate, Fading
    from cellar_tui.planning.guards.base import Finding
    from cellar_tui.planning.plan import Action, Plan
    from cellar_tui.planning.planner import Day
    from cellar_tui.planning.wine_figures import WineFigures


def waiting(who: str) -> str:
    """Return the sentence for a save that waits for another one; `who` is "" where the system does not say."""
    return f"Waiting for {who or 'another program'}, who is saving into this cellar."


class CellarError(Exception):
    """Something that cannot be done, in one sentence that says what to do.

    Attributes:
        field: the field at fault, where there is one.
        code: input, missing, moved, read_only, newer, there, damaged, storage.
        details: (field, sentence) for each thing wrong.
    """

    def __init__(
        self, message: str, *, field: str | None = None, code: str = "input", details: tuple[tuple[str, str], ...] = ()
    ) -> None:
        super().__init__(message)
        self.field = field
        self.code = code
        self.details = details


class RowsError(CellarError):
    """Rows of a sheet that cannot be entries; `rows` holds what is wrong with each, by its place in the sheet."""

    def __init__(self, message: str, rows: Mapping[int, CellarError]) -> None:
        first = next(iter(rows.values()))
        details = tuple(detail for one in rows.values() for detail in one.details)
        super().__init__(message, field=first.field, details=details)
        self.rows = dict(rows)


@dataclass(frozen=True, slots=True)
class Task:
    """A due action with the names a person knows, and how it stands on the day asked for."""

    vessel: str
    place: str
    wine: str
    action: Action
    status: str
    material: str = ""

    @property
    def glass(self) -> bool:
        """The vessel is of glass: heavy to lift, and it breaks."""
        return self.material == "glass"


@dataclass(frozen=True, slots=True)
class BoardLine:
    """One vessel on the home screen, on a day.

    Volume and capacity [L]; `so2` is the estimate of that day, `fading` what those of later days follow from; `letters`
    are the five verdicts; `next` is the first action to be shown.
    """

    number: int
    name: str
    place: str
    material: str
    capacity: float | None
    wine: str | None
    style: str | None
    colour: str | None
    stage: str | None
    volume: float | None
    ph: float | None
    so2: Estimate | None
    fading: Fading | None
    letters: str
    summary: str
    actions: tuple[Task, ...]

    @property
    def next(self) -> Task | None:
        """The action that is shown first."""
        return self.actions[0] if self.actions else None


@dataclass(frozen=True, slots=True)
class Board:
    """The home screen on a day: its lines and the counts of what is late, for today and due within a week."""

    today: date
    lines: tuple[BoardLine, ...]
    late: int
    due_today: int
    week: int
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Written:
    """One line of a ledger as it is shown: the entry, the vessel's name, and what became of it.

    `state` is standing, corrected (an older version), withdrawn, or withdrawal.
    """

    entry: Entry
    vessel: str
    state: str
    problem: str = ""


@dataclass(frozen=True, slots=True)
class WineView:
    """One filling, whole, on a day.

    Attributes:
        contents: what it holds, None where the vessel is empty.
        house: the house rules that its plan follows.
        entries: what it rests on, in the order in which it happened.
        care: how the vessel itself was kept, None where nothing is known of it.
        empty: what is asked of it without a wine.
    """

    info: VesselInfo
    today: date
    plan: Plan | None
    day: Day | None
    problems: tuple[Problem, ...]
    units: str
    contents: Contents | None
    house: House
    entries: tuple[Entry, ...] = field(compare=False)
    care: Care | None = None
    empty: EmptyPlan | None = None


@dataclass(frozen=True, slots=True)
class Change:
    """An action of a vessel whose dates moved: as it was and as it is now, None where it was or is not asked."""

    vessel: str
    action: str
    was: Task | None
    now: Task | None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What one entry does, or did.

    Attributes:
        vessel: name of the vessel.
        entry: the entry; its seq is 0 in a preview.
        before, after: the wine at the entry's own place in time, None where there was none.
        changes: the actions that move.
        findings: what the guards say.
        already: the key was in the ledger before; nothing was written.
        share: the range of what stays free of a sulfite in this wine; None for what is no sulfite.
    """

    vessel: str
    entry: Entry
    before: WineFigures | None
    after: WineFigures | None
    changes: tuple[Change, ...]
    findings: tuple[Finding, ...]
    already: bool = False
    share: tuple[float, float] | None = None

    @property
    def stops(self) -> tuple[Finding, ...]:
        """What keeps the entry out unless it is waived."""
        return tuple(finding for finding in self.findings if finding.stops)

    @property
    def passed(self) -> bool:
        """Every stop is waivable, and the entry brings the reason that waives it."""
        return bool(self.entry.waived) and all(stop.waivable for stop in self.stops)

    @property
    def cautions(self) -> tuple[Finding, ...]:
        """What was mentioned without being in the way."""
        return tuple(finding for finding in self.findings if not finding.stops)


@dataclass(frozen=True, slots=True)
class SaveResult:
    """What became of a request: its outcomes, and whether anything was written."""

    outcomes: tuple[Outcome, ...]
    saved: bool

    @property
    def stopped(self) -> bool:
        """A guard kept it out."""
        return not self.saved and any(outcome.stops for outcome in self.outcomes)


@dataclass(frozen=True, slots=True)
class Request:
    """An entry that a person wants to make.

    Attributes:
        target: name of a vessel, or `wine:NAME` for every filling of a wine.
        kind: kind of entry.
        fields: text as typed, by field.
        at: day and hour as typed, "" for now.
        by: whose it is.
        waive: reason to pass waivable guards.
        key: made when the form opened; a key already kept is not kept again.
        heads: vessel -> last entry the form saw; None takes the ledger as it is.
        bare: canonical unit -> unit of a bare number, where the front end prints another than the canonical.
    """

    target: str
    kind: str
    fields: Mapping[str, str]
    at: str = ""
    by: str = ""
    waive: str | None = None
    key: bytes | None = None
    heads: Mapping[int, int] | None = None
    bare: Mapping[str, str | None] = field(default_factory=dict)
