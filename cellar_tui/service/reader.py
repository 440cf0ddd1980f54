"""Everything that is shown of an open cellar; nothing here writes."""

from __future__ import annotations

import os
from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import replace
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
from cellar_tui.service import rows, soundness
from cellar_tui.service.clock import Clock
from cellar_tui.service.ledger_lines import governing, listed
from cellar_tui.service.outcomes import task
from cellar_tui.service.soundness import Checked
from cellar_tui.service.views import Board, CellarError, Line, Task, WineView, Written
from storage import backup, check, errors, mounts
from storage.check import Tip
from storage.reads import Reads
from storage.rows import CELLAR, ActionRow, FillingRow, ProblemRow
from storage.store import Store

WEEK = 7
WINE = "wine:"
UNREAD = ("", "")
"""Stands for a newest entry that was not looked at yet."""
REWRITTEN = (
    "If you did not put an older file here yourself, keep this one aside and restore the newest backup; "
    "`cellar-tui check` takes the ledger as it is now."
)
BOARD_DAMAGED = (
    "The file's board was damaged or changed by hand; what is shown was worked out again from the ledger: "
    "run `cellar-tui rebuild`."
)


class Names(Protocol):
    """What has to be looked up while typed text is read: a vessel by its name, the next number, a wine's vessels."""

    def next_seq(self) -> int:
        """Return the number that the next entry gets."""

    def by_name(self, name_key: str) -> FillingRow | None:
        """Return the line of the board of a vessel or store."""

    def by_wine(self, wine_key: str) -> list[FillingRow]:
        """Return the lines of the board of a wine."""


CODES: tuple[tuple[type[errors.StorageError], str], ...] = (
    (errors.Missing, "missing"),
    (errors.ReadOnly, "read_only"),
    (errors.AlreadyThere, "there"),
    (errors.BadName, "there"),
    (errors.Rejected, "input"),
    (errors.AlreadyCorrected, "input"),
    (errors.Corrupt, "damaged"),
)
"""What the store refuses, as front ends tell it apart; anything else is `storage`."""


@contextmanager
def plainly() -> Iterator[None]:
    """Turn what the store refuses into the one kind of error that front ends know."""
    try:
        yield
    except errors.HeadMoved as error:
        raise CellarError(str(error), code="moved", field=str(error.entry)) from error
    except errors.StorageError as error:
        code = next((word for kind, word in CODES if isinstance(error, kind)), "storage")
        raise CellarError(str(error), code=code) from error


