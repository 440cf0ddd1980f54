"""Whether a cellar can be believed: its ledger, its board, its place on the disk and the clock it is kept by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from cellar_tui.language import days
from cellar_tui.ledger.cellar import Problem
from cellar_tui.ledger.cellar_kinds import OUTSIDE_TIME
from cellar_tui.ledger.standing import standing_entries
from cellar_tui.planning.plan import PLAN_VERSION
from cellar_tui.service import rows
from cellar_tui.service.clock import day_in
from storage import check
from storage.chain import GENESIS
from storage.errors import RESTORE, Corrupt
from storage.reads import Reads
from storage.store import Store
from storage.tx import Tx

if TYPE_CHECKING:
    from cellar_tui.planning.consider import CellarState
    from cellar_tui.planning.guards.base import Finding

Tip = check.Tip
"""How many entries a ledger has, and the hash of the last."""

BEHIND = timedelta(minutes=10)
"""How far a clock may be behind the newest entry without being doubted: two machines are never quite together."""

CLOCK = "clock"
"""Name of what stops an entry under a clock that is behind the ledger."""

REBUILD = "run `cellar-tui rebuild`, which works it out again from the ledger"


@dataclass(frozen=True, slots=True)
class Checked:
    """What a check of a cellar comes to.

    Attributes:
        damaged: what is not as it was recorded or worked out, a sentence each.
        problems: what cannot be right in the ledger, beside the entries concerned.
        tip: how many entries there are, and the hash of the last; None where that cannot be read.
    """

    damaged: tuple[str, ...]
    problems: tuple[Problem, ...]
    tip: Tip | None

    @property
    def well(self) -> bool:
        """Nothing is wrong."""
        return not (self.damaged or self.problems)


def tip_text(tip: Tip | None) -> str:
    """Return a tip as it is written down: SEQ:HASH."""
    if tip is None:
        return "cannot be read"
    return f"{tip[0]}:{tip[1].hex()}"


def read_tip(text: str) -> Tip:
    """Read SEQ:HASH.

    Raises:
        ValueError: it is none.
    """
    number, mark, digest = text.strip().partition(":")
    if not (mark and number.isascii() and number.isdigit() and len(number) <= 12):
        raise ValueError(text)
    found = bytes.fromhex(digest)
    if len(found) != len(GENESIS):
        raise ValueError(text)
    return int(number), found


def faults(store: Store, known: Sequence[Tip] = ()) -> tuple[list[str], list[Problem]]:
    """Return what is damaged, and what cannot be right in the ledger: everything is read and worked out again.

    Args:
        known: tips that the ledger was seen to have; it must still go on from each.
    """
    found = check.verify(store, "full")
    for tip in known:
        found += check.rewritten(store, tip)
    if found:
        return list(dict.fromkeys(found)), []
    try:
        return _derived_faults(store)
    except Corrupt:  # the entries are proven by now
        return [f"the board cannot be read: {REBUILD}."], []


def _derived_faults(store: Store) -> tuple[list[str], list[Problem]]:
    from cellar_tui.ledger.kinds import Series
    from cellar_tui.planning.consider import CellarState
    from cellar_tui.service import series_rows
    from cellar_tui.service.components import components

    found = []
    with store.snapshot():
        base = CellarState([rows.entry_of(row) for row in store.entries(None)])
        fresh = _board(store, base)
        kept = (store.vessels(), store.actions(), store.problems())
        changed, groups = store.sealed_otherwise(), store.components()
    pairs: list[tuple[Sequence[object], Sequence[object]]] = list(zip(fresh, kept, strict=True))
    for name, (new, old) in zip(("vessels", "actions", "problems"), pairs, strict=True):
        if sorted(map(repr, new)) != sorted(map(repr, old)):
            found.append(f"the board's {name} are not what the ledger gives: {REBUILD}.")
    if changed and not found:
        found.append(f"the board is not as it was written: {REBUILD}.")
    for entry in base.entries:
        if isinstance(entry.body, Series) and series_rows.kept(store, entry.body) is None:
            found.append(f"the rows of the series of entry {entry.seq} are not what was recorded: {RESTORE}.")
    lowest = components(base.entries)
    if any(number > 0 and groups.get(number) != lowest.get(number, number) for number in base.cellar.vessels):
        found.append(f"which vessels were joined is not what the ledger gives: {REBUILD}.")
    return found, base.cellar.problems


def rebuild(tx: Tx) -> None:
    """Work out everything that follows from the ledger, and write it.

    Raises:
        Corrupt: an entry is not what was recorded.
    """
    from cellar_tui.planning.consider import CellarState
    from cellar_tui.service.components import components

    base = CellarState([rows.entry_of(row) for row in tx.entries(None)])
    tx.replace_all(*_board(tx, base), components=components(base.entries))
    tx.set_meta("plan_version", str(PLAN_VERSION))


def _board(read: Reads, base: CellarState) -> rows.Lines:
    # The last entry of each vessel is asked from the links: what the file keeps of it may be what is damaged.
    heads = read.last_entries()
    # Bottles whose filling was withdrawn have no store any more, and yet entries that cannot be right.
    blamed = {problem.vessel for problem in base.cellar.problems if problem.vessel is not None}
    return rows.board(base.cellar, base.plans, heads, set(base.cellar.vessels) | blamed)


def behind(latest: tuple[str, str] | None, now: datetime, zone: str) -> str | None:
    """Return a sentence where the clock is behind the newest entry (when it was recorded, and by whom)."""
    if latest is None:
        return None
    recorded, by = datetime.fromisoformat(latest[0]), latest[1]
    if now >= recorded - BEHIND:
        return None
    moments = [days.echo(days.When(day_in(one, zone), None)) for one in (now, recorded)]
    if moments[0] == moments[1]:
        moments = [f"{one.astimezone(UTC):%H:%M} UTC" for one in (now, recorded)]
    return (
        f"The clock is wrong: it says {moments[0]}, but the newest entry was recorded {moments[1]} by {by}. "
        "Set the machine's clock; no date here can be relied on until then."
    )


def clock_stop(sentence: str) -> Finding:
    """Return the sentence as what stops an entry, until a reason is given."""
    from cellar_tui.planning.guards.base import Finding

    return Finding(CLOCK, sentence, waivable=True)


def ahead(base: CellarState, today: date) -> list[Problem]:
    """Return the entries that are dated after a day, each as a problem beside its wine."""
    return [
        Problem(entry.vessel, entry.seq, f"dated {days.echo(entry.on)}, after today: it counts from that day on.")
        for entry in standing_entries(base.entries)
        if entry.on > today and not isinstance(entry.body, OUTSIDE_TIME)
    ]
