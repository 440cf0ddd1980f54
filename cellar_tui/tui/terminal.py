"""The terminal underneath: settings made before the interface is loaded, and what guards against its oddities."""

from __future__ import annotations

import os
import sys
import termios
import traceback
from pathlib import Path

from cellar_tui.service.state_folder import state_folder

SLOW_ESCAPE = "300"
"""Milliseconds that the bytes of one key may lie apart on a slow line."""

FEW_COLOURS = ("linux", "vt100", "ansi", "xterm", "screen")
"""Terminals of 16 colours: the program takes their own."""


def prepare() -> None:
    """Set what the interface reads when it is loaded: nothing animates, keys may come slowly over a line."""
    os.environ.setdefault("TEXTUAL_ANIMATIONS", "none")
    os.environ.setdefault("TEXTUAL_SMOOTH_SCROLL", "0")
    # Another program's wish for a theme of its own would end this one where it does not know the name.
    os.environ.pop("TEXTUAL_THEME", None)
    if "SSH_CONNECTION" in os.environ:
        os.environ.setdefault("ESCDELAY", SLOW_ESCAPE)


def plain_colours() -> bool:
    """Return whether the terminal's own 16 colours are to be used: few are there, or none are wanted."""
    if "NO_COLOR" in os.environ:
        return True
    return os.environ.get("TERM", "") in FEW_COLOURS and "COLORTERM" not in os.environ


def ground() -> str:
    """Return whether the terminal says that its ground is light or dark; most say nothing and are dark."""
    return "light" if os.environ.get("COLORFGBG", "").rpartition(";")[2] in ("7", "15") else "dark"


def gone() -> bool:
    """Return whether the terminal has been taken away."""
    try:
        termios.tcgetattr(sys.__stdin__.fileno() if sys.__stdin__ else 0)
    except (termios.error, ValueError, OSError):
        return True
    return False


def log_crash(error: BaseException) -> Path | None:
    """Write a crash to a file that only its owner reads; return where, None where it cannot be written."""
    path = state_folder() / "crash.log"
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        with os.fdopen(handle, "a") as log:
            log.write("".join(traceback.format_exception(error)))
    except OSError:
        return None
    return path
