"""What a save is made of: weigh, take the lock, append and write the board's lines, all in one transaction.

Preview and record share one function up to the append, so that what is shown before Enter is what is kept after it.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime, timedelta

from cellar_tui.ledger.cellar_kinds import Rebuild
from cellar_tui.ledger.entry import Entry
from cellar_tui.planning.consider import CellarState, Considered, consider
from cellar_tui.planning.guards.base import Finding
from cellar_tui.planning.plan import PLAN_VERSION
from cellar_tui.planning.planner import derived
from cellar_tui.service import build_entries, rows, soundness
from cellar_tui.service.build_entries import Stamp
from cellar_tui.service.components import links
from cellar_tui.service.outcomes import outcomes
from cellar_tui.service.records import Names, Records, plainly
from cellar_tui.service.views import Request, SaveResult
from storage import errors
from storage.check import tip
from storage.reads import Reads
from storage.rows import CELLAR
from storage.tx import Tx

Build = Callable[[Names, CellarState], list[Entry]]
"""Makes the entries of a request, from what the store knows and what they are weighed against."""


Weighed = tuple[SaveResult, Considered, list[Entry]]
"""What a request comes to: its answer, what it was weighed against, and its entries."""

Before = tuple[tuple[int, bytes | None], Weighed]
"""The end of the ledger that was seen, and what a request came to there."""


def _stopped(answer: SaveResult) -> bool:
    return any(outcome.stops and not outcome.passed for outcome in answer.outcomes)


DOUBLED = timedelta(minutes=1)
"""How soon after an entry the same one is doubted."""


def _beside(answer: SaveResult, finding: Finding) -> SaveResult:
    """Return an answer with a finding before those of each entry."""
    return replace(
        answer, outcomes=tuple(replace(outcome, findings=(finding, *outcome.findings)) for outcome in answer.outcomes)
    )


class Stopped(Exception):
    """A guard stopped a save; the transaction is rolled back and the answer handed out."""

    def __init__(self, answer: SaveResult) -> None:
        super().__init__("stopped")
        self.answer = answer


class Saving:
    """The one way into the ledger: every entry is weighed and kept here.

    Attributes:
        clock_reason: why an entry is made although the clock is behind the ledger, None where it is not.
        on_weighed: is called for each entry that has been weighed; what it raises ends the save, nothing kept.
    """

    def __init__(self, records: Records) -> None:
        self.records = records
        self.clock_reason: str | None = None
        self.on_weighed: Callable[[], None] = lambda: None

    def save(
        self, targets: Sequence[int] | None, build: Build, request: Request, *, preview: bool = False
    ) -> SaveResult:
        """Weigh what `build` makes and keep it; `targets` are the vessels it begins from, None for all.

        It is weighed before the lock is taken, so that nobody waits for it, and again under the lock where another
        entry was made meanwhile.
        """
        with plainly():
            self.records.trust(targets)
            if preview:
                with self.records.store.snapshot():
                    if request.key is not None and (old := self.records.store.by_key(request.key)) is not None:
                        return self._already(self.records.store, old.seq)
                    return self._weigh_on(self.records.store, targets, build, request)[0]
            if self.records.mended is not None:
                self.rebuild(note=True)
            try:
                weighed = self._weighed_before(targets, build, request)
                with self.records.file.write() as tx:
                    answer = self._keep(tx, targets, build, request, weighed)
                self.records.saved = True
            except Stopped as stop:
                return stop.answer
            with suppress(errors.StorageError):  # it is durable by now, whatever the disk does next
                self.records.after_save(tip(self.records.file))
        self.records.forget()
        return answer

    def _weighed_before(self, targets: Sequence[int] | None, build: Build, request: Request) -> Before | None:
        """Weigh in a snapshot; None where the key is in the ledger already.

        Raises:
            Stopped: a guard stops it; nothing need be locked for that.
        """
        with self.records.file.snapshot():
            if request.key is not None and self.records.file.by_key(request.key) is not None:
                return None
            seen = self.records.file.count(), self.records.file.last_hash()
            weighed = self._weigh_on(self.records.file, targets, build, request)
        if request.heads is None and _stopped(weighed[0]):
            raise Stopped(weighed[0])
        return seen, weighed

    def _keep(
        self, tx: Tx, targets: Sequence[int] | None, build: Build, request: Request, before: Before | None
    ) -> SaveResult:
        if request.key is not None and (old := tx.by_key(request.key)) is not None:
            return self._already(tx, old.seq)
        if request.heads is not None:
            tx.expect(request.heads)
        if before is not None and before[0] == (tx.count(), tx.last_hash()):
            answer, found, made = before[1]
        else:
            answer, found, made = self._weigh_on(tx, targets, build, request)
        if _stopped(answer):
            raise Stopped(answer)
        kept = [
            replace(entry, cautions=tuple(f"{f.guard}: {f.why}" for f in one.findings))
            for entry, one in zip(made, answer.outcomes, strict=True)
        ]
        reached = [links(entry, tx.vessels_of) for entry in kept]
        tx.append([rows.new_entry(e, seen, joins) for e, (seen, joins) in zip(kept, reached, strict=True)])
        self._write_board(tx, found, targets is None)
        self.records.derived.update(derived(found.cellar, found.new))
        shown = tuple(replace(one, entry=entry) for one, entry in zip(answer.outcomes, kept, strict=True))
        return SaveResult(shown, True)

    def _write_board(self, tx: Tx, found: Considered, everything: bool) -> None:
        """Write the lines of the board as they stand with every entry, those dated after today too."""
        if found.later:
            whole = CellarState([*found.base.entries, *found.made])
            found = replace(found, cellar=whole.cellar, new=whole.plans)
        vessels = set(found.cellar.vessels) | set(found.old)
        own = {one for entry in found.made for one in links(entry, tx.vessels_of)[0] if one > 0}
        vessels |= own
        heads = {number: tx.head(number) for number in vessels}
        lines = rows.board(found.cellar, found.new, heads, vessels)
        if everything:
            tx.replace_all(*lines)
        else:
            tx.replace(vessels, *lines)

    def weigh(
        self, names: Names, reach: Callable[[frozenset[int]], CellarState], targets: Sequence[int], build: Build
    ) -> Weighed:
        """Weigh what `build` makes; an entry that names another vessel reaches that one's entries too."""
        base = reach(frozenset(targets))
        made = build(names, base)
        new = {entry.seq for entry in made}
        named = {one for entry in made for one in build_entries.touched(entry, entry.root or entry.seq)[0]} - new
        if not named <= set(base.cellar.vessels):
            base = reach(frozenset([*targets, *named]))
            made = build(names, base)
        late = self.records.clock_behind()
        if late is not None and self.clock_reason:
            made = [replace(entry, waived=entry.waived or self.clock_reason) for entry in made]
        found = consider(base, made, self.on_weighed)
        shown = outcomes(found, made, base, self.records.today)
        answer = SaveResult(shown, False)
        return (answer if late is None else _beside(answer, soundness.clock_stop(late))), found, made

    def _weigh_on(self, read: Reads, targets: Sequence[int] | None, build: Build, request: Request) -> Weighed:
        """Weigh what is read now; without a key of a form's own it may be the second try of a script or a hand."""
        answer, found, made = self.weigh(read, self._reacher(read, targets), targets or (), build)
        twice = self._doubled(read, made) if request.key is None else None
        return (answer if twice is None else _beside(answer, twice)), found, made

    def _doubled(self, read: Reads, made: Sequence[Entry]) -> Finding | None:
        """Return a caution where the same person has just made the same entry."""
        new = made[0]
        for old in map(rows.entry_of, read.latest_by(new.by, len(made)) if new.typed else ()):
            same = (old.vessel, old.on, old.minute, old.body.kind, old.typed) == (
                new.vessel,
                new.on,
                new.minute,
                new.body.kind,
                new.typed,
            )
            ago = new.recorded_at - old.recorded_at
            if same and old.supersedes == new.supersedes and timedelta() <= ago < DOUBLED:
                seconds = round(ago.total_seconds())
                why = f"entry {old.seq}, made {seconds} s ago, says the same: undo one of them if it was done once."
                return Finding("doubled", why)
        return None

    def _already(self, tx: Reads, seq: int) -> SaveResult:
        base = self.records.standing(tx, self.records.reach(seq))
        first = next(entry for entry in base.entries if entry.seq == seq)
        made = [entry for entry in base.entries if entry.seq == seq or (first.batch and entry.batch == first.batch)]
        fresh = {entry.seq for entry in made}
        before = CellarState([entry for entry in base.entries if entry.seq not in fresh and entry.seq < seq])
        found = consider(before, made)
        shown = tuple(
            replace(outcome, already=True, changes=()) for outcome in outcomes(found, made, before, self.records.today)
        )
        return SaveResult(shown, True)

    def rebuild(self, *, note: bool = False) -> None:
        """Work out the whole board from the ledger, in one transaction; `note` says so in the ledger."""
        with plainly():
            with self.records.file.write() as tx:
                if note and tx.count():
                    entry = self.stamp("", None, "").entry(tx.next_seq(), Rebuild(PLAN_VERSION), None)
                    tx.append([rows.new_entry(entry, {CELLAR}, ())])
                soundness.rebuild(tx)
            self.records.believe_the_file()
            self.records.after_save(tip(self.records.file))
        self.records.forget()

    def _reacher(self, read: Reads, targets: Sequence[int] | None) -> Callable[[frozenset[int]], CellarState]:
        """Return how the entries that vessels can reach are read; where everything is concerned, all of them."""
        today = self.records.today
        return lambda vessels: self.records.standing(read, None if targets is None else vessels, until=today)

    def stamp(self, at: str, key: bytes | None, by: str) -> Stamp:
        on, minute = build_entries.place_of(at, self.records.today, self.records.house.word("zone"))
        now: datetime = self.records.clock()
        return Stamp(on, minute, now.replace(microsecond=0), by or self.records.by, key or uuid.uuid4().bytes)
