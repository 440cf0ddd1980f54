"""Entries weighed and recorded: made, corrected, withdrawn; vessels, wines, house rules and materials."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date

from cellar_tui.language.clean_text import safe
from cellar_tui.ledger import bottle_stock
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar_kinds import (
    OUTSIDE_TIME,
    HouseRule,
    Vessel,
    Void,
    WineStart,
)
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.standing import chains
from cellar_tui.planning.consider import CellarState
from cellar_tui.planning.forecast.learn import Learned, learned
from cellar_tui.service import build_entries
from cellar_tui.service.parted import parted
from cellar_tui.service.records import Names
from cellar_tui.service.saving import Build, Saving
from cellar_tui.service.views import CellarError, Request, SaveResult


class Recorder:
    """What is written into a cellar: every entry is weighed, and kept or refused whole."""

    def __init__(self, saving: Saving) -> None:
        self._saving = saving
        self._records = saving.records

    @property
    def clock_reason(self) -> str | None:
        """Why entries are made although the clock is behind the ledger; None where they are not."""
        return self._saving.clock_reason

    @clock_reason.setter
    def clock_reason(self, reason: str | None) -> None:
        self._saving.clock_reason = reason

    def record(self, request: Request, *, preview: bool = False) -> SaveResult:
        """Make one entry, or one for every filling of a wine; `preview` does everything but keep it.

        Raises:
            CellarError: what was typed cannot be an entry, or it could not be kept.
        """
        return self.record_sheet((request,), preview=preview)

    def record_sheet(self, requests: Sequence[Request], *, preview: bool = False) -> SaveResult:
        """Make the entries of several requests, one a vessel: judged, saved and undone together.

        The first request's key is that of them all; each brings its own heads.

        Raises:
            RowsError: what was typed in some of them cannot be an entry; of one request alone its own CellarError.
            CellarError: it could not be kept.
        """
        aimed = [(request, self._records.targets(request.target)) for request in build_entries.recordable(requests)]
        heads = [request.heads for request in requests if request.heads is not None]
        seen = {vessel: seq for one in heads for vessel, seq in one.items()} if heads else None
        lead = replace(requests[0], heads=seen)
        return self._saving.save(build_entries.apart(aimed), self._made_of(aimed), lead, preview=preview)

    def weighed(
        self, names: Names, reach: Callable[[frozenset[int]], CellarState], aimed: Sequence[build_entries.Aimed]
    ) -> SaveResult:
        """Preview requests, each with its vessels, for an open form: names and reach are what it keeps in memory."""
        request, targets = aimed[0]
        if request.kind in build_entries.GOVERNING:
            return self._saving.weigh(names, reach, targets, lambda read, base: self._governing(read, base, request))[0]
        if request.kind == "wine":
            return self._saving.weigh(
                names, reach, targets, lambda read, base: self._begun(read, base, request, targets)
            )[0]
        build_entries.recordable([request for request, _ in aimed])
        return self._saving.weigh(names, reach, build_entries.apart(aimed), self._made_of(aimed))[0]

    def _made_of(self, aimed: Sequence[build_entries.Aimed]) -> Build:
        """Return what makes the entries of several requests; more than one entry is a batch."""

        def build(read: Names, base: CellarState) -> list[Entry]:
            made: list[Entry] = []
            wrong: dict[int, CellarError] = {}
            for index, one in enumerate(aimed):
                try:
                    for part, targets in self._parts(read, *one):
                        made += self.entries_of(read, base, part, targets, made)
                except CellarError as error:
                    wrong[index] = error
            if wrong:
                raise build_entries.wrong_rows([request.target for request, _ in aimed], wrong)
            first, key = made[0].seq, made[0].key
            return (
                made
                if len(made) == 1
                else [
                    replace(entry, batch=first, key=build_entries.numbered_key(key, index))
                    for index, entry in enumerate(made)
                ]
            )

        return build

    def _parts(self, read: Names, request: Request, targets: Sequence[int]) -> Iterator[tuple[Request, Sequence[int]]]:
        """Yield the requests that one stands for, each with the vessels that it is for."""
        for part in parted(request):
            yield part, targets if part.target == request.target else (self._records.number(part.target, read),)

    def entries_of(
        self, read: Names, base: CellarState, request: Request, targets: Sequence[int], before: Sequence[Entry]
    ) -> list[Entry]:
        """Return the entries of a request; `before` are those made with it so far."""
        stamp = self._saving.stamp(request.at, request.key, request.by)
        typist = self._records.typist(read, build_entries.bare_units(request, base.cellar))
        whole = build_entries.read_body(request.kind, request.fields, typist)
        total = sum(base.cellar.holds[t].now.volume for t in targets if t in base.cellar.holds)
        made: list[Entry] = []
        for target in targets:
            build_entries.checked(whole, target, base)
            held = base.cellar.holds.get(target)
            part = held.now.volume / total if held is not None and total > 0 and len(targets) > 1 else 1.0
            body = build_entries.shared(whole, part)
            seq = read.next_seq() + len(before) + len(made)
            if isinstance(body, k.Bottle):
                body = self._stored(read, base, body, target, stamp.on, [*before, *made])
                body = self._numbered(base, body, stamp.on, seq, [*before, *made])
            entry = stamp.entry(
                seq, body, target, typed=dict(request.fields), waived=build_entries.reason(request.waive)
            )
            made.append(replace(entry, body=build_entries.completed(body, entry, base, "dose" in request.fields)))
        return made

    def _stored(
        self, read: Names, base: CellarState, body: k.Bottle, target: int, on: date, before: Sequence[Entry]
    ) -> k.Bottle:
        """Return a bottling with the store that it opens, or with that of the lot which it goes on filling."""
        held = base.cellar.holds.get(target)
        wine = held.wine if held else "wine"
        for one in before:
            first = base.cellar.holds.get(one.vessel or 0)
            if isinstance(one.body, k.Bottle) and first is not None and first.wine == wine:
                return replace(body, store=one.body.store, into=one.body.into or one.seq)
        lot = build_entries.open_lot(wine, on, read.by_name, base)
        if lot is not None:
            return replace(body, store=lot.name, into=lot.vessel)
        taken = {(getattr(one.body, "store", None) or "").casefold() for one in before}
        return replace(
            body,
            store=build_entries.store_name(wine, lambda key: key in taken or read.by_name(key) is not None),
        )

    def _numbered(self, base: CellarState, body: k.Bottle, on: date, seq: int, before: Sequence[Entry]) -> k.Bottle:
        """Give a bottling the lot of the store that it goes on filling, else a number by the cellar's pattern."""
        if body.lot is not None:
            return body
        joined = base.cellar.holds.get(body.into or 0)
        lots = [] if joined is None else list(bottle_stock.stock(joined).lots)
        lots += [one.body.lot for one in before if isinstance(one.body, k.Bottle) and one.body.lot and body.into]
        pattern = base.cellar.house.word("lot_pattern")
        return replace(body, lot=lots[-1] if lots else build_entries.lot_number(pattern, on, seq))

    def add_vessel(
        self,
        fields: Mapping[str, str],
        *,
        by: str = "",
        key: bytes | None = None,
        preview: bool = False,
        bare: Mapping[str, str | None] | None = None,
    ) -> SaveResult:
        """Enter a vessel; its fields are name, capacity, material, place, lid."""

        def build(read: Names, base: CellarState) -> list[Entry]:
            body = build_entries.read_body("vessel", fields, self._records.typist(read, bare or {}))
            assert isinstance(body, Vessel)
            self._free_name(read, body.name or "")
            seq = read.next_seq()
            return [self._saving.stamp("", key, by).entry(seq, body, seq, typed=dict(fields))]

        return self._saving.save((), build, Request("", "vessel", fields, by=by, key=key), preview=preview)

    def retire_vessel(self, name: str, *, by: str = "", key: bytes | None = None) -> SaveResult:
        """Take an empty vessel out of use."""
        number = self._records.number(name)
        return self.amend(number, {"retired": "yes"}, by=by, key=key)

    def start_wine(self, request: Request, *, preview: bool = False) -> SaveResult:
        """Start a wine in an empty vessel; `request.target` is the vessel, the fields those of a wine.

        Wine in bottles has no vessel: its store is its own.

        Raises:
            CellarError: what was typed cannot be right, or wine in bottles was to go into a vessel.
        """
        in_bottles = bool(request.fields.get("count"))
        if in_bottles and request.target:
            raise CellarError("bottles need no vessel: leave it out, they have a store of their own.", field="vessel")
        targets = () if in_bottles else self._records.targets(request.target)

        def build(read: Names, base: CellarState) -> list[Entry]:
            return self._begun(read, base, request, targets)

        return self._saving.save(targets, build, request, preview=preview)

    def _begun(self, read: Names, base: CellarState, request: Request, targets: Sequence[int]) -> list[Entry]:
        stamp = self._saving.stamp(request.at, request.key, request.by)
        fields = dict(request.fields)
        known = read.by_wine(safe(fields.get("name", "")).casefold())
        if known and known[0].wine:
            fields |= {"name": known[0].wine, "style": fields.get("style") or known[0].style or ""}
        body = build_entries.read_body(
            "wine", fields, self._records.typist(read, build_entries.bare_units(request, base.cellar))
        )
        seq = read.next_seq()
        if isinstance(body, WineStart) and body.count:
            name = build_entries.store_name(body.name or "wine", lambda key: read.by_name(key) is not None)
            body = replace(body, store=name)
        vessel = targets[0] if targets else seq
        entry = stamp.entry(seq, body, vessel, typed=fields, waived=build_entries.reason(request.waive))
        return [replace(entry, body=build_entries.completed(body, entry, base, typed_dose=False))]

    def set_rule(self, name: str, value: str, *, by: str = "", key: bytes | None = None) -> SaveResult:
        """Set a house rule, or with an empty value put it back to its default; every plan follows."""
        return self.govern(Request("", "rule", {"name": name, "value": value}, by=by, key=key))

    def learn(
        self, *, preview: bool = False, by: str = "", key: bytes | None = None
    ) -> tuple[tuple[Learned, ...], SaveResult]:
        """Set the daily losses to what the cellar's own readings show; every plan follows.

        Raises:
            CellarError: no wine has been read often enough, or what they show is in force already.
        """
        shown: list[Learned] = []

        def build(read: Names, base: CellarState) -> list[Entry]:
            shown[:] = learned(base.cellar)
            moved = [one for one in shown if one.moves]
            if not moved:
                why = "what the readings show is in force already" if shown else "no wine has shown its own loss yet"
                raise CellarError(f"{why}: test free SO2 twice or more in a wine, then learn again.")
            rules = [HouseRule(one.rule, str(one.after)) for one in moved]
            return build_entries.ruled(self._saving.stamp("", key, by), read.next_seq(), rules)

        answer = self._saving.save(None, build, Request("", "rule", {}, by=by, key=key), preview=preview)
        return tuple(shown), answer

    def set_material(
        self, name: str, fields: Mapping[str, str], *, by: str = "", key: bytes | None = None
    ) -> SaveResult:
        """Say what is on hand of a material: strength, opened, amount."""
        return self.govern(Request("", "material", {"name": name, **fields}, by=by, key=key))

    def govern(self, request: Request, *, preview: bool = False, seen: int | None = None) -> SaveResult:
        """Set a house rule or say what is on hand; `preview` does everything but keep it.

        `seen` is the last entry on it that a form saw: if another stands there now, nothing is kept.

        Raises:
            CellarError: what was typed cannot be right, or (code "moved") another entry was made meanwhile.
        """

        def build(read: Names, base: CellarState) -> list[Entry]:
            if seen is not None:
                build_entries.unmoved(base, request, seen)
            return self._governing(read, base, request)

        return self._saving.save(None, build, request, preview=preview)

    def _governing(self, read: Names, base: CellarState, request: Request) -> list[Entry]:
        bare = build_entries.bare_units(request, base.cellar)
        body = build_entries.read_body(request.kind, request.fields, self._records.typist(read, bare))
        build_entries.governs(body, base.cellar.house)
        typed = {name: text for name, text in request.fields.items() if name != "name"}
        return [self._saving.stamp("", request.key, request.by).entry(read.next_seq(), body, None, typed=typed)]

    def undo(self, seq: int, *, by: str = "", key: bytes | None = None) -> SaveResult:
        """Withdraw an entry and every correction of it; an undo of an undo brings it back."""

        def build(read: Names, base: CellarState) -> list[Entry]:
            stamp = self._saving.stamp("", key, by)
            pairs = build_entries.withdrawal(chains(base.entries), seq)
            first = read.next_seq()
            made = []
            for index, (chain, target) in enumerate(pairs):
                self._unused(chain.root, base)
                void = Entry(
                    first + index,
                    build_entries.numbered_key(stamp.key, index),
                    chain.root.on,
                    chain.root.minute,
                    stamp.recorded_at,
                    stamp.by,
                    Void(target),
                    chain.root.vessel,
                    chain.tip.seq,
                    first if len(pairs) > 1 else None,
                )
                made.append(void)
            return made

        return self._saving.save(self._records.reach(seq), build, Request("", "void", {}, by=by, key=key))

    def amend(  # noqa: PLR0913 (what may be corrected, by name)
        self,
        seq: int,
        fields: Mapping[str, str],
        *,
        at: str = "",
        vessel: str = "",
        by: str = "",
        waive: str | None = None,
        preview: bool = False,
        key: bytes | None = None,
        bare: Mapping[str, str | None] | None = None,
    ) -> SaveResult:
        """Correct an entry: what is not named stays, an empty text drops a field, the place in time is kept."""
        request = Request("", "amend", fields, at, by, waive, key, bare=bare or {})
        reach = self._records.reach(seq)
        moved = self._records.number(vessel) if vessel else None

        def build(read: Names, base: CellarState) -> list[Entry]:
            return [self._corrected(read, base, seq, request, moved)]

        targets = None if reach is None else [*reach, *([moved] if moved is not None else [])]
        return self._saving.save(targets, build, request, preview=preview)

    def _corrected(self, read: Names, base: CellarState, seq: int, request: Request, moved: int | None) -> Entry:
        """Return the entry that corrects another; `moved` is the vessel it is meant for, None where that stays."""
        stamp, fields = self._saving.stamp(request.at, request.key, request.by), request.fields
        chain = next((c for c in chains(base.entries).values() if any(link.seq == seq for link in c.links)), None)
        if chain is None or chain.standing is None:
            raise CellarError(f"entry {seq} is withdrawn or is not there: nothing to correct.", field="entry")
        old = chain.standing
        typist = self._records.typist(read, build_entries.bare_units(request, base.cellar))
        kept = build_entries.to_be_corrected(old, fields)
        body = build_entries.read_body(kept.kind, fields, typist, kept)
        if isinstance(body, Vessel) and isinstance(old.body, Vessel):
            self._vessel_change(read, old, old.body, body, base)
        on, minute = (stamp.on, stamp.minute) if request.at else (old.on, old.minute)
        entry = Entry(
            read.next_seq(),
            stamp.key,
            on,
            minute,
            stamp.recorded_at,
            stamp.by,
            body,
            old.vessel if moved is None else moved,
            chain.tip.seq,
            None,
            {**old.typed, **fields},
            (),
            build_entries.reason(request.waive),
            old.root,
        )
        fresh = getattr(body, "material", None) != getattr(old.body, "material", None)
        return replace(entry, body=build_entries.completed(body, entry, base, "dose" in fields, on_shelf=fresh))

    # -- small helps

    def _free_name(self, read: Names, name: str) -> None:
        if name and read.by_name(name.casefold()) is not None:
            raise CellarError(f"there is a vessel {name} already: choose another name.", field="name")

    def _vessel_change(self, read: Names, old: Entry, was: Vessel, now: Vessel, base: CellarState) -> None:
        if (now.name or "").casefold() != (was.name or "").casefold():
            self._free_name(read, now.name or "")
        if now.retired and was.retired:
            raise CellarError(f"{was.name} is retired already.", field="name")
        if now.retired and old.root in base.cellar.holds:
            raise CellarError(f"{was.name} still holds wine: empty it before it is retired.", field="name")

    def _unused(self, root: Entry, base: CellarState) -> None:
        if isinstance(root.body, Vessel) and any(
            entry.vessel == root.seq and not isinstance(entry.body, OUTSIDE_TIME) for entry in base.ordered
        ):
            raise CellarError(f"{root.body.name} has entries: retire it, or undo them first.", field="entry")
