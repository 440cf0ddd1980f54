"""A backup put in the place of a cellar: checked first, and the old file kept with its journal.

A journal that a damaged cellar left behind belongs to that file alone: SQLite would roll it back into whatever stands
at the path next, and destroy it. So the old pair is kept together under another name, and for a moment nothing
stands at the path: whenever the restore is cut off, either a whole cellar is there or none.
"""

from __future__ import annotations

import fcntl
import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from storage.backup import Check
from storage.check import Tip, tip
from storage.connection import BUSY_TIMEOUT_MS
from storage.errors import AlreadyThere, Busy, Corrupt, DiskFailed, Missing, StorageError
from storage.opening import SIDE_FILES, journal_of, reserve, sync_file, sync_folder, usable_name
from storage.store import Store

RESERVED_BYTE = 0x40000001
"""The byte that SQLite locks for the length of a save (seen: RESERVED_BYTE in its os.h)."""


def restore(path: Path, backup: Path, moment: datetime, check: Check) -> tuple[Tip, Path | None]:
    """Put a copy of a backup in the place of the cellar at `path`; the backup itself is not touched.

    Args:
        moment: dates the name under which the old file is kept.
        check: says what is wrong with the copy before it takes its place.

    Returns:
        The tip of what now stands there, and where the old file was kept, None where there was none.

    Raises:
        Missing, NotACellar, Corrupt: the backup is no sound cellar; nothing was changed.
        Busy: another program is saving into the old file.
        AlreadyThere, DiskFull, DiskFailed, Unreadable.
    """
    usable_name(path)
    if not backup.exists():
        raise Missing(f"There is no backup at {backup}: check the path.")
    if path.exists() and path.samefile(backup):
        raise AlreadyThere(f"{backup} is the cellar itself: name the backup.")
    partial = path.with_name(f".{path.name}.{os.getpid()}.restored")
    try:
        _copy(backup, partial)
        found = _checked(partial, backup, check)
        kept = _set_aside(path, moment)
        os.replace(partial, path)
        sync_folder(path.parent)
    except OSError as error:
        raise DiskFailed(
            f"{backup} was not restored ({error.strerror}): check the disk and who may write {path.parent}."
        ) from error
    finally:
        for leftover in (partial, *map(partial.with_name, (partial.name + end for end in SIDE_FILES))):
            leftover.unlink(missing_ok=True)
    return found, kept


def _copy(backup: Path, partial: Path) -> None:
    """Copy the file, and the journal of a save that was cut off in it: opening the copy rolls it back."""
    for source, target in ((journal_of(backup), journal_of(partial)), (backup, partial)):
        if source.exists():
            reserve(target)
            shutil.copyfile(source, target)
            sync_file(target)


def _checked(partial: Path, backup: Path, check: Check) -> Tip:
    try:
        with Store.open(partial) as copy:
            if wrong := check(copy):
                raise Corrupt(f"{backup} was not restored, because it is not sound: {wrong[0]}")
            return tip(copy)
    except StorageError as error:
        # The copy has a name that says nothing to anybody.
        raise type(error)(str(error).replace(str(partial), str(backup))) from error


def _set_aside(path: Path, moment: datetime) -> Path | None:
    old = journal_of(path)
    if not path.exists() and not old.exists():
        return None
    kept = path.with_name(f"{path.name}.before-restore-{moment:%Y%m%d-%H%M%S}")
    if kept.exists() or journal_of(kept).exists():
        raise AlreadyThere(f"{kept} is there already: try again in a moment.")
    with _nobody_saving(path):
        if old.exists():
            _second_name(old, journal_of(kept))
        if path.exists():
            os.rename(path, kept)
        old.unlink(missing_ok=True)
        sync_folder(path.parent)
    return kept


def _second_name(old: Path, kept: Path) -> None:
    try:
        os.link(old, kept)
    except OSError:  # a file system without hard links
        shutil.copyfile(old, kept)
        sync_file(kept)


@contextmanager
def _nobody_saving(path: Path) -> Iterator[None]:
    """Hold SQLite's lock for a save by the system's own means: SQLite itself would roll the journal back first."""
    if not path.exists():
        yield
        return
    descriptor = os.open(path, os.O_RDWR | os.O_CLOEXEC)
    try:
        end = time.monotonic() + BUSY_TIMEOUT_MS / 1000
        while True:
            try:
                fcntl.lockf(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, RESERVED_BYTE)
                break
            except OSError as error:
                if time.monotonic() > end:
                    raise Busy(f"Another program keeps {path} locked: nothing was restored; end it first.") from error
                time.sleep(0.05)
        yield
    finally:
        os.close(descriptor)
