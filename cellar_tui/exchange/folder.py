"""Everything of a cellar as files that any program reads: the whole ledger, and a sheet of each kind."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable, Mapping
from pathlib import Path

from cellar_tui.ledger.cellar_kinds import KINDS
from cellar_tui.service.views import CellarError

LEDGER = "ledger.jsonl"
_SERIES = re.compile(r"series-[0-9a-f]{32}\.csv")
OWN = {LEDGER, *(f"{kind}.csv" for kind in KINDS)}
"""The files of an export; a folder that holds another one is refused, an older export is renewed."""


def series_name(digest: str) -> str:
    """Return the name of the file of a logger's rows."""
    return f"series-{digest}.csv"


def is_series(name: str) -> bool:
    """Return whether a file's name is that of a logger's rows."""
    return _SERIES.fullmatch(name) is not None


def _own(name: str) -> bool:
    return name in OWN or is_series(name)


def ready(folder: Path) -> None:
    """Make the folder, or see that nothing but an older export is in it.

    Raises:
        CellarError: it is no folder, cannot be made, or holds something else.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        strange = sorted(one.name for one in folder.iterdir() if not _own(one.name) or not plain(one))
    except OSError as error:
        raise CellarError(
            f"{folder} cannot be used ({error.strerror}): name another folder.", field="folder"
        ) from error
    if strange:
        told = f"{folder} holds {strange[0]}, which is no part of an export: name an empty or a new folder."
        raise CellarError(told, field="folder")


def file_name(words: str, ending: str) -> str:
    """Return words as the name of a file that any system takes: letters, digits, points and dashes alone.

    >>> file_name("../Late gold 26 in D/5 2026-11-26", ".pdf")
    'Late-gold-26-in-D-5-2026-11-26.pdf'
    """
    kept = re.sub(r"[^\w.-]+", "-", words).strip("-._")[:120]
    return f"{kept or 'cellar'}{ending}"


def plain(path: Path) -> bool:
    """Return whether a path is a file itself, no link to one."""
    return path.is_file() and not path.is_symlink()


def write(folder: Path, files: Mapping[str, Iterable[str]]) -> None:
    """Write the files of an export, each readable by its owner alone: all under other names first, then renamed.

    Files of an older export that this one does not have are taken away.

    Raises:
        CellarError: one cannot be written; what stood there before still does.
    """
    partial = {name: folder / f".{name}.{os.getpid()}.part" for name in files}
    try:
        for name, lines in files.items():
            _write(partial[name], lines)
        for name in files:
            os.replace(partial[name], folder / name)
        for one in folder.iterdir():
            if _own(one.name) and one.name not in files:
                one.unlink()
        _sync(folder)
    except OSError as error:
        told = f"The export into {folder} could not be written ({error.strerror}): check the disk, then retry."
        raise CellarError(told, code="storage", field="folder") from error
    finally:
        for one in partial.values():
            one.unlink(missing_ok=True)


def keep(path: Path, content: Iterable[str | bytes]) -> None:
    """Write one file for others to read, whole or not at all: what a server hands out is never half of it.

    Raises:
        CellarError: it cannot be written; what stood there before still does.
    """
    partial = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        _write(partial, content, mode=path.stat().st_mode & 0o777 if path.exists() else 0o600)
        os.replace(partial, path)
        _sync(path.parent)
    except OSError as error:
        told = f"{path} could not be written ({error.strerror}): check the folder and the disk."
        raise CellarError(told, code="storage", field="file") from error
    finally:
        partial.unlink(missing_ok=True)


def _write(path: Path, content: Iterable[str | bytes], mode: int = 0o600) -> None:
    flags = os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW | os.O_WRONLY | os.O_CLOEXEC
    with open(os.open(path, flags, mode), "wb") as file:
        os.fchmod(file.fileno(), mode)
        file.writelines(part if isinstance(part, bytes) else part.encode() for part in content)
        file.flush()
        os.fsync(file.fileno())


def _sync(folder: Path) -> None:
    descriptor = os.open(folder, os.O_RDONLY | os.O_CLOEXEC)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