class Reader:
    """An open cellar, to be looked at."""

    def __init__(self, store: Store, clock: Clock, by: str) -> None:
        self.file = store
        self.clock = clock
        self.by = by
        self.noted: list[str] = []
        self._mended: Store | None = None
        self._house: House | None = None
        self._latest: tuple[str, str] | None = UNREAD
        self._derived: dict[int, Derived] = {}
        self._version = store.data_version()

    @property
    def store(self) -> Store:
        """What is read: the file, or where its board cannot be believed a copy in memory with its board mended."""
        return self._mended or self.file

    @property
    def path(self) -> Path:
        """Where the cellar lies."""
        return Path(self.file.path)

    @property
    def read_only(self) -> bool:
        """Nothing can be recorded."""
        return self.file.read_only

    def close(self) -> None:
        """Close the file."""
        self._believe_the_file()
        self.file.close()

    def forget(self) -> None:
        """Read the house rules and the newest entry again when they are next asked for."""
        self._house = None
        self._latest = UNREAD

    def _believe_the_file(self) -> None:
        if self._mended is not None:
            self._mended.close()
            self._mended = None
            self.noted = [one for one in self.noted if one != BOARD_DAMAGED]

    def trust(self, vessels: Collection[int] | None = None) -> None:
        """Make sure that what the file keeps of these vessels, or of all, is what was written.

        Where it is not, the board is worked out again in memory and read from there; the file stays as it is.

        Raises:
            Corrupt: the ledger itself is damaged.
        """
        if self._mended is not None or self._sealed(vessels):
            return
        mended = self.file.in_memory()
        try:
            with mended.write() as tx:
                soundness.rebuild(tx)
        except BaseException:
            mended.close()
            raise
        self._mended = mended
        if not self.file.unsealed():  # a file of an older version has no seals yet: nothing is wrong with it
            self.noted.append(BOARD_DAMAGED)

    def _sealed(self, vessels: Collection[int] | None) -> bool:
        try:
            return not self.file.sealed_otherwise(vessels)
        except errors.Corrupt:
            return False

    @property
    def warnings(self) -> tuple[str, ...]:
        """What puts everything shown in doubt, a sentence each, the clock first."""
        return tuple(one for one in (self.clock_behind(), *self.noted) if one)

    def clock_behind(self) -> str | None:
        """Return a sentence where the machine's clock is behind the newest entry."""
        if self._latest == UNREAD:
            with plainly():
                self._latest = self.file.latest()
        return soundness.behind(self._latest, self.clock(), self.house.word("zone"))

    def changed(self) -> bool:
        """Return whether another program has recorded something since the last call."""
        with plainly():
            version = self.file.data_version()
        moved = version != self._version
        self._version = version
        if moved:
            self._believe_the_file()
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
        key = safe(name).casefold()
        with plainly():
            row = self._found(key) if read is None else read.by_name(key)
        if row is None:
            raise CellarError(f"there is no vessel {name}; the dashboard lists them.", field="vessel")
        return row.vessel

    def _found(self, name_key: str) -> FillingRow | None:
        """Return the line of a vessel that can be believed; damage may have taken its name."""
        with suppress(errors.Corrupt):
            row = self.store.by_name(name_key)
            if row is not None:
                self.trust((row.vessel,))
                return self.store.by_name(name_key)
        self.trust()
        return self.store.by_name(name_key)

    def targets(self, target: str) -> tuple[int, ...]:
        """Return the vessels that `NAME` or `wine:NAME` means."""
        if not target.casefold().startswith(WINE):
            return (self.number(target),)
        name = safe(target[len(WINE) :])
        with plainly():
            self.trust()
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

    def standing(self, read: Reads, targets: Collection[int] | None, *, until: date | None = None) -> Standing:
        """Return the decoded entries that these vessels can reach, with what follows from them; None for all.

        Entries dated after `until` count for nothing.
        """
        found = read.entries(None if targets is None else read.component(targets))
        base = Standing([rows.entry_of(row) for row in found], self._derived, until)
        self._derived.update(derived(base.cellar, base.plans))
        return base

    # -- pictures

    def board(self, today: date | None = None) -> Board:
        """Return the home screen on a day, from the board alone, unless entries are dated after that day."""
        day = today or self.today
        with plainly():
            self.trust()
            with self.store.snapshot():
                lines = (self.store.fillings(retired=False), self.store.actions(), self.store.problems())
                later = self.store.after(day.isoformat())
                if later:
                    lines = self._without(later, day, lines)
        return board_of(*lines, day)

    def _without(self, later: Sequence[int], day: date, lines: rows.Lines) -> rows.Lines:
        """Return lines of the board with those of the vessels that later entries touch as they stand on a day."""
        touched = self.store.component({one for seq in later for one in self.store.vessels_of(seq)} - {CELLAR})
        base = self.standing(self.store, touched, until=day)
        fresh = rows.board(base.cellar, base.plans, self.store.last_entries(), touched)
        retired = {row.vessel for row in fresh[0] if row.retired}
        told = rows.problem_rows(soundness.ahead(base, max(day, self.today)), touched)
        return (
            [row for row in lines[0] if row.vessel not in touched]
            + [row for row in fresh[0] if row.vessel not in retired],
            [row for row in lines[1] if row.vessel not in touched] + fresh[1],
            [row for row in lines[2] if row.vessel not in touched] + fresh[2] + told,
        )

    def tasks(self, on: date | None = None, as_of: date | None = None) -> list[Task]:
        """Return every action that can be done, as it stands on a day, sorted by day shown, vessel and action."""
        day = on or as_of or self.today
        if as_of is None:
            found = [one for line in self.board(day).lines for one in line.actions]
        else:
            base = self.as_of(as_of, day)
            found = [
                task(one, base.cellar.vessels[number], plan.wine, day)
                for number, plan in base.plans.items()
                for one in on_day(plan, day).actions
            ]
        return sorted(found, key=lambda one: (one.action.show, one.vessel, one.action.rule))

    def as_of(self, day: date, until: date | None = None) -> Standing:
        """Return the cellar by what had been recorded at the end of a day, in memory.

        Entries dated after `until` count for nothing.
        """
        with plainly():
            everything = [rows.entry_of(row) for row in self.store.entries(None)]
        instant = clocks.end_of_day(day, self.house.word("zone"))
        kept: dict[int, Entry] = {}
        for entry in everything:
            known = entry.supersedes is None or entry.supersedes in kept
            if entry.recorded_at <= instant and known:
                kept[entry.seq] = entry
        return Standing(list(kept.values()), until=until)

    def wine(self, name: str, on: date | None = None, as_of: date | None = None) -> WineView:
        """Return one filling, whole."""
        day = on or as_of or self.today
        if as_of is None:
            number = self.number(name)
            with plainly(), self.store.snapshot():
                base = self.standing(self.store, (number,), until=day)
        else:
            base = self.as_of(as_of, day)
            number = named(base.cellar, name)
        if number not in base.cellar.vessels:
            raise CellarError(f"there is no vessel {name} on that day.", field="vessel")
        view = view_of(base, number, day, self.units)
        late = [one for one in soundness.ahead(base, max(day, self.today)) if one.vessel == number]
        return replace(view, problems=(*view.problems, *late))

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
            base = self.standing(self.store, None, until=self.today)
        return shopping.supplies(base, self.today, within)

    def check(self) -> list[Problem]:
        """Return everything that is wrong, damage first."""
        found = self.checked()
        return [*(Problem(None, None, said) for said in found.damaged), *found.problems]

    def checked(self, known: Sequence[Tip] = ()) -> Checked:
        """Return what is wrong with the file, the chain, the board or the ledger.

        Args:
            known: tips that the ledger was seen to have; it must still go on from each.
        """
        with plainly():
            tip = None
            with suppress(errors.Corrupt):
                tip = check.tip(self.file)
            damaged, problems = soundness.faults(self.file, known)
            if not damaged and self.file.after(self.today.isoformat()):
                with self.file.snapshot():
                    problems = [*problems, *soundness.ahead(self.standing(self.file, None), self.today)]
        return Checked(tuple(damaged), tuple(problems), tip)

    @property
    def tip(self) -> Tip:
        """How many entries there are, and the hash of the last."""
        with plainly():
            return check.tip(self.file)

    def rewritten(self, known: Tip) -> list[str]:
        """Return a sentence where the ledger does not go on from a tip that it was seen to have."""
        with plainly():
            said = check.rewritten(self.file, known)
        return [f"{one} {REWRITTEN}" for one in said]

    def cautions(self) -> list[str]:
        """Return what about the place of the file puts it at risk, a sentence each."""
        return mounts.cautions(self.path)

    def backup(self, destination: str | os.PathLike[str]) -> Tip:
        """Copy the cellar, checked as `check` does; return the tip of the copy."""
        with plainly():
            return backup.backup(self.file, destination, lambda copy: soundness.faults(copy)[0])


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
