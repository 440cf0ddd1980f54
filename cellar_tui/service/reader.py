"""Everything that is shown of an open cellar; nothing here writes."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path
from typing import Protocol

from cellar_tui.language.clean_text import safe
from cellar_tui.language.parse_entry import Typist
from cellar_tui.ledger.cellar import Cellar, Problem, VesselInfo, house_of
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fold import replay
from cellar_tui.ledger.house import House
from cellar_tui.ledger.standing import standing
from cellar_tui.planning import shopping
from cellar_tui.planning.consider import Standing
from cellar_tui.planning.forecast.calibration import Calibration, calibration
from cellar_tui.planning.plan import Action
from cellar_tui.planning.planner import Derived, derived, on_day, status
from cellar_tui.planning.summary import in_words
from cellar_tui.service import clock as clocks
from cellar_tui.service import rows
from cellar_tui.service.clock import Clock
from cellar_tui.service.ledger_lines import governing, listed
from cellar_tui.service.outcomes import task
from cellar_tui.service.views import Board, CellarError, Line, Task, WineView, Written
from storage import backup, check, errors
from storage.reads import Reads
from storage.rows import ActionRow, FillingRow, ProblemRow
from storage.store import Store

WEEK = 7
WINE = "wine:"


class Names(Protocol):
    """What has to be looked up while typed text is read: a vessel by its name, the next number, a wine's vessels."""

    def next_seq(self) -> int:
        """Return the number that the next entry gets."""

    def by_name(self, name_key: str) -> FillingRow | None:
        """Return the line of the board of a vessel or store."""

    def by_wine(self, wine_key: str) -> list[FillingRow]:
        """Return the lines of the board of a wine."""


@contextmanager
def plainly() -> Iterator[None]:
    """Turn what the store refuses into the one kind of error that front ends know."""
    try:
        yield
    except errors.HeadMoved as error:
        raise CellarError(str(error), code="moved", field=str(error.entry)) from error
    except errors.Missing as error:
        raise CellarError(str(error), code="missing") from error
    except errors.ReadOnly as error:
        raise CellarError(str(error), code="read_only") from error
    except errors.StorageError as error:
        raise CellarError(str(error), code="storage") from error


