"""Which cellar is meant, and by whom."""

from __future__ import annotations

import getpass
import os
from argparse import Namespace
from functools import partial
from pathlib import Path

from cellar_tui.cli.output import note
from cellar_tui.language.clean_text import NAME_LIMIT, NOTE_LIMIT, TextError, clean
from cellar_tui.service import clock, tips
from cellar_tui.service.open import OpenCellar, create_cellar, open_cellar
from cellar_tui.service.views import CellarError, waiting


def database(named: str | None) -> Path:
    """Return the cellar's file: as named, else CELLAR_DB, else in the user's data folder.

    Raises:
        CellarError: it begins with the home of nobody.
    """
    chosen = named or os.environ.get("CELLAR_DB")
    data = os.environ.get("XDG_DATA_HOME") or "~/.local/share"
    path = Path(chosen) if chosen else Path(data) / "cellar-tui" / "cellar.db"
    try:
        return path.expanduser()
    except RuntimeError as error:
        raise CellarError(f"there is no home folder for {path}: name the file with --db.", field="db") from error


def person(named: str | None) -> str:
    """Return whose entries these are: as named, else CELLAR_BY, else the login name.

    Raises:
        CellarError: the name is too long to be kept.
    """
    chosen = named or os.environ.get("CELLAR_BY")
    if not chosen:
        try:
            chosen = getpass.getuser()
        except (KeyError, OSError):
            chosen = str(os.getuid())
    try:
        return clean(chosen, limit=NAME_LIMIT) or "unknown"
    except TextError as error:
        raise CellarError(str(error), field="by") from error


class Kept:
    """Whether the command has made anything durable."""

    def __init__(self) -> None:
        self.done = False
        self.cellar: OpenCellar | None = None

    def __bool__(self) -> bool:
        return self.done or (self.cellar is not None and self.cellar.saved)


def opened(arg: Namespace, *, read_only: bool = False, make: bool = False) -> OpenCellar:
    """Open the cellar that a command names; `make` makes a missing one and says where.

    Raises:
        CellarError: it cannot be opened.
    """
    path, by = database(arg.db), person(arg.by)
    if make and not read_only and not there(arg):
        service = create_cellar(path, clock.system, by=by)
        tips.remember(service.path, service.tip)  # an older cellar may have stood there
        note(f"A new cellar was made at {path}.")
    else:
        service = _opened(path, by, read_only=read_only)
    why = reason(getattr(arg, "waive", None))
    if why is not None:
        service.recorder.clock_reason = why
    service.on_wait(_waiting)
    _looked_after(service, arg.kept)
    return service


def _opened(path: Path, by: str, *, read_only: bool) -> OpenCellar:
    try:
        return open_cellar(path, clock.system, by=by, read_only=read_only)
    except CellarError as error:
        if error.code != "missing":
            raise
        begin = '`cellar-tui vessel add "Demijohn 1" capacity=23L material=glass` begins one.'
        raise CellarError(f"There is no cellar at {path}: {begin}", code="missing") from error


def there(arg: Namespace) -> bool:
    """Return whether something stands where the cellar is to be, be it only that it may not be looked at."""
    try:
        database(arg.db).lstat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    except OSError:
        return True
    return True


def unmade(path: Path) -> None:
    """Take away a cellar that was made for an entry which then could not be."""
    for leftover in (path, path.with_name(path.name + "-journal")):
        leftover.unlink(missing_ok=True)
    note(f"No cellar was made at {path}.")


def _waiting(who: str) -> None:
    note(waiting(who))


def _looked_after(service: OpenCellar, kept: Kept) -> None:
    """Say what puts the cellar at risk, compare its ledger with its end as last seen, and keep that from now on."""
    path = service.path

    seen = tips.known(path)
    for one in [] if seen is None else service.rewritten(seen):
        service.note(one)
    for caution in (*service.cautions(), *service.noted):
        note(caution)
    kept.cellar = service
    service.on_save(partial(tips.remember, path))
    if seen is None or not service.rewritten(seen):
        tips.remember(path, service.tip)


def reason(text: str | None) -> str | None:
    """Return the reason to pass a stop as it may be kept; None where nothing is said."""
    try:
        return clean(text or "", limit=NOTE_LIMIT) or None
    except TextError as error:
        raise CellarError(str(error), field="waive") from error


def looked_at(arg: Namespace) -> OpenCellar:
    """Open the cellar to read it; only where it may not be written is it opened read-only.

    A writable opening first settles a save that was cut off, which a read-only one may not do.
    """
    try:
        return opened(arg)
    except CellarError as error:
        if error.code not in ("read_only", "newer"):
            raise
        return opened(arg, read_only=True)
