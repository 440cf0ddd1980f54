"""An entry: one line of the ledger."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime

from cellar_tui.ledger.kinds import Body

NOON = 720
"""Minute of the day at which an entry without an hour is taken to have happened."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the ledger.

    Attributes:
        seq: its place in the file, gapless, the number people see and type.
        key: 16 bytes made when the form opened; the same key is never kept twice.
        on: the cellar's civil date, as written on the barrel tag.
        minute: minute of that day, or None where no hour was given.
        recorded_at: when it was written down, UTC; used only for "as known then".
        by: whose entry it is.
        body: what it says.
        vessel: number of the vessel it is about, None for the whole cellar.
        supersedes: the entry it corrects or withdraws.
        batch: first entry of the batch it was made in.
        typed: field -> the text as it was typed.
        cautions: what was said before it was accepted; never read by the fold.
        waived: the reason written to pass a waivable guard.
        root: first entry of its chain of corrections, which is its place among those of one moment.
    """

    seq: int
    key: bytes
    on: date
    minute: int | None
    recorded_at: datetime
    by: str
    body: Body
    vessel: int | None = None
    supersedes: int | None = None
    batch: int | None = None
    typed: Mapping[str, str] = field(default_factory=dict)
    cautions: tuple[str, ...] = ()
    waived: str | None = None
    root: int = 0

    @property
    def position(self) -> tuple[date, int, int]:
        """Order in which entries happened: day, hour (noon where none was given), place in the ledger."""
        return self.on, NOON if self.minute is None else self.minute, self.root or self.seq
