"""A sheet as a file: its encoding, separator and heads found, its rows handed out one by one.

The standard library's reader is used and not one that makes dictionaries: two columns of one head must both be seen,
and a row must keep the number that a spreadsheet shows beside it.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from cellar_tui.service.views import CellarError

MOST_ROWS = 5_000
"""Most rows of a sheet that become entries of their own; a logger's file is one entry and may have more."""

LOOKED_AT = 65_536
"""Bytes of the beginning in which encoding, separator and heads are looked for."""

SEPARATORS = (";", "\t", ",", "|")
HEAD_ROWS = 12
"""Rows among which the heads are looked for: titles and merged cells stand above them."""

_MARKS = (("utf-8-sig", b"\xef\xbb\xbf"), ("utf-16", b"\xff\xfe"), ("utf-16", b"\xfe\xff"))


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its number as a spreadsheet shows it, and its cells."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """An open sheet: its heads, and its rows one by one."""

    heads: tuple[str, ...]
    rows: Iterator[Row]


@contextmanager
def opened(path: Path, is_head: Callable[[Sequence[str]], bool]) -> Iterator[Sheet]:
    """Open a sheet; `is_head` tells whether a row can be that of the heads.

    Raises:
        CellarError: it cannot be read, or is no sheet.
    """
    try:
        with path.open("rb") as file:
            begin = file.read(LOOKED_AT)
            file.seek(0)
            encoding = encoding_of(begin)
            text = io.TextIOWrapper(file, encoding=encoding, errors="strict", newline="")
            rows = _rows(text, separator_of(begin.decode(encoding, "ignore")))
            first = list(islice(rows, HEAD_ROWS))
            at = next((i for i, row in enumerate(first) if is_head(row.cells)), None)
            if at is None:
                at = next((i for i, row in enumerate(first) if sum(map(bool, row.cells)) > 1), None)
            if at is None:
                raise CellarError(f"{path} has no row of heads: is it a sheet saved as CSV?", field="file")
            heads, below = _joined(first[at:])
            yield Sheet(heads, _whole(below, rows, len(heads)))
    except UnicodeError as error:
        raise CellarError(f"{path} is no text in a known encoding: save it as CSV in UTF-8.", field="file") from error
    except OSError as error:
        raise CellarError(f"{path} cannot be read ({error.strerror}): check the path.", field="file") from error
    except csv.Error as error:
        raise CellarError(
            f"{path} is no sheet that can be read ({error}): save it as CSV again.", field="file"
        ) from error


def encoding_of(begin: bytes) -> str:
    """Return the encoding of a file by its first bytes: by its mark, by the zeros of UTF-16, else UTF-8 or Windows'."""
    for name, mark in _MARKS:
        if begin.startswith(mark):
            return name
    if begin[1::2].count(0) > len(begin) // 4:
        return "utf-16-le"
    if begin[::2].count(0) > len(begin) // 4:
        return "utf-16-be"
    try:
        begin.decode("utf-8")
    except UnicodeDecodeError as error:
        # A letter may be cut in two at the end of what was looked at.
        return "utf-8" if error.start >= len(begin) - 3 and len(begin) == LOOKED_AT else "cp1252"
    return "utf-8"


def separator_of(begin: str) -> str:
    """Return what separates cells: the sign with which most rows have the same number of cells, more than one."""
    best = (0, 0, ",")
    for place, sign in enumerate(SEPARATORS):
        try:
            counts = [len(row) for row in islice(csv.reader(io.StringIO(begin), delimiter=sign), 40) if any(row)]
        except csv.Error:
            continue
        alike = max(((counts.count(n), n) for n in set(counts) if n > 1), default=(0, 0))
        if (alike[0], -place) > (best[0], best[1]):
            best = (alike[0], -place, sign)
    return best[2]


def _rows(text: io.TextIOWrapper, separator: str) -> Iterator[Row]:
    for number, cells in enumerate(csv.reader(text, delimiter=separator), 1):
        yield Row(number, tuple(cell.strip() for cell in cells))


def _joined(rows: Sequence[Row]) -> tuple[tuple[str, ...], Sequence[Row]]:
    """Return the heads and the rows below: where merged heads have a second row of them, both are joined."""
    heads, below = rows[0].cells, rows[1:]
    if below and _second(heads, below[0].cells):
        upper, joined = "", []
        for place, lower in enumerate(below[0].cells):
            own = heads[place] if place < len(heads) else ""
            upper = own or (upper if lower else "")
            joined.append(f"{upper} {lower}".strip())
        heads, below = tuple(joined), below[1:]
    width = max((place + 1 for place, head in enumerate(heads) if head), default=0)
    return heads[:width], below


def _second(heads: Sequence[str], cells: Sequence[str]) -> bool:
    """Return whether a row goes on with the heads above it: nothing under the first, words under a gap."""
    gaps = [cell for head, cell in zip(heads, cells, strict=False) if not head]
    return bool(cells) and not cells[0] and any(gaps) and not any(cell[:1].isdigit() for cell in cells)


def _whole(first: Sequence[Row], rest: Iterator[Row], width: int) -> Iterator[Row]:
    for source in (first, rest):
        for row in source:
            if not any(row.cells):
                continue
            if any(row.cells[width:]):
                raise CellarError(f"Row {row.number} has more cells than there are heads: check it.", field="file")
            yield Row(row.number, (*row.cells[:width], *("",) * (width - len(row.cells))))
