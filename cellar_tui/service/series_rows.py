"""The rows of a logger's series, kept beside the ledger under the hash that its entry holds."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from cellar_tui.ledger.kinds import Series
from storage.reads import Reads


def name(digest: str, part: int) -> str:
    """Return the name under which a part of the rows is kept."""
    return f"series:{digest}:{part}"


def digest_of(texts: Sequence[str]) -> str:
    """Return the hash of a series' rows."""
    digest = hashlib.blake2b(digest_size=16)
    for text in texts:
        digest.update(text.encode())
    return digest.hexdigest()


def kept(read: Reads, body: Series) -> list[str] | None:
    """Return the rows of a series as they were recorded; None where they are not what was."""
    texts = [read.meta(name(body.digest, part)) or "" for part in range(body.parts)]
    return texts if digest_of(texts) == body.digest else None
