"""What crosses the border of the store: tuples of str, int, float, bytes and None.

Dates are civil days 'YYYY-MM-DD'; volumes and capacities are in litres [L], concentrations in mg/L
(malic acid g/L), temperatures in degrees Celsius, SG is 20/20.
"""

from __future__ import annotations

from typing import NamedTuple

OWN = -1
"""Stands for the seq an entry is about to get: a vessel's id is the seq of the entry that made it."""

CELLAR = 0
"""The vessel id of entries that concern the whole cellar: house rules, materials, rebuilds."""


class EntryRow(NamedTuple):
    """One line of the ledger as it is stored. The hash covers the line before, every column and the vessels."""

    seq: int
    key: bytes
    on_day: str
    minute: int | None
    recorded_at: str
    by: str
    kind: str
    vessel: int | None
    supersedes: int | None
    batch: int | None
    material: str | None
    amount: float | None
    volume: float | None
    so2_mg: float | None
    sorbate_g: float | None
    sugar_g: float | None
    sg: float | None
    temperature: float | None
    ph: float | None
    free_so2: float | None
    total_so2: float | None
    malic: float | None
    body: str
    hash: bytes


class NewEntry(NamedTuple):
    """An entry about to be appended.

    `minute` is the minute of the day 0..1439, None when no hour was given. `recorded_at` is UTC,
    'YYYY-MM-DDTHH:MM:SSZ'. `body` is a JSON text. `vessels` are all vessel ids that it touches
    (CELLAR for the whole cellar); `joins` are those whose components it merges. OWN may stand in
    `vessel`, `vessels` and `joins`.
    """

    key: bytes
    on_day: str
    minute: int | None
    recorded_at: str
    by: str
    kind: str
    vessel: int | None
    supersedes: int | None
    batch: int | None
    material: str | None
    amount: float | None
    volume: float | None
    so2_mg: float | None
    sorbate_g: float | None
    sugar_g: float | None
    sg: float | None
    temperature: float | None
    ph: float | None
    free_so2: float | None
    total_so2: float | None
    malic: float | None
    body: str
    vessels: tuple[int, ...]
    joins: tuple[int, ...] = ()


class FillingRow(NamedTuple):
    """One line of the board: a vessel or bottle store with what lies in it, an empty one too.

    `name_key` and `wine_key` are casefolded. `letters` are the five verdicts, one character each.
    `free_so2` is of the day `free_since`, `free_loss` its loss in a day, `read_on` the day it was last read,
    `free_read` that reading where nothing was done to the wine after it.
    `head` is the seq of the last entry that touches the vessel.
    """

    vessel: int
    name: str
    name_key: str
    place: str
    capacity: float | None
    material: str
    retired: int
    filling: int | None
    wine: str | None
    wine_key: str | None
    style: str | None
    colour: str | None
    stage: str | None
    volume: float | None
    ph: float | None
    free_so2: float | None
    free_loss: float | None
    free_since: str | None
    read_on: str | None
    free_read: float | None
    letters: str | None
    air_until: str | None
    next_show: str | None
    next_action: str | None
    summary: str
    head: int


class ActionRow(NamedTuple):
    """A due action of one filling. `because` and `entries` are JSON texts; `hard` and `postponed` are 0 or 1."""

    key: str
    vessel: int
    filling: int
    rule: str
    due: str
    window_from: str
    window_to: str
    show: str
    expires: str | None
    hard: int
    postponed: int
    dose_material: str | None
    dose_amount: float | None
    dose_unit: str | None
    dose_note: str | None
    kit: str
    because: str
    entries: str


class ProblemRow(NamedTuple):
    """Something that cannot be right, beside the entry concerned; without a vessel it concerns the cellar."""

    vessel: int | None
    entry: int | None
    problem: str
