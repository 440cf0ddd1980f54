"""The terminal underneath: settings made before the interface is loaded, and what guards against its oddities."""

from __future__ import annotations

import os
import platform
import sys
import termios
import traceback
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from cellar_tui.language.clean_text import safe
from cellar_tui.service.state_folder import state_folder

SLOW_ESCAPE = "300"
"""Milliseconds that the bytes of one key may lie apart on a slow line."""

LONGEST_LOG = 100_000
"""Bytes of a log of crashes, after which a second one is begun in the place of the last."""

GIVEN_BACK = b"\x1b[<u\x1b[?2004l\x1b[?1004l\x1b[?1049l\x1b[?25h\x1b[0m"
"""What puts a terminal back: keys as usual, no paste marks, the usual screen, a cursor (xterm's control sequences)."""

TITLED = ("xterm", "screen", "tmux", "rxvt", "alacritty", "foot", "kitty")
"""Beginnings of the names of terminals whose window takes a title (xterm's control sequences, OSC 2)."""

FEW_COLOURS = ("linux", "vt100", "ansi", "xterm", "screen")
"""Terminals of 16 colours: the program takes their own."""

FEW_CHARACTERS = ("linux", "vt100", "vt220", "ansi")
"""Terminals whose fonts lack much of Unicode."""

WIDE_CHARACTERS = ("ja", "ko", "zh")
"""Beginnings of the locales in which blocks and shades may be two columns wide."""


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


def chart_marks() -> str:
    """Return how charts are drawn here: in blocks, or plain where the terminal or its locale is poor in characters.

    An East Asian locale counts blocks as two columns wide (Unicode, annex 11, "ambiguous"), which would tear a chart.
    """
    named = (os.environ.get(name, "") for name in ("LC_ALL", "LC_CTYPE", "LANG"))
    locale = next((one.casefold() for one in named if one), "")
    poor = locale != "" and "utf-8" not in locale and "utf8" not in locale
    few = os.environ.get("TERM", "") in FEW_CHARACTERS
    return "plain" if poor or few or locale.startswith(WIDE_CHARACTERS) else "blocks"


def ground() -> str:
    """Return whether the terminal says that its ground is light or dark; most say nothing and are dark."""
    return "light" if os.environ.get("COLORFGBG", "").rpartition(";")[2] in ("7", "15") else "dark"


def served() -> bool:
    """Return whether there is no terminal: a server of such programs draws the screen, in a browser for one."""
    return "TEXTUAL_DRIVER" in os.environ


def gone() -> bool:
    """Return whether the terminal has been taken away."""
    if served():
        return False
    try:
        termios.tcgetattr(sys.__stdin__.fileno() if sys.__stdin__ else 0)
    except (termios.error, ValueError, OSError):
        return True
    return False


def modes() -> list[Any] | None:
    """Return the modes of the terminal as they are now, None where there is none."""
    try:
        return termios.tcgetattr(sys.__stdin__.fileno() if sys.__stdin__ else 0)
    except (termios.error, ValueError, OSError):
        return None


def give_back(before: list[Any] | None) -> None:
    """Put the terminal back as it was, as far as that goes without waiting for anybody who reads it."""
    with suppress(OSError, termios.error):
        handle = os.open("/dev/tty", os.O_WRONLY | os.O_NONBLOCK | os.O_NOCTTY)
        if before is not None:
            termios.tcsetattr(handle, termios.TCSANOW, before)
        os.write(handle, GIVEN_BACK)


def at_the_foot(text: str, height: int) -> str:
    """Return what writes a text over the last of `height` lines and puts the cursor back."""
    return f"\x1b7\x1b[{height};1H\x1b[1m{safe(text)}\x1b[0m\x1b8"


def titled(name: str) -> str:
    """Return what names the terminal's window, "" where the terminal has none."""
    return f"\x1b]2;{safe(name)}\x07" if _has_title() else ""


@contextmanager
def title_kept() -> Iterator[None]:
    """Give the window its own title back in the end."""
    if not _has_title():
        yield
        return
    with suppress(OSError):
        sys.stdout.write("\x1b[22;2t")
        sys.stdout.flush()
    try:
        yield
    finally:
        with suppress(OSError):
            sys.stdout.write("\x1b[23;2t")
            sys.stdout.flush()


def _has_title() -> bool:
    return os.environ.get("TERM", "").startswith(TITLED) and not served()


def log_crash(error: BaseException) -> Path | None:
    """Write where the program broke to a file that only its owner reads.

    What an error says may name a wine and is left out.

    Returns:
        The file, None where it cannot be written.
    """
    path = state_folder() / "crash.log"
    said = [f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ} {platform.python_version()} {type(error).__name__}\n"]
    try:
        path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        if path.exists() and path.stat().st_size > LONGEST_LOG:
            path.replace(path.with_suffix(".log.1"))
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
        with os.fdopen(handle, "a") as log:
            log.write("".join([*said, *traceback.format_tb(error.__traceback__)]))
    except OSError:
        return None
    return path
