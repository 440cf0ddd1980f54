"""What a person chose for a terminal, kept in the state folder: colours, and the marks of charts."""

from __future__ import annotations

import json
import os
from contextlib import suppress
from typing import Literal

from cellar_tui.service.state_folder import state_folder
from cellar_tui.tui import terminal

What = Literal["colours", "marks"]
NAME = "preferences.json"
LONGEST = 100_000
"""Bytes of a file that is read: a longer one was not written here."""


def _all() -> dict[str, str]:
    """Return everything that is kept; nothing where the file is missing or no such file."""
    path = state_folder() / NAME
    with suppress(OSError, ValueError):
        if path.stat().st_size <= LONGEST:
            found = json.loads(path.read_text(encoding="utf-8"))
            if isinstance(found, dict):
                return {str(key): value for key, value in found.items() if isinstance(value, str)}
    return {}


def _key(by: str, what: What) -> str:
    """Return the key of a choice: terminals differ in what they can draw, people in what they can read."""
    return f"{what} · {os.environ.get('TERM', '')} · {by}"


def kept(by: str, what: What) -> str:
    """Return what a person chose for this terminal, "" for nothing."""
    return _all().get(_key(by, what), "")


def keep(by: str, what: What, value: str) -> None:
    """Keep what a person chose for this terminal; where nothing can be kept it lasts as long as the program."""
    folder = state_folder()
    with suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        fresh = folder / f"{NAME}.{os.getpid()}"
        fresh.write_text(json.dumps({**_all(), _key(by, what): value}, ensure_ascii=False, indent=1), encoding="utf-8")
        fresh.replace(folder / NAME)


def marks(by: str) -> str:
    """Return the name of the marks that charts are drawn with: as chosen, else as the terminal allows."""
    return kept(by, "marks") or terminal.chart_marks()
