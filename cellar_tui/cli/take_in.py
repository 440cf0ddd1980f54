"""The command that takes a ledger, a sheet or a logger's file into a cellar."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

from cellar_tui.cli import output
from cellar_tui.cli.arguments import UsageError
from cellar_tui.cli.where import database, opened, reason
from cellar_tui.cli.write import answered
from cellar_tui.exchange import folder, logger_file, row_verdicts, sheets_in
from cellar_tui.service import importing, ledger_file, series
from cellar_tui.service.importing import Imported
from cellar_tui.service.soundness import tip_text
from cellar_tui.service.views import CellarError


def take_in(arg: Namespace) -> int:
    """Take in what a file holds: a ledger where its lines are JSON, else a sheet."""
    path = Path(arg.file)
    if arg.series:
        return _series(arg, path)
    if _is_ledger(path):
        return _ledger(arg, path)
    return _sheet(arg, path)


def _is_ledger(path: Path) -> bool:
    try:
        with path.open("rb") as file:
            return file.read(1) == b"{"
    except OSError as error:
        raise CellarError(f"{path} cannot be read ({error.strerror}): check the path.", field="file") from error


def _progress(what: str) -> Callable[[int], None]:
    """Return what tells a person at a terminal how far it is; Ctrl+C ends it with nothing kept."""
    if not sys.stderr.isatty():
        return lambda count: None

    def told(count: int) -> None:
        sys.stderr.write(f"\r{count} {what} ")
        sys.stderr.flush()

    return told


def _ledger(arg: Namespace, path: Path) -> int:
    if arg.map or arg.dates or arg.series:
        raise UsageError("--map, --dates and --series are for sheets; a ledger is taken as it is.")
    if arg.preview:
        raise UsageError("--preview is for sheets: a ledger is proven while it is taken in, whole or not at all.")
    place = database(arg.db)
    tip = ledger_file.take_in(place, _lines(path), lambda digest: _rows_beside(path, digest), _progress("entries"))
    arg.kept.done = True
    count, end = tip[0], tip_text(tip)
    if arg.json:
        output.document({"cellar": str(place), "entries": count, "tip": end})
    else:
        output.lines(f"{count} entries taken into {place}, each proven; the ledger ends with {end}.")
    return output.DONE


def _lines(path: Path) -> Iterator[str]:
    try:
        with path.open(encoding="utf-8") as file:
            yield from file
    except (OSError, UnicodeError) as error:
        raise CellarError(f"{path} cannot be read ({error}): export it again.", field="file") from error


def _rows_beside(ledger: Path, digest: str) -> str | None:
    """Return the rows of a logger's series that lie beside an exported ledger."""
    path = ledger.with_name(folder.series_name(digest))
    if not folder.is_series(path.name):
        return None
    try:
        return path.read_text(encoding="utf-8")
    except (OSError, UnicodeError):
        return None


def _mapped(pairs: Sequence[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for pair in pairs:
        head, mark, name = pair.rpartition("=")
        if not mark or not head.strip():
            raise UsageError(f'write {pair} as --map "COLUMN=FIELD".')
        found[head.strip()] = name.strip().casefold()
    return found


def _sheet(arg: Namespace, path: Path) -> int:
    service = opened(arg)
    try:
        ways = sheets_in.Ways(_mapped(arg.map or ()), importing.meanings(service), arg.dates, reason(arg.waive))
        sheet = sheets_in.read(path, ways, _progress("rows"))
        requests = [request for row in sheet.rows for request in row.requests]
        wrong = any(row.wrong for row in sheet.rows)
        weighed = _progress(f"of {len(requests)} weighed")
        found = importing.record_all(service, requests, weighed, preview=arg.preview or wrong)
        if found.saved:
            importing.remember(service, sheet.meaning)
        names = {vessel.number: vessel.name for vessel in service.view.vessels()}
        told = list(row_verdicts.rows(sheet.rows, found.verdicts, names, service.view.units))
    finally:
        service.close()
    return _answered(told, found, arg)


def _series(arg: Namespace, path: Path) -> int:
    """Record a logger's file as one entry of the wine in a vessel."""
    cellar = opened(arg)
    try:
        bare = "C" if cellar.view.units == "metric" else None
        logged = logger_file.read(path, _mapped(arg.map or ()), arg.dates, bare, _progress("rows"))
        answer = series.record(cellar, arg.series, logged, waive=reason(arg.waive), preview=arg.preview)
        if not arg.json and not answer.stopped:
            output.lines("The rows count as the wine's own temperatures: a probe in the air shows the air's.")
        return answered(cellar, answer, arg)
    finally:
        cellar.close()


def _answered(told: Sequence[dict[str, Any]], found: Imported, arg: Namespace) -> int:
    count = row_verdicts.counted(told)
    if arg.json:
        output.document({"rows": [_plain(one, found.saved) for one in told], "saved": found.saved, **count})
    else:
        output.lines(
            *(line for one in told for line in row_verdicts.lines(one)),
            row_verdicts.summary(count, found.saved, arg.preview),
        )
    if count["wrong"]:
        return output.WRONG
    return output.STOPPED if count["stopped"] else output.DONE


def _plain(one: dict[str, Any], saved: bool) -> dict[str, Any]:
    kept = {name: value for name, value in one.items() if name != "day"}
    if one["state"] == "new" and not saved:
        kept["entry"] = None
    return kept
