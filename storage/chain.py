"""The hash chain over the ledger: a changed, lost or foreign entry breaks it.

Each entry's hash is blake2b (16 bytes) over the hash before, the stored value of every column and the
vessels it is linked to. A value goes in as one letter for its type, its length and its bytes; nothing is
written again as JSON, so the same row always gives the same hash.
"""

from __future__ import annotations

import hashlib
import json
import math
import struct
from collections.abc import Iterable
from typing import Any

from storage.errors import Rejected
from storage.rows import EntryRow

GENESIS = bytes(16)
"""Stands for the hash before the first entry."""

COLUMNS = EntryRow._fields
"""The columns of the ledger in the order in which they are hashed; `hash` itself is the last."""

REAL = frozenset(
    ("amount", "volume", "so2_mg", "sorbate_g", "sugar_g", "sg", "temperature", "ph", "free_so2", "total_so2", "malic")
)
INTEGER = frozenset(("seq", "minute", "vessel", "supersedes", "batch"))
BLOB = frozenset(("key",))


def stored(column: str, value: object) -> object:
    """The value as SQLite will keep it in that column, so that the hash can be taken before the insert.

    Raises:
        Rejected: the type is another one, or the number is not finite (SQLite would keep nan as NULL).
    """
    if value is None:
        return None
    if column in REAL:
        if isinstance(value, (int, float)) and not isinstance(value, bool) and math.isfinite(value):
            return float(value) + 0.0  # SQLite keeps -0.0 as 0
    else:
        wanted = int if column in INTEGER else bytes if column in BLOB else str
        if type(value) is wanted:
            return value
    raise Rejected(f"Not recorded: {value!r} is not a value for {column}.")


def is_json(text: object) -> bool:
    """Whether a body is a JSON text that every program can read: Python alone would also take NaN."""
    try:
        json.loads(str(text), parse_constant=_refuse)
    except (ValueError, RecursionError):
        return False
    return isinstance(text, str)


def _refuse(word: str) -> None:
    raise ValueError(word)


def next_hash(before: bytes, values: Iterable[object], vessels: Iterable[int]) -> bytes:
    """The hash of an entry: of the one before it, its columns but `hash`, and its vessels in rising order."""
    digest = hashlib.blake2b(before, digest_size=16)
    for value in values:
        digest.update(_encoded(value))
    for vessel in sorted(vessels):
        digest.update(b"v" + _encoded(vessel))
    return digest.digest()


def _encoded(value: Any) -> bytes:
    if value is None:
        return b"n"
    if isinstance(value, float):
        return b"r" + struct.pack(">d", value)
    if isinstance(value, int):
        tag, content = b"i", b"%d" % value
    elif isinstance(value, bytes):
        tag, content = b"b", value
    else:
        tag, content = b"t", value.encode()
    return tag + len(content).to_bytes(4, "big") + content
