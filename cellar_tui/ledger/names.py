"""The names of fields, materials and house rules as people write them."""

from __future__ import annotations

import re

_PH = re.compile(r"\bph\b")


def as_words(name: str) -> str:
    """Return a name of the ledger as words.

    >>> as_words("free_so2"), as_words("ph_meter"), as_words("alpha")
    ('free SO2', 'pH meter', 'alpha')
    """
    return _PH.sub("pH", name.replace("_", " ").replace("so2", "SO2"))
