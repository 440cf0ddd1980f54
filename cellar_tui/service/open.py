"""The one door that front ends use: open a cellar, look at it, record in it."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from cellar_tui.language import days
from cellar_tui.ledger.cellar import Problem
from cellar_tui.ledger.cellar_kinds import HouseRule
from cellar_tui.ledger.entry import Entry
from cellar_tui.planning.plan import PLAN_VERSION
from cellar_tui.service import clock as clocks
from cellar_tui.service import rows, soundness
from cellar_tui.service.clock import Clock, day_in, machine_zone
from cellar_tui.service.records import Records, plainly
from cellar_tui.service.soundness import Checked
from cellar_tui.service.view import CellarView, Now, Then
from cellar_tui.service.views import CellarError
from storage import check, errors, mounts
from storage.check import Tip
from storage.rows import CELLAR
from storage.store import Store
from storage.tx import Tx

if TYPE_CHECKING:
    from cellar_tui.planning.shopping import Supply
    from cellar_tui.service.reachable import Reachable
    from cellar_tui.service.recorder import Recorder
    from cellar_tui.service.saving import Saving

REWRITTEN = (
    "If you did not put an older file here yourself, keep this one aside and restore the newest backup; "
    "`cellar-tui check` takes the ledger as it is now."
)
FIRST_KEY = b"the first entry."
"""Key of the entry that begins a cellar and sets its zone; 16 bytes."""


class OpenCellar:
    """A cellar that is open; what writes is loaded once something is written, so that looking costs little."""

    def __init__(self, records: Records) -> None:
        self._records = records

    @cached_property
    def _saving(self) -> Saving:
        from cellar_tui.service.saving import Saving

        return Saving(self._records)

    @cached_property
    def recorder(self) -> Recorder:
        """What is written goes through it."""
        from cellar_tui.service.recorder import Recorder

        return Recorder(self._saving)

    @property
    def path(self) -> Path:
        """Where the cellar lies."""
        return self._records.path

    @property
    def by(self) -> str:
        """Whose entries are made here."""
        return self._records.by

    @property
    def read_only(self) -> bool:
        """Nothing can be recorded."""
        return self._records.store.read_only

    @property
    def saved(self) -> bool:
        """Whether an entry was made durable through this door."""
        return self._records.saved

    @property
    def view(self) -> CellarView:
        """The cellar as it is now."""
        return CellarView(Now(self._records), self._records)

    def known_on(self, day: date) -> CellarView:
        """Return the cellar by what had been recorded at the end of a day, in memory."""
        from cellar_tui.service.as_of import known_by

        with plainly():
            everything = [rows.entry_of(row) for row in self._records.store.entries(None)]
        instant = clocks.end_of_day(day, self._records.house.word("zone"))
        return CellarView(Then(day, known_by(everything, instant)), self._records)

    def known_as_typed(self, typed: str) -> CellarView:
        """Return the cellar as it was known at the end of the past day that is typed.

        Raises:
            CellarError: it is no day, or lies ahead.
        """
        try:
            day = days.parse_date(typed, self._records.today)
        except days.WhenError as error:
            raise CellarError(str(error), field="as_of") from error
        if day > self._records.today:
            raise CellarError(f"{days.echo(day)} lies ahead: what will be known then nobody knows.", field="as_of")
        return self.known_on(day)

    def reachable(self, target: str) -> Reachable:
        """Return what a form for a vessel, `wine:NAME` or, where it is empty, the whole cellar can reach."""
        from cellar_tui.service.reachable import Reachable

        return Reachable(self._records, self.recorder, target)

    def changed(self) -> bool:
        """Return whether another program has recorded something since the last call."""
        return self._records.changed()

    def recorded(self, key: bytes) -> bool:
        """Return whether the entry made under a key is in the ledger."""
        with plainly():
            return self._records.store.by_key(key) is not None

    def last_by(self, by: str) -> Entry | None:
        """Return the newest entry of a person that still stands and is no withdrawal."""
        store = self._records.store
        with plainly():
            for row in store.latest_by(by, 200):
                if row.kind in ("void", "rebuild") or store.correction_of(row.seq) is not None:
                    continue
                return rows.entry_of(row)
        return None

    def entries(self) -> int:
        """Return how many entries the ledger has."""
        with plainly():
            return self._records.file.count()

    def rebuild(self) -> None:
        """Work out the whole board again from the ledger, with an entry that says so."""
        self._saving.rebuild(note=True)

    def close(self) -> None:
        """Close the file."""
        self._records.close()

    @property
    def warnings(self) -> tuple[str, ...]:
        """What puts everything shown in doubt, a sentence each, the clock first."""
        return self._records.warnings

    def clock_behind(self) -> str | None:
        """Return a sentence where the machine's clock is behind the newest entry."""
        return self._records.clock_behind()

    @property
    def noted(self) -> tuple[str, ...]:
        """What was found wrong with the file, a sentence each."""
        return tuple(self._records.noted)

    def on_wait(self, say: Callable[[str], None]) -> None:
        """Have it said for whom a save waits."""
        self._records.file.on_wait = say

    def on_save(self, remember: Callable[[Tip], None]) -> None:
        """Have the new end of the ledger remembered after each save."""
        self._records.after_save = remember

    def note(self, sentence: str) -> None:
        """Keep what was found wrong, to stand beside everything shown."""
        self._records.noted.append(sentence)

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
                tip = check.tip(self._records.file)
            damaged, problems = soundness.faults(self._records.file, known)
            if not damaged and self._records.file.after(self._records.today.isoformat()):
                with self._records.file.snapshot():
                    problems = [
                        *problems,
                        *soundness.ahead(self._records.standing(self._records.file, None), self._records.today),
                    ]
        return Checked(tuple(damaged), tuple(problems), tip)

    def another(self) -> OpenCellar:
        """Open the same cellar once more, for a thread that works while this one is looked at.

        Raises:
            CellarError: it cannot be opened any more.
        """
        found = open_cellar(self.path, self._records.clock, by=self.by, read_only=self.read_only)
        found._saving.clock_reason, found._records.after_save = self._saving.clock_reason, self._records.after_save
        found.on_wait(self._records.file.on_wait)
        return found

    @property
    def tip(self) -> Tip:
        """How many entries there are, and the hash of the last."""
        with plainly():
            return check.tip(self._records.file)

    def rewritten(self, known: Tip) -> list[str]:
        """Return a sentence where the ledger does not go on from a tip that it was seen to have."""
        with plainly():
            said = check.rewritten(self._records.file, known)
        return [f"{one} {REWRITTEN}" for one in said]

    def cautions(self) -> list[str]:
        """Return what about the place of the file puts it at risk, a sentence each."""
        return mounts.cautions(self.path)

    def backup(self, destination: str | os.PathLike[str]) -> Tip:
        """Copy the cellar, checked as `check` does; return the tip of the copy."""
        from storage import backup

        with plainly():
            return backup.backup(self._records.file, destination, lambda copy: soundness.faults(copy)[0])


