"""What is shown of a cellar, today or as it was known at the end of a past day; nothing here writes."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from itertools import islice
from typing import TYPE_CHECKING, NamedTuple, Protocol

from cellar_tui.language.clean_text import safe
from cellar_tui.ledger.cellar import Cellar, VesselInfo
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.house import House
from cellar_tui.service import rows, soundness
from cellar_tui.service.board import board_of
from cellar_tui.service.records import Records, plainly
from cellar_tui.service.views import Board, CellarError, Task, WineView, Written
from storage import errors
from storage.rows import CELLAR, ActionRow, FillingRow, ProblemRow
from storage.store import Store

if TYPE_CHECKING:
    from cellar_tui.planning import shopping
    from cellar_tui.planning.consider import CellarState
    from cellar_tui.planning.forecast.calibration import Calibration

SPARE = 3
"""Times as many entries are read as are shown: some of them no longer stand."""
SILENT = ("void", "rebuild")
"""Kinds of entries that say nothing of a wine."""


def _shown(kind: str) -> bool:
    return kind not in SILENT


class BoardLines(NamedTuple):
    """The lines that the home screen is made of."""

    fillings: list[FillingRow]
    actions: list[ActionRow]
    problems: list[ProblemRow]


class LedgerOf(NamedTuple):
    """The entries that a ledger shows, with what they are shown with.

    Attributes:
        vessel: number of the vessel, None for the whole cellar.
        names: names of vessels by number.
        problems: what cannot be right, by entry.
    """

    entries: Sequence[Entry]
    vessel: int | None
    names: dict[int, str]
    problems: dict[int, str]


class Source(Protocol):
    """Where a view looks: at the file as it is now, or at what was known on a past day."""

    @property
    def day(self) -> date:
        """The day called today."""

    def board_lines(self, day: date) -> BoardLines:
        """Return the lines of the board of the vessels in use; entries dated after a day count for nothing."""

    def everything(self, day: date) -> CellarState:
        """Return every entry, with what follows from it; those dated after a day count for nothing."""

    def contents(self) -> Cellar:
        """Return what every vessel holds."""

    def house_entries(self) -> list[Entry]:
        """Return the entries on house rules and materials."""

    def ledger(self, vessel: str | None) -> LedgerOf:
        """Return the entries that a vessel can reach, None for all.

        Raises:
            CellarError: there is no such vessel.
        """

    def newest(self, limit: int) -> list[Entry]:
        """Return the last entries recorded, newest first, without those that no longer stand."""

    def around(self, vessel: str, day: date) -> tuple[CellarState, int]:
        """Return the entries that a vessel can reach, those dated after a day left out, and its number.

        Raises:
            CellarError: there is no such vessel.
        """


def _all_lines(store: Store) -> BoardLines:
    return BoardLines(store.vessels(), store.actions(), store.problems())


class Now:
    """The file as it is now: the board as it is kept, a wine's own entries decoded."""

    def __init__(self, records: Records) -> None:
        self._records = records

    @property
    def day(self) -> date:
        """Today in the cellar's zone."""
        return self._records.today

    def board_lines(self, day: date) -> BoardLines:
        """Return the board as it is kept, one small query, unless entries are dated after that day."""
        with plainly():
            lines = self._believed()
            in_use = lines._replace(fillings=[filling for filling in lines.fillings if not filling.retired])
            store = self._records.store
            with store.snapshot():
                later = store.after(day.isoformat())
                return self._without(later, day, in_use) if later else in_use

    def _believed(self) -> BoardLines:
        """Return the very lines whose seals were looked at: damage in an index may give others another time."""
        records = self._records
        # Where a line cannot be read the ledger may still be whole.
        with suppress(errors.Corrupt), records.store.snapshot():
            lines = _all_lines(records.store)
            if records.mended is not None or not records.store.sealed_otherwise(None, lines):
                return lines
        records.mend()
        return _all_lines(records.store)

    def _without(self, later: Sequence[int], day: date, lines: BoardLines) -> BoardLines:
        """Return lines of the board with those of the vessels that later entries touch as they stand on a day."""
        store = self._records.store
        touched = store.component({one for seq in later for one in store.vessels_of(seq)} - {CELLAR})
        base = self._records.standing(store, touched, until=day)
        fresh = rows.board(base.cellar, base.plans, store.last_entries(), touched)
        ahead = rows.problem_rows(soundness.ahead(base, max(day, self.day)), touched)
        return BoardLines(
            [row for row in lines.fillings if row.vessel not in touched]
            + [entry for entry in fresh[0] if not entry.retired],
            [row for row in lines.actions if row.vessel not in touched] + fresh[1],
            [row for row in lines.problems if row.vessel not in touched] + fresh[2] + ahead,
        )

    def everything(self, day: date) -> CellarState:
        """Return every entry; a plan that is known is not made again."""
        with plainly(), self._records.store.snapshot():
            return self._records.standing(self._records.store, None, until=day)

    def contents(self) -> Cellar:
        """Return what every vessel holds: no plan is needed for it."""
        from cellar_tui.ledger.fold import replay
        from cellar_tui.ledger.standing import standing_entries

        with plainly():
            return replay(standing_entries([rows.entry_of(row) for row in self._records.store.entries(None)]))

    def house_entries(self) -> list[Entry]:
        """Return the entries on house rules and materials: no other is read."""
        with plainly():
            return [rows.entry_of(row) for row in self._records.store.entries(())]

    def ledger(self, vessel: str | None) -> LedgerOf:
        """Return the entries of the vessel's component, as they are kept."""
        store = self._records.store
        number = None if vessel is None else self._records.number(vessel)
        with plainly(), store.snapshot():
            kept = store.entries(None if number is None else store.component((number,)))
            names = {vessel.vessel: vessel.name for vessel in store.vessels()}
            problems = {problem.entry: problem.problem for problem in store.problems() if problem.entry is not None}
        return LedgerOf([rows.entry_of(row) for row in kept], number, names, problems)

    def newest(self, limit: int) -> list[Entry]:
        """Return the last entries recorded: of the whole ledger only its end is read."""
        store = self._records.store
        with plainly(), store.snapshot():
            kept = store.newest(SPARE * limit)
            standing_rows = (row for row in kept if _shown(row.kind) and store.correction_of(row.seq) is None)
            return [rows.entry_of(row) for row in islice(standing_rows, limit)]

    def around(self, vessel: str, day: date) -> tuple[CellarState, int]:
        """Return the entries of the vessel's component, and its number."""
        number = self._records.number(vessel)
        with plainly(), self._records.store.snapshot():
            return self._records.standing(self._records.store, (number,), until=day), number