class Reader:
    """An open cellar, to be looked at."""

    def __init__(self, store: Store, clock: Clock, by: str) -> None:
        self.store = store
        self.clock = clock
        self.by = by
        self._house: House | None = None
        self._derived: dict[int, Derived] = {}
        self._version = store.data_version()

    @property
    def path(self) -> Path:
        """Where the cellar lies."""
        return Path(self.store.path)

    @property
    def read_only(self) -> bool:
        """Nothing can be recorded."""
        return self.store.read_only

    def close(self) -> None:
        """Close the file."""
        self.store.close()

    def forget(self) -> None:
        """Read the house rules anew when they are next asked for."""
        self._house = None

    def changed(self) -> bool:
        """Return whether another program has recorded something since the last call."""
        with plainly():
            version = self.store.data_version()
        moved = version != self._version
        self._version = version
        if moved:
            self.forget()
        return moved

    @property
    def house(self) -> House:
        """The house rules in force and the materials on hand."""
        if self._house is None:
            with plainly():
                self._house = house_of(standing([rows.entry_of(row) for row in self.store.entries(())]))
        return self._house

    @property
    def today(self) -> date:
        """The civil day in the cellar's zone."""
        return clocks.day_in(self.clock(), self.house.word("zone"))

    @property
    def units(self) -> str:
        """Units shown: metric, us or imperial."""
        return self.house.word("units")

    # -- names

    def number(self, name: str, read: Names | None = None) -> int:
        """Return the number of a vessel or store.

        Raises:
            CellarError: there is none of that name.
        """
        row = (read or self.store).by_name(safe(name).casefold())
        if row is None:
            raise CellarError(f"there is no vessel {name}; the dashboard lists them.", field="vessel")
        return row.vessel

    def targets(self, target: str) -> tuple[int, ...]:
        """Return the vessels that `NAME` or `wine:NAME` means."""
        if not target.casefold().startswith(WINE):
            return (self.number(target),)
        name = safe(target[len(WINE) :])
        found = self.store.by_wine(name.casefold())
        in_bulk = [row.vessel for row in found if row.material != "bottles"]
        if not found:
            raise CellarError(f"there is no wine {name} in the cellar.", field="wine")
        return tuple(in_bulk or [row.vessel for row in found])

    def typist(self, read: Names, bare: Mapping[str, str | None]) -> Typist:
        """Return what is needed to read typed text."""

        def vessel(name: str) -> int:
            try:
                return self.number(name, read)
            except CellarError as error:
                raise LookupError(str(error)) from error

        return Typist(self.today, vessel, bare)

    def reach(self, seq: int) -> tuple[int, ...] | None:
        """Return the vessels of an entry; None where it concerns the whole cellar.

        Raises:
            CellarError: there is no such entry.
        """
        with plainly():
            row = self.store.entry(seq)
            if row is None:
                raise CellarError(f"there is no entry {seq}; the ledger of a vessel lists them.", field="entry")
            batch = [seq] if row.batch is None else [other.seq for other in self.store.batch(row.batch)]
            linked = tuple({one for other in batch for one in self.store.vessels_of(other)})
        return None if 0 in linked else linked

    def standing(self, read: Reads, targets: Collection[int] | None) -> Standing:
        """Return the decoded entries that these vessels can reach, with what follows from them; None for all."""
        found = read.entries(None if targets is None else read.component(targets))
        # All of it together is what a check or a rebuild looks at, which trusts nothing derived before.
        base = Standing([rows.entry_of(row) for row in found], None if targets is None else self._derived)
        self._derived.update(derived(base.cellar, base.plans))
        return base

    def whole(self, read: Reads) -> Standing:
        """Return every entry with what follows from it, to be looked at: a plan that is known is not made anew."""
        base = Standing([rows.entry_of(row) for row in read.entries(None)], self._derived)
        self._derived.update(derived(base.cellar, base.plans))
        return base

    # -- pictures

    def board(self, today: date | None = None) -> Board:
        """Return the home screen on a day, from the board alone."""
        with plainly(), self.store.snapshot():
            kept = (self.store.fillings(retired=False), self.store.actions(), self.store.problems())
        return board_of(*kept, today or self.today)

    def tasks(self, on: date | None = None, as_of: date | None = None) -> list[Task]:
        """Return every action that can be done, as it stands on a day, sorted by day shown, vessel and action."""
        day = on or as_of or self.today
        if as_of is None:
            found = [one for line in self.board(day).lines for one in line.actions]
        else:
            base = self.as_of(as_of)
            found = [
                task(one, base.cellar.vessels[number], plan.wine, day)
                for number, plan in base.plans.items()
                for one in on_day(plan, day).actions
            ]
        return sorted(found, key=lambda one: (one.action.show, one.vessel, one.action.rule))

    def as_of(self, day: date) -> Standing:
        """Return the cellar by what had been recorded at the end of a day, in memory."""
        with plainly():
            everything = [rows.entry_of(row) for row in self.store.entries(None)]
        instant = clocks.end_of_day(day, self.house.word("zone"))
        kept: dict[int, Entry] = {}
        for entry in everything:
            known = entry.supersedes is None or entry.supersedes in kept
            if entry.recorded_at <= instant and known:
                kept[entry.seq] = entry
        return Standing(list(kept.values()))

    def wine(self, name: str, on: date | None = None, as_of: date | None = None) -> WineView:
        """Return one filling, whole."""
        day = on or as_of or self.today
        if as_of is None:
            number = self.number(name)
            with plainly(), self.store.snapshot():
                base = self.standing(self.store, (number,))
        else:
            base = self.as_of(as_of)
            number = named(base.cellar, name)
        if number not in base.cellar.vessels:
            raise CellarError(f"there is no vessel {name} on that day.", field="vessel")
        return view_of(base, number, day, self.units)

    def calibration(self, as_of: date | None = None) -> Calibration:
        """Return how the last forecasts of free SO2 have done, over the whole cellar."""
        if as_of is not None:
            return calibration(self.as_of(as_of).cellar)
        with plainly():
            found = self.store.entries(None)
        return calibration(replay(standing([rows.entry_of(row) for row in found])))

    def ledger(
        self, vessel: str | None = None, limit: int | None = None, *, also: Collection[int] = ()
    ) -> list[Written]:
        """Return the ledger of a vessel, or of the whole cellar, newest first.

        `also` names entries on other vessels to be kept with it: those of a wine before it came into this one.
        """
        number = None if vessel is None else self.number(vessel)
        with plainly(), self.store.snapshot():
            read = self.store.entries(None if number is None else self.store.component((number,)))
            names = {one.vessel: one.name for one in self.store.vessels()}
            problems = {one.entry: one.problem for one in self.store.problems() if one.entry is not None}
        return listed([rows.entry_of(row) for row in read], names, problems, number, also)[:limit]

    def last_by(self, by: str) -> Entry | None:
        """Return the newest entry of a person that still stands and is no withdrawal."""
        with plainly():
            for row in self.store.latest_by(by, 200):
                if row.kind in ("void", "rebuild") or self.store.correction_of(row.seq) is not None:
                    continue
                return rows.entry_of(row)
        return None

    def recorded(self, key: bytes) -> bool:
        """Return whether the entry made under a key is in the ledger."""
        with plainly():
            return self.store.by_key(key) is not None

    def heads(self, vessels: Sequence[int]) -> dict[int, int]:
        """Return the last entry of each vessel, as a form keeps them."""
        with plainly():
            return {one: self.store.head(one) for one in vessels}

    def vessels(self) -> list[VesselInfo]:
        """Return the vessels and stores in use, by name."""
        with plainly():
            found = self.store.fillings("name", retired=False)
        return [_info(row) for row in found]

    def house_ledger(self, kind: str, name: str) -> list[Written]:
        """Return every entry on a house rule or a material (`kind` rule or material), newest first."""
        with plainly():
            return governing([rows.entry_of(row) for row in self.store.entries(())], kind, name)

    def house_entries(self) -> dict[int, Entry]:
        """Return the standing entries on house rules and materials by number, as `House` names them."""
        with plainly():
            return {one.root: one for one in standing([rows.entry_of(row) for row in self.store.entries(())])}

    def supplies(self, within: int = shopping.WITHIN) -> tuple[shopping.Supply, ...]:
        """Return the materials on hand, and what the wines need of each in the next days."""
        with plainly(), self.store.snapshot():
            base = self.whole(self.store)
        return shopping.supplies(base, self.today, within)

    def check(self, *, full: bool = False) -> list[Problem]:
        """Return what is wrong with the file, the chain, the board or the ledger."""
        with plainly():
            found = [Problem(None, None, said) for said in check.verify(self.store, "full" if full else "quick")]
            if found:
                return found
            with self.store.snapshot():
                base = self.standing(self.store, None)
                heads = {number: self.store.head(number) for number in base.cellar.vessels}
                fresh = rows.board(base.cellar, base.plans, heads, set(base.cellar.vessels))
                kept = (self.store.vessels(), self.store.actions(), self.store.problems())
        names: tuple[str, ...] = ("vessels", "actions", "problems")
        pairs: list[tuple[Sequence[object], Sequence[object]]] = list(zip(fresh, kept, strict=True))
        for name, (new, old) in zip(names, pairs, strict=True):
            if sorted(map(repr, new)) != sorted(map(repr, old)):
                found.append(Problem(None, None, f"the board's {name} differ from the ledger; run a rebuild."))
        return found + base.cellar.problems

    def backup(self, destination: str | os.PathLike[str]) -> int:
        """Copy the cellar, verified; return the number of entries in the copy."""
        with plainly():
            return backup.backup(self.store, destination)[0]


