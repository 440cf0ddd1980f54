"""What comes from the keyboard as bytes: nothing in it may end the program, and Escape is never lost."""

from __future__ import annotations

import codecs
import os
import re
from collections.abc import Iterator

from textual import constants
from textual._xterm_parser import XTermParser
from textual.drivers import linux_driver
from textual.message import Message

ESCAPE = "\x1b"
SLOWEST = 0.25
"""Longest wait between two bytes of one key [s]; an Escape pressed alone is taken for one after it."""
PLAIN_ESCAPE = "[27u"
"""What follows the escape character when the key itself is meant (the terminals' extended keyboard protocol)."""

_FOLLOWED = re.compile(r"\x1b(?=[^\[O])", re.DOTALL)
"""Escape and a key in one piece: on a slow line both arrive together. Left out are the two characters with which a
terminal begins the bytes of its keys; no key of this program is pressed with Alt."""


class PartingParser(XTermParser):
    """Parts Escape from the key that came with it; without that the pair would be read as Alt, and Escape be lost.

    Whether an Escape still waits for its end is asked of the parser itself and of no clock: however late a busy
    machine looks at the next bytes, an Escape is told once.
    """

    def __init__(self, debug: bool = False) -> None:
        super().__init__(debug)
        self._ended_with_escape = False

    def feed(self, data: str) -> Iterator[Message]:
        """Yield the keys of a piece of input, each Escape that a key follows told as the key it is."""
        waits = self._ended_with_escape and self._timeout_time is not None
        if waits and _FOLLOWED.match(ESCAPE + data):
            data = PLAIN_ESCAPE + data
        if data:
            self._ended_with_escape = data.endswith(ESCAPE)
        yield from super().feed(_FOLLOWED.sub(ESCAPE + PLAIN_ESCAPE, data))


def forgiving(encoding: str) -> type[codecs.IncrementalDecoder]:
    """Return a decoder for which a byte that is no text is a mark, where the library's would end the program."""
    kind = codecs.getincrementaldecoder(encoding)

    class Forgiving(kind):  # type: ignore[misc, valid-type]
        def __init__(self, errors: str = "replace") -> None:
            super().__init__("replace")

        def decode(self, data: bytes, final: bool = False) -> str:
            # An Enter typed before the program had the terminal comes as a line feed.
            text: str = super().decode(data, final)
            return text.replace("\n", "\r")

    return Forgiving


def take_over() -> None:
    """Have the keyboard read by this decoder and this parser, and wait for the rest of a key over a slow line."""
    vars(linux_driver)["getincrementaldecoder"] = forgiving
    vars(linux_driver)["XTermParser"] = PartingParser
    if "ESCDELAY" not in os.environ:
        vars(constants)["ESCAPE_DELAY"] = SLOWEST