class Then:
    """What was known at the end of a past day, in memory."""

    def __init__(self, day: date, known: CellarState) -> None:
        self._day = day
        self._known = known
        self._until: dict[date, CellarState] = {}

    @property
    def day(self) -> date:
        """That day."""
        return self._day

    def board_lines(self, day: date) -> BoardLines:
        """Return the board as it was."""
        base = self.everything(day)
        fillings, actions, problems = rows.board(base.cellar, base.plans, {}, set(base.cellar.vessels))
        return BoardLines([filling for filling in fillings if not filling.retired], actions, problems)

    def everything(self, day: date) -> CellarState:
        """Return all that was known."""
        if day not in self._until:
            from cellar_tui.planning.consider import CellarState

            self._until[day] = CellarState(self._known.entries, until=day)
        return self._until[day]

    def contents(self) -> Cellar:
        """Return what every vessel held."""
        return self.everything(self._day).cellar

    def house_entries(self) -> list[Entry]:
        """Return the entries on house rules and materials that were known."""
        return [entry for entry in self._known.entries if entry.vessel is None]

    def ledger(self, vessel: str | None) -> LedgerOf:
        """Return all that was known."""
        cellar = self._known.cellar
        number = None if vessel is None else self.around(vessel, self._day)[1]
        problems = {problem.entry: problem.problem for problem in cellar.problems if problem.entry is not None}
        names = {number: one.name for number, one in cellar.vessels.items()}
        return LedgerOf(self._known.entries, number, names, problems)

    def newest(self, limit: int) -> list[Entry]:
        """Return the last entries recorded until then."""
        from cellar_tui.ledger.standing import standing_entries

        known = sorted(standing_entries(self._known.entries), key=lambda entry: entry.seq, reverse=True)
        return [one for one in known if _shown(one.body.kind)][:limit]

    def around(self, vessel: str, day: date) -> tuple[CellarState, int]:
        """Return all that was known, and the vessel's number."""
        base = self.everything(day)
        for number, info in base.cellar.vessels.items():
            if info.name.casefold() == safe(vessel).casefold():
                return base, number
        raise CellarError(f"there was no vessel {vessel} on that day.", field="vessel")


