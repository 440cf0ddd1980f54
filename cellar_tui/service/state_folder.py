"""Where what outlives a run is kept: drafts and the log of a crash."""

from __future__ import annotations

import os
from pathlib import Path


def state_folder() -> Path:
    """Return the folder for what outlives a run: drafts and the log of a crash."""
    base = os.environ.get("XDG_STATE_HOME") or "~/.local/state"
    return Path(base).expanduser() / "cellar-tui"