@dataclass(frozen=True, slots=True)
class Restored:
    """What a restore came to: the tip of the cellar that now stands there, and where the old file is kept."""

    tip: Tip
    kept: Path | None


def _plan_version(store: Store) -> int:
    """Return the version of the plans on the board; 0, so that they are worked out again, where damage took it."""
    text = str(store.meta("plan_version"))
    return int(text) if text.isascii() and text.isdigit() else 0


def open_cellar(path: str | os.PathLike[str], clock: Clock, *, by: str, read_only: bool = False) -> OpenCellar:
    """Open an existing cellar; a plan worked out by an older program is worked out again.

    Raises:
        CellarError: in one sentence, what is wrong with the file.
    """
    with plainly():
        records = Records(Store.open(path, read_only=read_only), clock, by)
        known = _plan_version(records.file)
        if known > PLAN_VERSION and not read_only:
            records.close()
            sentence = "a newer version of this program keeps this cellar: open it with --read-only."
            raise CellarError(sentence, code="newer")
        if not read_only and (known < PLAN_VERSION or records.file.unsealed()):
            from cellar_tui.service.saving import Saving

            Saving(records).rebuild(note=True)
    return OpenCellar(records)


def supplies_apart(cellar: OpenCellar) -> tuple[Supply, ...]:
    """Return what its `view.supplies` does, through a connection of its own, so that a thread may ask for it.

    Raises:
        CellarError: in one sentence, what is wrong with the file.
    """
    other = open_cellar(cellar.path, cellar._records.clock, by=cellar.by, read_only=True)
    try:
        return other.view.supplies()
    finally:
        other.close()


def create_cellar(path: str | os.PathLike[str], clock: Clock, *, by: str, zone: str | None = None) -> OpenCellar:
    """Make a new, empty cellar in the machine's zone (or `zone`).

    Raises:
        CellarError: in one sentence, why it cannot be made.
    """
    from cellar_tui.service import build_entries

    name, now = zone or machine_zone(), clock()
    stamp = build_entries.Stamp(day_in(now, name), None, now.replace(microsecond=0), by, FIRST_KEY)
    entry = stamp.entry(1, HouseRule("zone", name), None)

    def begin(tx: Tx) -> None:
        tx.append([rows.new_entry(entry, {CELLAR}, ())])
        tx.set_meta("plan_version", str(PLAN_VERSION))

    with plainly():
        return OpenCellar(Records(Store.create(Path(path), begin), clock, by))


def restore_cellar(path: str | os.PathLike[str], backup: str | os.PathLike[str], clock: Clock) -> Restored:
    """Put a copy of a backup in the place of the cellar, checked first; the old file is kept.

    Raises:
        CellarError: the backup is no sound cellar, or could not be put there; nothing was lost.
    """
    from storage.restore import restore

    with plainly():
        tip, kept = restore(
            Path(path).absolute(), Path(backup).absolute(), clock(), lambda copy: soundness.faults(copy)[0]
        )
    return Restored(tip, kept)
