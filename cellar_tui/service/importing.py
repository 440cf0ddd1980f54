"""Many requests, any number of them on one vessel, kept as one save; what is in the ledger already is left alone."""

from __future__ import annotations

import json
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Any, Literal

from cellar_tui.language.parse_entry import field_name
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fields import specs
from cellar_tui.planning.consider import CellarState
from cellar_tui.service import build_entries
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.records import Names, plainly
from cellar_tui.service.views import CellarError, Outcome, Request, SaveResult

MEANINGS = "columns"
"""Name under which a cellar remembers what the heads of its sheets mean."""

EACH = 25
"""Entries after which it is said how many have been weighed."""

State = Literal["new", "already", "stopped", "wrong"]
Progress = Callable[[int], None]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What becomes of one request: new, already in the ledger, stopped by a guard, or wrong.

    Attributes:
        state: which of them.
        entry: the entry made, or the one that is there already; its seq is 0 until it is kept.
        outcome: what a new one does.
        why: what is wrong.
    """

    state: State
    entry: Entry | None = None
    outcome: Outcome | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Imported:
    """What became of all of them, in their order, and whether anything was written."""

    verdicts: tuple[Verdict, ...]
    saved: bool

    @property
    def sound(self) -> bool:
        """Nothing is wrong and nothing stopped."""
        return all(verdict.state in ("new", "already") for verdict in self.verdicts)


def record_all(
    service: OpenCellar, requests: Sequence[Request], progress: Progress = lambda count: None, *, preview: bool = False
) -> Imported:
    """Weigh requests together, and keep them all where nothing is wrong with any and no guard stops one.

    Args:
        service: the cellar.
        requests: what the rows of a sheet ask for.
        progress: is called with how many have been weighed; what it raises ends the work with nothing kept.
        preview: keep nothing.

    Raises:
        CellarError: it could not be kept.
    """
    work, numbers = _Work(service, requests), count(1)

    def weighed() -> None:
        if (number := next(numbers)) % EACH == 0:
            progress(number)

    service._saving.on_weighed = weighed
    try:
        return work.run(preview=preview)
    except _Unsound:
        return work.run(preview=True)
    finally:
        service._saving.on_weighed = lambda: None


def meanings(service: OpenCellar) -> dict[str, str]:
    """Return what the heads of sheets were said to mean in this cellar."""
    with plainly():
        kept = service._records.file.meta(MEANINGS)
    try:
        found: dict[str, str] = json.loads(kept) if kept else {}
    except ValueError:  # damaged: they are asked for again
        return {}
    return found


def remember(service: OpenCellar, meaning: Mapping[str, str]) -> None:
    """Keep with the cellar what the heads of its sheets mean."""
    if dict(meaning) == meanings(service):
        return
    with plainly(), service._records.file.write() as tx:
        tx.set_meta(MEANINGS, json.dumps(dict(meaning), ensure_ascii=False))


class _Unsound(Exception):
    """A request is wrong: nothing is kept, and the others are only weighed."""


class _Nothing(Exception):
    """No request makes an entry."""


class _Work:
    """One import: the entries that its requests make, and which of them are there already."""

    def __init__(self, service: OpenCellar, requests: Sequence[Request]) -> None:
        self.service, self.requests = service, requests
        self.wrong: dict[int, str] = {}
        self.already: dict[int, Entry] = {}
        self.made: dict[int, list[Entry]] = {}

    def run(self, *, preview: bool) -> Imported:
        """Weigh the requests, and keep them unless it is a preview."""
        targets = self._targets()
        whole = [vessel for one in targets.values() for vessel in one]
        lead = Request("", "import", {})

        def build(read: Names, base: CellarState) -> list[Entry]:
            made = self._build(read, base, targets)
            if self.wrong and not preview:
                raise _Unsound
            if not made:
                raise _Nothing
            return made

        try:
            answer = self.service._saving.save(whole, build, lead, preview=preview)
        except _Nothing:
            answer = SaveResult((), False)
        found = {outcome.entry.key: outcome for outcome in answer.outcomes}
        return Imported(tuple(self._verdict(index, found) for index in range(len(self.requests))), answer.saved)

    def _targets(self) -> dict[int, Sequence[int]]:
        """Return the vessels of each request; a name that is none is what is wrong with it."""
        known: dict[str, Sequence[int] | CellarError] = {}
        targets: dict[int, Sequence[int]] = {}
        for index, request in enumerate(self.requests):
            name = request.target.casefold()
            if name not in known:
                try:
                    known[name] = self.service._records.targets(request.target)
                except CellarError as error:
                    known[name] = error
            found = known[name]
            if isinstance(found, CellarError):
                self.wrong[index] = str(found)
            else:
                targets[index] = found
        return targets

    def _build(self, read: Names, base: CellarState, targets: Mapping[int, Sequence[int]]) -> list[Entry]:
        """Make the entries of all requests that are sound and not in the ledger yet."""
        self.already = self._kept(base, targets)
        rows = {one.seq for one in self.already.values()}
        there = _There([entry for entry in base.ordered if entry.root not in rows])
        made: list[Entry] = []
        self.made.clear()
        for index, own in targets.items():
            request = self.requests[index]
            if index in self.already:
                continue
            try:
                build_entries.recordable((request,))
                self.wrong.pop(index, None)
                fresh = self.service.recorder.entries_of(read, self._base(base, request, made), request, own, made)
            except CellarError as error:
                self.wrong[index] = str(error)
                continue
            if (old := there.take(fresh[0], request)) is not None:
                self.already[index] = old
                continue
            keys = [build_entries.numbered_key(request.key or fresh[0].key, place) for place in range(len(fresh))]
            self.made[index] = [replace(one, key=key) for one, key in zip(fresh, keys, strict=True)]
            made += self.made[index]
        return [replace(entry, batch=made[0].seq) for entry in made] if len(made) > 1 else made

    def _kept(self, base: CellarState, indices: Collection[int]) -> dict[int, Entry]:
        """Return the entries that the same rows made before, be they withdrawn since."""
        entries = {entry.key: entry for entry in base.entries}
        keys = ((index, self.requests[index].key or b"") for index in indices)
        return {index: entries[key] for index, key in keys if key in entries}

    def _base(self, base: CellarState, request: Request, made: Collection[Entry]) -> CellarState:
        """Return what a dose is worked out from: with the rows before it, whose wine it goes into."""
        return CellarState([*base.entries, *made]) if made and "dose" in request.fields else base

    def _verdict(self, index: int, found: Mapping[bytes, Outcome]) -> Verdict:
        if index in self.wrong:
            return Verdict("wrong", why=self.wrong[index])
        if index in self.already:
            return Verdict("already", self.already[index])
        outcomes = [found[entry.key] for entry in self.made[index]]
        stops = [stop.why for one in outcomes if one.stops and not one.passed for stop in one.stops]
        entry = outcomes[0].entry
        return Verdict("stopped" if stops else "new", entry, outcomes[0], " ".join(dict.fromkeys(stops)))


class _There:
    """The standing entries by what they are, so that a row that says the same is known; each is taken once."""

    def __init__(self, ordered: Sequence[Entry]) -> None:
        self.by_place: dict[Any, list[Entry]] = {}
        for entry in ordered:
            self.by_place.setdefault((entry.body.kind, entry.vessel, entry.on), []).append(entry)

    def take(self, fresh: Entry, request: Request) -> Entry | None:
        """Return the standing entry that says all that a request says, None where there is none left."""
        alike = self.by_place.get((fresh.body.kind, fresh.vessel, fresh.on), [])
        names = {field_name(name) for name, typed in request.fields.items() if typed.strip()}
        for entry in alike:
            same = fresh.minute in (None, entry.minute) and all(
                _alike(getattr(entry.body, name), getattr(fresh.body, name))
                for name, _ in specs(type(fresh.body))
                if name in names
            )
            if same:
                alike.remove(entry)
                return entry
        return None


def _alike(one: Any, other: Any) -> bool:
    if isinstance(one, float | int) and isinstance(other, float | int):
        return abs(one - other) <= 1e-9 * max(abs(one), abs(other), 1.0)
    return bool(one == other)
