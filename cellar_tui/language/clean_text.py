"""Text that came from a person or a file, made fit to keep and to show: never markup, never terminal control."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from itertools import accumulate

NAME_LIMIT = 80
"""Most characters of a name (common practice: it must fit a row)."""
NOTE_LIMIT = 4000
"""Most characters of a note."""

CUT = "…"
"""The mark that stands for what was cut off."""

# White space of every kind, the line separators among them; without the joiners, which join letters and emoji.
_BREAKS = re.compile(r"\r\n|[\n\r\x0b\x0c\x85\u2028\u2029]")
# Controls (Cc), lone surrogates (Cs), marks that turn the direction of writing, and two spaces of no width.
_UNSAFE = re.compile(r"[\x00-\x08\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff\u202a-\u202e\u2066-\u2069\u200b\ufeff]")
_GAPS = re.compile(r"[^\S\n]+")
_EMOJI_STYLE = "\ufe0f"


class TextError(ValueError):
    """The text is longer than it may be; the message says how long it may be."""


def clean(text: str, *, limit: int, lines: bool = False) -> str:
    """Return `text` as it may be kept: no control or direction marks, composed, white space collapsed, at most
    `limit` characters. Line breaks stay with `lines`, else they become spaces. What is left may be empty.

    >>> clean("  Regent\\x1b]0;x\\x07  25 ", limit=NAME_LIMIT)
    'Regent]0;x 25'

    Raises:
        TextError: more than `limit` characters are left. Nothing is ever cut off on the way in.
    """
    kept = _plain(text, lines)
    if len(kept) > limit:
        raise TextError(f"Shorten the text to at most {limit} characters; it has {len(kept)}.")
    return kept


def safe(text: str, *, lines: bool = False) -> str:
    """Return `text` as it may be sent to a terminal, whoever wrote it: as clean() without a limit; never raises."""
    return _plain(text, lines)


def shown(text: str, width: int) -> str:
    """Return `text` on one line in at most `width` terminal cells, cut with a mark where it is longer.

    >>> shown("Gewürztraminer 26", 10)
    'Gewürztra…'
    """
    line = _plain(text, lines=False)
    if cells(line) <= width:
        return line
    if width < 1:
        return ""
    end = sum(1 for reached in accumulate(_widths(line)) if reached < width)
    return line[:end].rstrip() + CUT


def cells(text: str) -> int:
    """Return how many terminal cells `text` takes: two for wide letters and emoji, none for marks set on another.

    Joined emoji count each of their parts, so that a cut is at worst early.

    >>> cells("Öl"), cells("酒"), cells("e\\u0301")
    (2, 2, 1)
    """
    return sum(_widths(text))


def _widths(text: str) -> Iterator[int]:
    """Yield the cells that each character adds; the mark of emoji style widens a narrow sign before it to two."""
    last = 0
    for sign in text:
        if sign == _EMOJI_STYLE:
            width = 1 if last == 1 else 0
        elif unicodedata.category(sign) in ("Mn", "Me", "Cf"):
            width = 0
        else:
            width = last = 2 if unicodedata.east_asian_width(sign) in "WF" else 1
        yield width


def _plain(text: str, lines: bool) -> str:
    kept = _BREAKS.sub("\n", text)
    kept = _UNSAFE.sub("", kept)
    kept = _GAPS.sub(" ", unicodedata.normalize("NFC", kept))
    if lines:
        return "\n".join(line.strip() for line in kept.split("\n")).strip("\n")
    return " ".join(kept.split())