def board_of(
    lines: Sequence[FillingRow], actions: Sequence[ActionRow], problems: Sequence[ProblemRow], day: date
) -> Board:
    """Return the home screen on a day from the lines of a board."""
    asked: dict[int, list[Task]] = {}
    by_number = {row.vessel: row for row in lines}
    for one in map(rows.action_of, actions):
        row = by_number.get(one.vessel)
        if row is not None and (one.expires is None or day <= one.expires):
            asked.setdefault(one.vessel, []).append(_task(one, row, day))
    shown = tuple(_line(row, tuple(asked.get(row.vessel, ())), day) for row in lines)
    everything = [one for line in shown for one in line.actions]
    week = day + timedelta(days=WEEK)
    return Board(
        day,
        tuple(sorted(shown, key=_urgency)),
        sum(one.status == "late" for one in everything),
        sum(one.status == "today" for one in everything),
        sum(one.status == "ahead" and one.action.show <= week for one in everything),
        tuple(Problem(*row) for row in problems),
    )


def view_of(base: Standing, number: int, day: date, units: str) -> WineView:
    """Return one filling, whole, as it stands on a day."""
    plan, info = base.plans.get(number), base.cellar.vessels[number]
    problems = tuple(one for one in base.cellar.problems if one.vessel == number)
    held = base.cellar.holds.get(number)
    return WineView(info, day, plan, None if plan is None else on_day(plan, day), problems, units, held)


def named(cellar: Cellar, name: str) -> int:
    for number, info in cellar.vessels.items():
        if info.name.casefold() == safe(name).casefold():
            return number
    raise CellarError(f"there was no vessel {name} on that day.", field="vessel")


def _info(row: FillingRow) -> VesselInfo:
    return VesselInfo(row.vessel, row.name, row.capacity, row.material, row.place, False, bool(row.retired))


def _task(action: Action, row: FillingRow, day: date) -> Task:
    return Task(row.name, row.place, row.wine or "", action, status(action.show, action.latest, day), row.material)


def _line(row: FillingRow, actions: tuple[Task, ...], day: date) -> Line:
    letters, summary = row.letters or "", row.summary
    if row.air_until is not None and letters[2:3] == "+" and day > date.fromisoformat(row.air_until):
        letters = f"{letters[:2]}!{letters[3:]}"
        summary = in_words(row.stage or "", rows.states(letters))
    ordered = tuple(sorted(actions, key=_pressing))
    return Line(
        row.vessel,
        row.name,
        row.place,
        row.material,
        row.capacity,
        row.wine,
        row.style,
        row.colour,
        row.stage,
        row.volume,
        row.ph,
        row.free_so2,
        row.molecular,
        letters,
        summary,
        ordered,
    )


def _pressing(task: Task) -> tuple[int, date, date, str]:
    """Return the order in which the dashboard shows actions: late, for today, ahead; each by its days."""
    rank = ("late", "today", "ahead").index(task.status)
    last = max(task.action.show, task.action.latest)
    return rank, last if rank == 0 else task.action.show, last, task.action.rule


def _urgency(line: Line) -> tuple[int, tuple[int, date, date, str], str]:
    nothing = (3, date.max, date.max, "")
    rank = 0 if line.next is not None else 2 if line.wine is None else 1
    return rank, nothing if line.next is None else _pressing(line.next), line.name.casefold()
