"""The program in a real terminal: what it prints is read as a terminal would, keys are typed as bytes."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Self

import pyte

from cellar_tui.service import clock
from cellar_tui.service.open import OpenCellar, create_cellar
from cellar_tui.service.views import Request

ROOT = Path(__file__).parents[2]
WIDTH, HEIGHT = 80, 24
PATIENCE = 12.0
"""Seconds to wait for what must appear; only a failing test waits that long."""


class Desk:
    """A terminal with the program in it.

    Attributes:
        raw: every byte that was printed.
        screen: what the terminal shows.
    """

    def __init__(self, *words: str, **env: str) -> None:
        self.screen = pyte.Screen(WIDTH, HEIGHT)
        self.stream = pyte.ByteStream(self.screen)
        self.raw = b""
        self._own, other = pty.openpty()
        fcntl.ioctl(other, termios.TIOCSWINSZ, struct.pack("HHHH", HEIGHT, WIDTH, 0, 0))
        self.began = termios.tcgetattr(other)
        self._other = other
        known = {
            "PYTHONPATH": str(ROOT),
            "TERM": "xterm-256color",
            "LANG": "C.UTF-8",
            "PATH": os.environ["PATH"],
            "HOME": env.get("XDG_STATE_HOME", "/nonexistent"),
            **env,
        }
        self.process = subprocess.Popen(
            [sys.executable, *words],
            stdin=other,
            stdout=other,
            stderr=other,
            env=known,
            start_new_session=True,
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
        )

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        for handle in (self._own, self._other):
            if handle >= 0:
                os.close(handle)

    @property
    def text(self) -> str:
        """What the terminal shows, as one line, so that a sentence is found however it is broken."""
        return " ".join(" ".join(self.screen.display).split())

    def read(self, seconds: float) -> None:
        """Take in what is printed within a time."""
        if self._own >= 0 and select.select([self._own], [], [], seconds)[0]:
            try:
                found = os.read(self._own, 65536)
            except OSError:
                return
            self.raw += found
            self.stream.feed(found)

    def until(self, pattern: str) -> str:
        """Wait for a text on the screen and return all of it."""
        end = time.monotonic() + PATIENCE
        while not re.search(pattern, self.text):
            if time.monotonic() > end:
                raise AssertionError(f"{pattern!r} never appeared on:\n" + "\n".join(self.screen.display))
            self.read(0.05)
        return self.text

    def settle(self, seconds: float = 0.4) -> None:
        """Take in what is printed until nothing has come for a while."""
        before = -1
        while before != len(self.raw):
            before = len(self.raw)
            self.read(seconds)

    def type(self, keys: str | bytes) -> None:
        """Type keys, all in one burst."""
        os.write(self._own, keys if isinstance(keys, bytes) else keys.encode())

    def resize(self, width: int, height: int) -> None:
        """Give the terminal another size, as dragging its window does."""
        fcntl.ioctl(self._own, termios.TIOCSWINSZ, struct.pack("HHHH", height, width, 0, 0))
        self.screen.resize(height, width)

    def hang_up(self) -> None:
        """Take the terminal away, as a dropped line does."""
        os.close(self._own)
        os.close(self._other)
        self._own = self._other = -1

    def ended(self, seconds: float = PATIENCE) -> int:
        """Wait for the end of the program and return its status."""
        end = time.monotonic() + seconds
        while self.process.poll() is None:
            if time.monotonic() > end:
                raise AssertionError("the program goes on")
            if self._own >= 0:
                self.read(0.05)
            else:
                time.sleep(0.05)
        return self.process.returncode

    @property
    def is_sane(self) -> bool:
        """Whether the terminal is as it was before: its modes, the usual screen, a cursor, no key reports."""
        for _ in range(5):
            self.read(0.05)
        on, off = self.raw.rfind(b"\x1b[?1049h"), self.raw.rfind(b"\x1b[?1049l")
        cursor = self.raw.rfind(b"\x1b[?25h") > self.raw.rfind(b"\x1b[?25l")
        return termios.tcgetattr(self._other) == self.began and off > on and cursor


def in_cellar(folder: Path) -> OpenCellar:
    """Make a cellar of one finished white in a demijohn, read two days ago."""
    found = create_cellar(folder / "cellar.db", clock.system, by="ida", zone="UTC")
    found.recorder.add_vessel({"name": "Demijohn 1", "capacity": "23L", "material": "glass", "place": "back wall"})
    wine = {"name": "Terrace", "style": "dry_white", "volume": "22.7", "finished": "yes", "alcohol": "12"}
    found.recorder.start_wine(Request("Demijohn 1", "wine", wine, "-20d"))
    found.recorder.record(
        Request("Demijohn 1", "reading", {"ph": "3.5", "free_so2": "8", "method": "aspiration"}, "-2d")
    )
    return found


@contextmanager
def dashboard(path: Path, state: Path, typed: str = "", **env: str) -> Iterator[Desk]:
    """Open the dashboard on a cellar and wait for its list; `typed` is typed while it starts."""
    words = ("-m", "cellar_tui", "--db", str(path), "--by", "ida")
    with Desk(*words, XDG_STATE_HOME=str(state), **env) as desk:
        desk.type(typed)
        desk.until("Vessel")
        desk.settle()
        yield desk


TERM, HANG_UP = signal.SIGTERM, signal.SIGHUP
