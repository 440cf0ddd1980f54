"""The cellar as it was known at the end of a past day: what was recorded later is left out, house rules included."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from cellar_tui.ledger.entry import Entry
from cellar_tui.planning.consider import CellarState


def known_by(entries: Iterable[Entry], instant: datetime) -> CellarState:
    """Return what had been recorded by a moment; a correction whose entry came later is left out with it."""
    kept: dict[int, Entry] = {}
    for entry in entries:
        known = entry.supersedes is None or entry.supersedes in kept
        if entry.recorded_at <= instant and known:
            kept[entry.seq] = entry
    return CellarState(list(kept.values()))
