"""What a save is made of: weigh under the lock, append, and write the board anew, all in one transaction.

Preview and record share one function up to the append, so that what is shown before Enter is what is kept after it.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime

from cellar_tui.ledger.cellar_kinds import Rebuild
from cellar_tui.ledger.entry import Entry
from cellar_tui.planning.consider import Considered, Standing, consider
from cellar_tui.planning.plan import PLAN_VERSION
from cellar_tui.planning.planner import derived
from cellar_tui.service import build_entries, rows
from cellar_tui.service.build_entries import Stamp
from cellar_tui.service.components import components, links
from cellar_tui.service.outcomes import outcomes
from cellar_tui.service.reader import Names, Reader, plainly
from cellar_tui.service.views import Answer, Request
from storage.reads import Reads
from storage.rows import CELLAR
from storage.tx import Tx

Build = Callable[[Names, Standing], list[Entry]]
"""Makes the entries of a request, from what the store knows and what they are weighed against."""


class Stopped(Exception):
    """A guard stopped a save; the transaction is rolled back and the answer handed out."""

    def __init__(self, answer: Answer) -> None:
        super().__init__("stopped")
        self.answer = answer


class Saver(Reader):
    """An open cellar that can keep what is weighed."""

    def _save(self, targets: Sequence[int] | None, build: Build, request: Request, *, preview: bool = False) -> Answer:
        """Weigh what `build` makes and keep it; `targets` are the vessels it begins from, None for all."""
        with plainly():
            if preview:
                with self.store.snapshot():
                    if request.key is not None and (old := self.store.by_key(request.key)) is not None:
                        return self._already(self.store, old.seq)
                    return self._weigh(self.store, self._reacher(self.store, targets), targets or (), build)[0]
            try:
                with self.store.write() as tx:
                    answer = self._keep(tx, targets, build, request)
            except Stopped as stop:
                return stop.answer
        self.forget()
        return answer

    def _keep(self, tx: Tx, targets: Sequence[int] | None, build: Build, request: Request) -> Answer:
        if request.key is not None and (old := tx.by_key(request.key)) is not None:
            return self._already(tx, old.seq)
        if request.heads is not None:
            tx.expect(request.heads)
        answer, found, made = self._weigh(tx, self._reacher(tx, targets), targets or (), build)
        if any(one.stops and not one.passed for one in answer.outcomes):
            raise Stopped(answer)
        kept = [
            replace(entry, cautions=tuple(f"{f.guard}: {f.why}" for f in one.findings))
            for entry, one in zip(made, answer.outcomes, strict=True)
        ]
        reached = [links(entry, tx.vessels_of) for entry in kept]
        tx.append([rows.new_entry(e, seen, joins) for e, (seen, joins) in zip(kept, reached, strict=True)])
        self._write_board(tx, found, targets is None)
        self._derived.update(derived(found.cellar, found.new))
        shown = tuple(replace(one, entry=entry) for one, entry in zip(answer.outcomes, kept, strict=True))
        return Answer(shown, True)

    def _write_board(self, tx: Tx, found: Considered, everything: bool) -> None:
        vessels = set(found.cellar.vessels) | set(found.old)
        own = {one for entry in found.made for one in links(entry, tx.vessels_of)[0] if one > 0}
        vessels |= own
        heads = {number: tx.head(number) for number in vessels}
        lines = rows.board(found.cellar, found.new, heads, vessels)
        if everything:
            tx.replace_all(*lines)
        else:
            tx.replace(vessels, *lines)

    def _weigh(
        self, names: Names, reach: Callable[[frozenset[int]], Standing], targets: Sequence[int], build: Build
    ) -> tuple[Answer, Considered, list[Entry]]:
        """Weigh what `build` makes; an entry that names another vessel reaches that one's entries too."""
        base = reach(frozenset(targets))
        made = build(names, base)
        new = {entry.seq for entry in made}
        named = {one for entry in made for one in build_entries.touched(entry, entry.root or entry.seq)[0]} - new
        if not named <= set(base.cellar.vessels):
            base = reach(frozenset([*targets, *named]))
            made = build(names, base)
        found = consider(base, made)
        return Answer(outcomes(found, made, base, self.today), False), found, made

    def _already(self, tx: Reads, seq: int) -> Answer:
        base = self.standing(tx, self.reach(seq))
        first = next(entry for entry in base.entries if entry.seq == seq)
        made = [entry for entry in base.entries if entry.seq == seq or (first.batch and entry.batch == first.batch)]
        fresh = {entry.seq for entry in made}
        before = Standing([entry for entry in base.entries if entry.seq not in fresh and entry.seq < seq])
        found = consider(before, made)
        shown = tuple(replace(one, already=True, changes=()) for one in outcomes(found, made, before, self.today))
        return Answer(shown, True)

    def rebuild(self, *, note: bool = False) -> None:
        """Work out the whole board anew from the ledger, in one transaction; `note` says so in the ledger."""
        with plainly(), self.store.write() as tx:
            if note and tx.count():
                entry = self._stamp("", None, "").entry(tx.next_seq(), Rebuild(PLAN_VERSION), None)
                tx.append([rows.new_entry(entry, {CELLAR}, ())])
            base = self.standing(tx, None)
            heads = {number: tx.head(number) for number in base.cellar.vessels}
            lines = rows.board(base.cellar, base.plans, heads, set(base.cellar.vessels))
            tx.replace_all(*lines, components=components(base.entries))
            tx.set_meta("plan_version", str(PLAN_VERSION))
        self.forget()

    def _reacher(self, read: Reads, targets: Sequence[int] | None) -> Callable[[frozenset[int]], Standing]:
        """Return how the entries that vessels can reach are read; where everything is concerned, all of them."""
        return lambda vessels: self.standing(read, None if targets is None else vessels)

    def _stamp(self, at: str, key: bytes | None, by: str) -> Stamp:
        on, minute = build_entries.place_of(at, self.today)
        now: datetime = self.clock()
        return Stamp(on, minute, now.replace(microsecond=0), by or self.by, key or uuid.uuid4().bytes)
