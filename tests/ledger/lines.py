"""A ledger of a few vessels written line by line, for examples of what stands and what follows from it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Any

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar import Cellar
from cellar_tui.ledger.cellar_kinds import Vessel, Void, WineStart
from cellar_tui.ledger.contents import Contents
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fold import replay
from cellar_tui.ledger.materials import active
from cellar_tui.ledger.standing import standing_entries

WRITTEN = datetime(2027, 6, 1, tzinfo=UTC)


class Lines:
    """Entries as they are written; each method returns the number of its entry."""

    def __init__(self, *capacities: float) -> None:
        self.entries: list[Entry] = []
        self.vessels = [
            self.write("2026-09-01", Vessel(name=f"V{number}", capacity=size, material="glass"), None)
            for number, size in enumerate(capacities, 1)
        ]

    def write(self, at: str, body: k.Body, vessel: int | None, supersedes: int | None = None) -> int:
        """Write an entry; `at` is a day, with an hour where there is one."""
        day, _, hour = at.partition(" ")
        minute = int(hour[:2]) * 60 + int(hour[3:]) if hour else None
        seq = len(self.entries) + 1
        on = date.fromisoformat(day)
        made = Entry(seq, seq.to_bytes(16, "big"), on, minute, WRITTEN, "Ada", body, vessel, supersedes)
        self.entries.append(made)
        return seq

    def wine(self, vessel: int = 1, volume: float = 20.0, at: str = "2026-09-20", **told: Any) -> int:
        """Start a wine."""
        known: dict[str, Any] = {"name": "Hill", "style": "dry_white", "volume": volume}
        return self.write(at, WineStart(**(known | told)), vessel)

    def finished(self, vessel: int = 1, volume: float = 20.0, **told: Any) -> int:
        """Start a wine that came finished, of 12 % vol and 60 mg/L total SO2."""
        return self.wine(vessel, volume, **({"finished": True, "alcohol": 12.0, "total_so2": 60.0} | told))

    def add(self, at: str, material: str, amount: float, vessel: int = 1, strength: float | None = None) -> int:
        """Add a material."""
        brought = active(material, amount, strength)
        body = k.Addition(
            material=material,
            amount=amount,
            strength=strength,
            so2_mg=brought.so2_mg,
            sorbate_g=brought.sorbate_g,
            sugar_g=brought.sugar_g,
            litres=brought.litres,
        )
        return self.write(at, body, vessel)

    def read(self, at: str, vessel: int = 1, **values: Any) -> int:
        """Read values."""
        return self.write(at, k.Reading(**values), vessel)

    def void(self, of: int, supersedes: int | None = None) -> int:
        """Withdraw a link; `supersedes` is the newest link of its chain, where that is another."""
        first = self.entries[of - 1]
        return self.write(first.on.isoformat(), Void(of), first.vessel, of if supersedes is None else supersedes)

    def cellar(self) -> Cellar:
        """Fold the ledger."""
        return replay(standing_entries(self.entries))

    def held(self, vessel: int = 1) -> Contents:
        """Return what a vessel holds."""
        return self.cellar().holds[vessel]

    def problems(self) -> list[tuple[str, int | None]]:
        """Return code and entry of what cannot have been."""
        return [(one.code, one.entry) for one in self.cellar().problems]
