"""What tests look up behind the one door: the store of an open cellar, the number of a vessel, its clock."""

from __future__ import annotations

from collections.abc import Sequence

from cellar_tui.service.clock import Clock
from cellar_tui.service.open import OpenCellar
from storage.store import Store


def store_of(cellar: OpenCellar) -> Store:
    """Return the file that an open cellar reads and writes."""
    return cellar._records.store


def clock_of(cellar: OpenCellar) -> Clock:
    """Return the clock by which a cellar is opened."""
    return cellar._records.clock


def set_clock(cellar: OpenCellar, clock: Clock) -> None:
    """Let a later day come while a cellar is open."""
    cellar._records.clock = clock


def number_of(cellar: OpenCellar, vessel: str) -> int:
    """Return the number of a vessel."""
    return cellar._records.number(vessel)


def heads_of(cellar: OpenCellar, vessels: Sequence[int]) -> dict[int, int]:
    """Return the last entry of each vessel."""
    return cellar._records.heads(vessels)


def rebuild_quietly(cellar: OpenCellar) -> None:
    """Work out the whole board again without an entry that says so."""
    cellar._saving.rebuild()
