"""Commands that keep a cellar safe: check, rebuild, backup, restore."""

from __future__ import annotations

import shutil
import sys
import tempfile
from argparse import Namespace
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from cellar_tui.cli import as_json, output
from cellar_tui.cli.arguments import UsageError
from cellar_tui.cli.where import database, looked_at, opened
from cellar_tui.service import clock, tips
from cellar_tui.service.open import OpenCellar, restore_cellar
from cellar_tui.service.soundness import Checked, Tip, read_tip, tip_text

STREAM = "-"
"""Stands for standard output where a backup is to be written there."""


def _known(text: str | None) -> list[Tip]:
    if text is None:
        return []
    try:
        return [read_tip(text)]
    except ValueError as error:
        raise UsageError("--known takes what a backup or a check printed, such as 41:9f0c... (SEQ:HASH)") from error


def check(arg: Namespace) -> int:
    """Check file, chain and board, and say what to do."""
    known = _known(arg.known)
    service = looked_at(arg)
    try:
        seen = tips.known(service.path)
        found = service.checked([*known, *([] if seen is None else [seen])])
        late = service.clock_behind()
        names = {} if found.damaged else {vessel.number: vessel.name for vessel in service.view.vessels()}
    finally:
        service.close()
    if found.tip is not None:
        tips.remember(service.path, found.tip)
    _told(found, late, names, as_json_too=arg.json)
    if found.damaged:
        return output.DAMAGED
    return output.DONE if found.well and late is None else output.WRONG


def _told(found: Checked, late: str | None, names: dict[int, str], *, as_json_too: bool) -> None:
    said = [*([late] if late else []), *found.damaged]
    if as_json_too:
        problems = [{"vessel": None, "entry": None, "problem": one} for one in said]
        problems += [as_json.problem(problem, names.get(problem.vessel or 0)) for problem in found.problems]
        output.document({"problems": problems, "tip": tip_text(found.tip)})
        return
    output.lines(*said)
    output.lines(
        *(
            f"{names.get(problem.vessel or 0, 'cellar')}, entry {problem.entry}: {problem.problem}"
            for problem in found.problems
        )
    )
    if not said and not found.problems:
        output.lines("All is well: the file, the chain of entries, and the board as the ledger has it.")
    output.lines(f"Tip of the ledger: {tip_text(found.tip)}")


def rebuild(arg: Namespace) -> int:
    """Work out the board again from the ledger."""
    service = opened(arg)
    try:
        service.rebuild()
        tip = service.tip
    finally:
        service.close()
    if arg.json:
        output.document({"entries": tip[0], "tip": tip_text(tip)})
    else:
        output.lines(f"Entry {tip[0]}: the board was worked out again from {tip[0]} entries.")
    return output.DONE


def backup(arg: Namespace) -> int:
    """Copy the cellar, checked; `-` writes the copy to standard output."""
    service = looked_at(arg)
    try:
        if arg.destination == STREAM:
            return _streamed(service)
        tip = service.backup(arg.destination)
    finally:
        service.close()
    if arg.json:
        output.document({"backup": str(arg.destination), "entries": tip[0], "tip": tip_text(tip)})
    else:
        output.lines(
            f"{tip[0]} entries copied to {arg.destination} and checked.",
            f"Tip of the ledger, worth keeping beside it: {tip_text(tip)}",
        )
    return output.DONE


def _streamed(service: OpenCellar) -> int:
    if sys.stdout.isatty():
        raise UsageError("a backup to standard output needs somewhere to go: `cellar-tui backup - > FILE`")
    with _scratch() as folder:
        copy = folder / "copy.db"
        tip = service.backup(copy)
        with copy.open("rb") as file:
            shutil.copyfileobj(file, sys.stdout.buffer)
        sys.stdout.buffer.flush()
    output.note(f"{tip[0]} entries copied and checked. Tip of the ledger: {tip_text(tip)}")
    return output.DONE


@contextmanager
def _scratch() -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="cellar-backup-") as folder:
        yield Path(folder)


def restore(arg: Namespace) -> int:
    """Put a backup in the place of the cellar, checked first."""
    path = database(arg.db)
    found = restore_cellar(path, arg.backup, clock.system)
    tips.remember(path, found.tip)
    kept = "" if found.kept is None else str(found.kept)
    if arg.json:
        output.document(
            {"restored": str(path), "entries": found.tip[0], "tip": tip_text(found.tip), "kept": kept or None}
        )
        return output.DONE
    output.lines(f"{found.tip[0]} entries restored from {arg.backup} to {path}, checked.")
    if kept:
        output.lines(f"The file that was there is kept as {kept}.")
    output.lines(f"Tip of the ledger: {tip_text(found.tip)}")
    return output.DONE
