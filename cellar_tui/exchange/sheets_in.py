"""The rows of somebody's sheet as requests: what each row would record, or what is wrong with it."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from cellar_tui.exchange import cells, columns, dates, sheet_file
from cellar_tui.exchange.columns import Column
from cellar_tui.exchange.sheet_file import MOST_ROWS, Row
from cellar_tui.language.clean_text import NAME_LIMIT, TextError, clean, safe
from cellar_tui.language.numerals import NumeralError, split
from cellar_tui.service.views import CellarError, Request

NOTHING = ("", "-", "–", "—", "n/a", "na")
"""Cells in which nothing is said."""

EACH = 500
"""Rows after which progress is told."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What one row asks for: requests, or what is wrong with it."""

    row: int
    requests: tuple[Request, ...] = ()
    wrong: str = ""


@dataclass(frozen=True, slots=True)
class Read:
    """A sheet as it was read: what its rows ask for, and what its heads were taken to mean."""

    rows: tuple[Asked, ...]
    meaning: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Ways:
    """How a sheet is to be read.

    Attributes:
        said: head -> field, as the person maps them.
        known: head -> field, as this cellar has mapped them before.
        dates: DMY, MDY or YMD, None where nothing is said.
        waive: reason to pass waivable guards.
    """

    said: Mapping[str, str]
    known: Mapping[str, str]
    dates: str | None = None
    waive: str | None = None


@dataclass(frozen=True, slots=True)
class Head:
    """A column before its rows are read: its head, the field it is taken for ("" where unclear), its first cell."""

    head: str
    field: str
    sample: str


def heads(path: Path, ways: Ways) -> tuple[Head, ...]:
    """Return the columns of a sheet that have a head.

    Raises:
        CellarError: it cannot be read.
    """
    with sheet_file.opened(path, _is_head(ways)) as sheet:
        first = next(sheet.rows, None)
        kinds = any(columns.key(head) == "kind" for head in sheet.heads)
        cells_of = first.cells if first is not None else ("",) * len(sheet.heads)
        mapped = dict(ways.known) | {columns.key(head): name for head, name in ways.said.items()}
        pairs = zip(sheet.heads, cells_of, strict=True)
        return tuple(Head(head, columns.taken(head, mapped, kinds), cell) for head, cell in pairs if head)


def _is_head(ways: Ways) -> Callable[[Sequence[str]], bool]:
    """Return what tells whether a row can be that of the heads: it has a vessel and a date."""

    def is_head(row: Sequence[str]) -> bool:
        names = [ways.said.get(head) or ways.known.get(columns.key(head)) or columns.key(head) for head in row if head]
        fields = [found.field for name in names if (found := columns.means(name, name)) is not None]
        return "vessel" in fields and "date" in fields

    return is_head


def read(path: Path, ways: Ways, progress: Callable[[int], None] = lambda rows: None) -> Read:
    """Read a sheet whole.

    Raises:
        CellarError: it cannot be read, or has to be said first what a head or a day means.
    """
    with sheet_file.opened(path, _is_head(ways)) as sheet:
        found = columns.read(sheet.heads, ways.said, ways.known)
        rows = list(_few(sheet.rows, progress))
    at = next(place for place, one in enumerate(found) if one is not None and one.field == "date")
    order = dates.order_of((row.cells[at] for row in rows), ways.dates)
    asked = [_asked(row, found, order, ways.waive) for row in rows]
    meaning = {columns.key(head): name for head, name in ways.said.items()}
    return Read(tuple(_keyed(asked)), {**ways.known, **meaning})


def _few(rows: Iterator[Row], progress: Callable[[int], None]) -> Iterator[Row]:
    for count, row in enumerate(rows, 1):
        if count > MOST_ROWS:
            told = (
                f"The sheet has more than {MOST_ROWS} rows: import it in parts, a logger's file with --series VESSEL."
            )
            raise CellarError(told, field="file")
        if count % EACH == 0:
            progress(count)
        yield row


def _asked(row: Row, found: Sequence[Column | None], order: dates.Order | None, waive: str | None) -> Asked:
    said = [(one, cells.untext(cell)) for one, cell in zip(found, row.cells, strict=True) if one is not None]
    said = [(one, cell) for one, cell in said if cell.casefold() not in NOTHING]
    about = {one.field: cell for one, cell in said if not one.kind and one.field in columns.ABOUT}
    try:
        if "vessel" not in about:
            raise CellarError("The vessel is missing.")
        by = clean(about.get("by", ""), limit=NAME_LIMIT)
        wanted = [*_entries([one for one in said if one[0].field not in about or one[0].kind], about)]
        if not wanted:
            raise CellarError("Nothing is said but vessel and date.")
        when = _when(about, order)
    except (dates.DayError, CellarError, TextError) as error:
        return Asked(row.number, wrong=safe(str(error)))
    vessel = safe(about["vessel"])
    return Asked(row.number, tuple(Request(vessel, kind, fields, when, by, waive) for kind, fields in wanted))


def _when(about: Mapping[str, str], order: dates.Order | None) -> str:
    written, hour = dates.parts(about.get("date", ""))
    day, minute = dates.day(written, order), dates.minute(about.get("time", hour))
    return day.isoformat() if minute is None else f"{day.isoformat()}T{minute // 60:02d}:{minute % 60:02d}"


def _entries(said: Sequence[tuple[Column, str]], about: Mapping[str, str]) -> Iterator[tuple[str, dict[str, str]]]:
    """Yield the entries of a row: kind and fields as typed; a reading first, then what went in, then the note."""
    own = about.get("kind", "").casefold().replace(" ", "_")
    fields: dict[str, dict[str, str]] = {own: {}} if own else {}
    alone: list[dict[str, str]] = []
    for column, cell in said:
        typed = _typed(cell, column.unit)
        if column.material:
            alone.append({"material": column.material, "amount": typed})
        else:
            fields.setdefault(column.kind or own, {})[column.field] = typed
    for kind, named in fields.items():
        yield kind, _settled(kind, named, about)
    yield from (("addition", one) for one in alone)
    if "note" in about:
        yield "note", {"text": about["note"]}


def _settled(kind: str, named: dict[str, str], about: Mapping[str, str]) -> dict[str, str]:
    """Put units that stand in a column of their own behind their numbers; an amount goes before the dose it was."""
    units = (("amount", about.get("unit", "")), ("strength", about.get("strength_unit", "").replace("share", "")))
    for name, unit in units:
        if name in named:
            named[name] = _typed(named[name], unit)
    if kind == "addition" and "amount" in named:
        named.pop("dose", None)
    return named


def _typed(cell: str, unit: str) -> str:
    """Return a cell as it would be typed: a bare number with the unit of its head."""
    try:
        rest = split(cell)[1]
    except NumeralError:
        return cell
    return f"{cell} {unit}" if unit and not rest.strip() else cell


def _keyed(asked: Sequence[Asked]) -> Iterator[Asked]:
    """Give each request a key of what it says, so that the same row is never kept twice; like rows are counted."""
    seen: Counter[str] = Counter()
    for one in asked:
        made = []
        for request in one.requests:
            says = repr((request.target.casefold(), request.kind, request.at, sorted(request.fields.items())))
            seen[says] += 1
            digest = hashlib.blake2b(f"{seen[says]} {says}".encode(), digest_size=16).digest()
            made.append(replace(request, key=digest))
        yield replace(one, requests=tuple(made))
