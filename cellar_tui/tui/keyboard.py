"""What comes from the keyboard as bytes: nothing in it may end the program, and Escape is never lost."""

from __future__ import annotations

import codecs
import os
import re
import time
from collections.abc import Callable

from textual import constants
from textual.drivers import linux_driver

ESCAPE = "\x1b"
SLOWEST = 0.25
"""Longest wait between two bytes of one key [s]; an Escape pressed alone is taken for one after it."""
PLAIN_ESCAPE = "[27u"
"""What follows the escape character when the key itself is meant (the terminals' extended keyboard protocol)."""

_FOLLOWED = re.compile(r"\x1b(?=[^\[O])", re.DOTALL)
"""Escape and a key in one piece: on a slow line both arrive together. Left out are the two characters with which a
terminal begins the bytes of its keys; no key of this program is pressed with Alt."""


class Parted:
    """Parts Escape from the key that came with it; without that the pair would be read as Alt, and Escape be lost."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self.clock = clock
        self.waiting = -1.0
        """When an escape character came last in its piece; it waits for more for a moment."""

    def __call__(self, text: str) -> str:
        """Return a piece of input with each Escape that a key follows told as the key it is."""
        if not text:
            return text
        waits = self.waiting >= 0 and self.clock() - self.waiting < constants.ESCAPE_DELAY
        if waits and _FOLLOWED.match(ESCAPE + text):
            text = PLAIN_ESCAPE + text
        self.waiting = self.clock() if text.endswith(ESCAPE) else -1.0
        return _FOLLOWED.sub(ESCAPE + PLAIN_ESCAPE, text)


def forgiving(encoding: str) -> type[codecs.IncrementalDecoder]:
    """Return a decoder for which a byte that is no text is a mark, where the library's would end the program."""
    kind = codecs.getincrementaldecoder(encoding)

    class Forgiving(kind):  # type: ignore[misc, valid-type]
        def __init__(self, errors: str = "replace") -> None:
            super().__init__("replace")
            self.parted = Parted()

        def decode(self, data: bytes, final: bool = False) -> str:
            # An Enter typed before the program had the terminal comes as a line feed.
            return self.parted(super().decode(data, final).replace("\n", "\r"))

    return Forgiving


def take_over() -> None:
    """Let the library read the keyboard through this decoder, and wait for the rest of a key over a slow line."""
    vars(linux_driver)["getincrementaldecoder"] = forgiving
    if "ESCDELAY" not in os.environ:
        vars(constants)["ESCAPE_DELAY"] = SLOWEST