@dataclass(frozen=True, slots=True)
class CellarView:
    """The cellar to be looked at; what is handed out is immutable.

    Attributes:
        source: the file as it is now, or what was known on a past day.
        records: house rules and units, as they are now: how figures are written is the reader's, not the day's.
    """

    source: Source
    records: Records

    @property
    def past(self) -> bool:
        """It is the cellar as it was known on a past day."""
        return isinstance(self.source, Then)

    @property
    def today(self) -> date:
        """The day called today: the civil day in the cellar's zone, or the past day."""
        return self.source.day

    @property
    def house(self) -> House:
        """The house rules in force and the materials on hand."""
        return self.source.contents().house if self.past else self.records.house

    @property
    def units(self) -> str:
        """Units shown: metric, us or imperial, and behind it the scale of gravities where it is not SG."""
        return self.records.house.system

    def board(self, on: date | None = None) -> Board:
        """Return the home screen as it stands on a day, from the lines of the board alone."""
        day = on or self.today
        with plainly():
            return board_of(*self.source.board_lines(day), day)

    def tasks(self, on: date | None = None) -> list[Task]:
        """Return every action that can be done, as it stands on a day, sorted by day shown, vessel and action."""
        everything = [one for line in self.board(on).lines for one in line.actions]
        return sorted(everything, key=lambda one: (one.action.show, one.vessel, one.action.rule))

    def wine(self, name: str, on: date | None = None) -> WineView:
        """Return one filling, whole, as it stands on a day.

        Raises:
            CellarError: there is no such vessel.
        """
        from cellar_tui.planning import empty
        from cellar_tui.planning.planner import on_day

        day = on or self.today
        base, number = self.source.around(name, day)
        if number not in base.cellar.vessels:
            raise CellarError(f"there is no vessel {name} on that day.", field="vessel")
        plan, info = base.plans.get(number), base.cellar.vessels[number]
        late = soundness.ahead(base, max(day, self.today))
        problems = tuple(problem for problem in (*base.cellar.problems, *late) if problem.vessel == number)
        shown = None if plan is None else on_day(plan, day)
        held, house = base.cellar.holds.get(number), base.cellar.house
        care, asked = base.cellar.care.get(number), empty.plans(base.cellar).get(number)
        return WineView(info, day, plan, shown, problems, self.units, held, house, tuple(base.ordered), care, asked)

    def calibration(self) -> Calibration:
        """Return how the last forecasts of free SO2 have done, over the whole cellar."""
        from cellar_tui.planning.forecast.calibration import calibration

        return calibration(self.source.contents())

    def ledger(
        self, vessel: str | None = None, limit: int | None = None, *, also: Collection[int] = ()
    ) -> list[Written]:
        """Return the ledger of a vessel, or of the whole cellar, newest first.

        `also` names entries on other vessels to be kept with it: those of a wine before it came into this one.
        """
        from cellar_tui.service.ledger_lines import listed

        entries, number, names, problems = self.source.ledger(vessel)
        return listed(entries, names, problems, number, also)[:limit]

    def newest(self, limit: int, names: Mapping[int, str]) -> list[Written]:
        """Return the last entries that anybody recorded and that stand, newest first; `names` are those of vessels."""
        return [Written(one, names.get(one.vessel or 0, ""), "standing") for one in self.source.newest(limit)]

    def vessels(self) -> list[VesselInfo]:
        """Return the vessels and stores in use, by name."""
        lines = sorted(self.source.board_lines(self.today).fillings, key=lambda row: row.name.casefold())
        return [VesselInfo(row.vessel, row.name, row.capacity, row.material, row.place, False, False) for row in lines]

    def supplies(self, within: int | None = None) -> tuple[shopping.Supply, ...]:
        """Return the materials on hand, and what the wines need of each in the next days."""
        from cellar_tui.planning import shopping

        days = shopping.WITHIN if within is None else within
        return shopping.supplies(self.source.everything(self.today), self.today, days)

    def house_ledger(self, kind: str, name: str) -> list[Written]:
        """Return every entry on a house rule or a material (`kind` rule or material), newest first."""
        from cellar_tui.service.ledger_lines import governing

        return governing(self.source.house_entries(), kind, name)

    def house_entries(self) -> dict[int, Entry]:
        """Return the standing entries on house rules and materials by number, as `House` names them."""
        from cellar_tui.ledger.standing import standing_entries

        return {entry.root: entry for entry in standing_entries(self.source.house_entries())}
