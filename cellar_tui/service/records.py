"""The open file as decoded entries: what was recorded, what follows from it, and the clock it is read by.

It stays inside the service: front ends are handed a view to look at and a recorder to write with.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from contextlib import contextmanager, suppress
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Protocol

from cellar_tui.enology.errors import CalcError
from cellar_tui.language.clean_text import safe
from cellar_tui.ledger.cellar import house_of
from cellar_tui.ledger.house import House
from cellar_tui.ledger.standing import standing_entries
from cellar_tui.service import clock as clocks
from cellar_tui.service import rows, soundness
from cellar_tui.service.clock import Clock
from cellar_tui.service.views import CellarError
from storage import errors
from storage.check import Tip
from storage.reads import Reads
from storage.rows import FillingRow
from storage.store import Store

if TYPE_CHECKING:
    from cellar_tui.language.parse_entry import Typist
    from cellar_tui.planning.consider import CellarState
    from cellar_tui.planning.planner import Derived

WINE = "wine:"
UNREAD = ("", "")
"""Stands for a newest entry that was not looked at yet."""
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
    """Turn what the store or a calculation refuses into the one kind of error that front ends know."""
    try:
        yield
    except errors.HeadMoved as error:
        raise CellarError(str(error), code="moved", field=str(error.entry)) from error
    except CalcError as error:
        raise CellarError(str(error), code="range", field=error.field) from error
    except errors.StorageError as error:
        code = next((word for kind, word in CODES if isinstance(error, kind)), "storage")
        raise CellarError(str(error), code=code) from error


class Records:
    """An open cellar's file, decoded.

    Attributes:
        file: what is written.
        clock: returns now.
        by: whose entries are made here.
        derived: plans worked out before, by vessel, to be used again where nothing under them moved.
        noted: what was found wrong with the file, a sentence each.
        saved: an entry was made durable.
        after_save: what is to be done with the new end of the ledger after each save.
        mended: a copy in memory with its board worked out again, where the file's cannot be believed.
    """

    def __init__(self, store: Store, clock: Clock, by: str) -> None:
        self.file = store
        self.clock = clock
        self.by = by
        self.derived: dict[int, Derived] = {}
        self.noted: list[str] = []
        self.saved = False
        self.after_save: Callable[[Tip], None] = lambda tip: None
        self.mended: Store | None = None
        self._house: House | None = None
        self._latest: tuple[str, str] | None = UNREAD
        self._version = store.data_version()

    @property
    def store(self) -> Store:
        """What is read: the file, or where its board cannot be believed a copy in memory with its board mended."""
        return self.mended or self.file

    @property
    def path(self) -> Path:
        """Where the cellar lies."""
        return Path(self.file.path)

    def close(self) -> None:
        """Close the file."""
        self.believe_the_file()
        self.file.close()

    def forget(self) -> None:
        """Read the house rules and the newest entry again when they are next asked for."""
        self._house = None
        self._latest = UNREAD

    def believe_the_file(self) -> None:
        """Read the file itself from now on."""
        if self.mended is not None:
            self.mended.close()
            self.mended = None
            self.noted = [one for one in self.noted if one != BOARD_DAMAGED]

    def trust(self, vessels: Collection[int] | None = None) -> None:
        """Make sure that what the file keeps of these vessels, or of all, is what was written.

        Where it is not, the board is worked out again in memory and read from there; the file stays as it is.

        Raises:
            Corrupt: the ledger itself is damaged.
        """
        if self.mended is None and not self._sealed(vessels):
            self.mend()

    def mend(self) -> None:
        """Work the board out again in memory, to be read from there."""
        mended = self.file.in_memory()
        try:
            with mended.write() as tx:
                soundness.rebuild(tx)
        except BaseException:
            mended.close()
            raise
        self.mended = mended
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
            self.believe_the_file()
            self.forget()
        return moved

    @property
    def house(self) -> House:
        """The house rules in force and the materials on hand."""
        if self._house is None:
            with plainly():
                self._house = house_of(standing_entries([rows.entry_of(row) for row in self.store.entries(())]))
        return self._house

    @property
    def today(self) -> date:
        """The civil day in the cellar's zone."""
        return clocks.day_in(self.clock(), self.house.word("zone"))

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
            if row is not None and row.name_key == name_key:  # not where an index is damaged
                self.trust((row.vessel,))
                return self.store.by_name(name_key)
        self.trust()
        named = [row for row in self.store.vessels() if row.name_key == name_key]
        return min(named, key=lambda row: (row.retired, -row.vessel), default=None)

    def targets(self, target: str) -> tuple[int, ...]:
        """Return the vessels that `NAME` or `wine:NAME` means.

        Raises:
            CellarError: there is no such vessel or wine.
        """
        if not target.casefold().startswith(WINE):
            return (self.number(target),)
        name = safe(target[len(WINE) :])
        with plainly():
            self.trust()
            lines = self.store.by_wine(name.casefold())
        in_bulk = [row.vessel for row in lines if row.material != "bottles"]
        if not lines:
            raise CellarError(f"there is no wine {name} in the cellar.", field="wine")
        return tuple(in_bulk or [row.vessel for row in lines])

    def typist(self, read: Names, bare: Mapping[str, str | None]) -> Typist:
        """Return what is needed to read typed text."""
        from cellar_tui.language.parse_entry import Typist

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

    def heads(self, vessels: Collection[int]) -> dict[int, int]:
        """Return the last entry of each vessel, as a form keeps them."""
        with plainly():
            return {vessel: self.store.head(vessel) for vessel in vessels}

    def standing(self, read: Reads, targets: Collection[int] | None, *, until: date | None = None) -> CellarState:
        """Return the decoded entries that these vessels can reach, with what follows from them; None for all.

        Entries dated after `until` count for nothing.
        """
        from cellar_tui.planning.consider import CellarState
        from cellar_tui.planning.planner import derived

        found = read.entries(None if targets is None else read.component(targets))
        base = CellarState([rows.entry_of(row) for row in found], self.derived, until)
        self.derived.update(derived(base.cellar, base.plans))
        return base
