"""The end of the program when it is told to go: what is typed is kept, and nothing keeps it from ending.

A terminal that nobody reads any more stops the thread that writes to it, and with it the event loop, so that a signal
which waits for the loop waits for ever. The signal is heard beside the loop, and a second thread ends the process
where the loop does not.
"""

from __future__ import annotations

import asyncio
import os
import signal
import threading
from collections.abc import Callable
from contextlib import suppress

from cellar_tui.tui import terminal

SIGNALS = (signal.SIGHUP, signal.SIGTERM, signal.SIGINT)
"""A closed line, a request to end, and an interrupt from another terminal: Ctrl+C is a key here."""

PATIENCE = 1.2
"""Seconds within which the program ends by itself."""


class Leaving:
    """Ends the program with what is typed kept, politely first.

    Attributes:
        told: exit status of the signal that came before the loop was there to be told, None where none did.
    """

    def __init__(self, leave: Callable[[int], None], keep: Callable[[], None]) -> None:
        self.told: int | None = None
        self._leave = leave
        self._keep = keep
        self._loop: asyncio.AbstractEventLoop | None = None
        self._watch: threading.Timer | None = None
        self._modes = terminal.modes()

    def listen(self) -> None:
        """Hear signals from now on."""
        for number in SIGNALS:
            signal.signal(number, self._heard)

    def attach(self, loop: asyncio.AbstractEventLoop) -> None:
        """Tell the loop from now on; what was heard before is told at once."""
        self._loop = loop
        if self.told is not None:
            self._leave(self.told)

    def watch(self, status: int) -> None:
        """End the process with a status where it has not ended by itself in time."""
        if self._watch is None:
            self._watch = threading.Timer(PATIENCE, self._end, (status,))
            self._watch.daemon = True
            self._watch.start()

    def ended(self) -> None:
        """The program has ended by itself."""
        if self._watch is not None:
            self._watch.cancel()

    def _heard(self, number: int, frame: object) -> None:
        status = 128 + number
        self.told = status
        self.watch(status)
        if self._loop is not None:
            with suppress(RuntimeError):  # the loop has just ended
                self._loop.call_soon_threadsafe(self._leave, status)

    def _end(self, status: int) -> None:
        with suppress(Exception):
            self._keep()
        terminal.give_back(self._modes)
        os._exit(status)
