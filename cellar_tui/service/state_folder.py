"""Where what outlives a run is kept: drafts and the log of a crash."""

from __future__ import annotations

import os
from pathlib import Path


def state_folder() -> Path:
    """Return the folder for what outlives a run: drafts and the log of a crash."""
    base = os.environ.get("XDG_STATE_HOME") or "~/.local/state"
    try:
        return Path(base).expanduser() / "cellar-tui"
    except RuntimeError:  # an account without a home
        return Path(os.devnull) / "cellar-tui"


def usable() -> bool:
    """Return whether anything can be kept there; the folder is made where it is missing."""
    folder = state_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    except OSError:
        return False
    return os.access(folder, os.W_OK | os.X_OK)
