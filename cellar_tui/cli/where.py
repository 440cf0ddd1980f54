"""Which cellar is meant, and by whom."""

from __future__ import annotations

import getpass
import os
from pathlib import Path

from cellar_tui.cli.output import note
from cellar_tui.language.clean_text import NAME_LIMIT, TextError, clean
from cellar_tui.service import clock
from cellar_tui.service.service import Service
from cellar_tui.service.views import CellarError


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


def opened(db: str | None, by: str | None, *, read_only: bool = False, make: bool = False) -> Service:
    """Open the cellar; `make` makes a missing one and says where.

    Raises:
        CellarError: it cannot be opened.
    """
    path = database(db)
    if make and not read_only and not path.exists():
        service = Service.create(path, clock.system, by=person(by))
        note(f"A new cellar was made at {path}.")
        return service
    try:
        return Service.open(path, clock.system, by=person(by), read_only=read_only)
    except CellarError as error:
        if error.code != "missing":
            raise
        begin = '`cellar-tui vessel add "Demijohn 1" capacity=23L material=glass` begins one.'
        raise CellarError(f"There is no cellar at {path}: {begin}", code="missing") from error


def looked_at(db: str | None, by: str | None) -> Service:
    """Open the cellar to read it; only where it may not be written is it opened read-only.

    A writable opening first settles a save that was cut off, which a read-only one may not do.
    """
    try:
        return opened(db, by)
    except CellarError as error:
        if error.code not in ("read_only", "newer"):
            raise
        return opened(db, by, read_only=True)
