"""The end of each cellar's ledger as this user last saw it, kept apart from the cellar.

The chain shows that no entry was changed after another followed it; only a tip that lies elsewhere shows that the
ledger's end is missing, or that all of it was written again.
"""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from cellar_tui.service.soundness import Tip, read_tip, tip_text
from cellar_tui.service.state_folder import state_folder


def _place(cellar: Path) -> Path:
    name = hashlib.blake2b(os.fsencode(cellar.absolute()), digest_size=12).hexdigest()
    return state_folder() / "tips" / name


def known(cellar: Path) -> Tip | None:
    """Return the tip that was last seen of a cellar, None where there is none that can be read."""
    try:
        return read_tip(_place(cellar).read_text(encoding="ascii"))
    except (OSError, ValueError):
        return None


def remember(cellar: Path, tip: Tip) -> None:
    """Keep the tip of a cellar; where that cannot be done nothing else suffers."""
    place = _place(cellar)
    scratch = place.with_suffix(f".{os.getpid()}")
    try:
        place.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        scratch.write_text(tip_text(tip), encoding="ascii")
        scratch.replace(place)
    except OSError:
        return
