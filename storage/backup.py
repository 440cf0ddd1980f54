"""A copy of the cellar file while it is in use, checked before it gets its name."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from storage.check import Tip, tip, verify
from storage.connection import Connection
from storage.errors import AlreadyThere, Corrupt, DiskFailed, DiskFull
from storage.opening import give_name, journal_of, reserve, sync_file, usable_name
from storage.store import Store

Check = Callable[[Store], list[str]]
"""What is wrong with a cellar, a sentence each."""


def backup(store: Store, destination: str | os.PathLike[str], check: Check = lambda copy: verify(copy, "full")) -> Tip:
    """Copy the file by SQLite's own online backup, open and check the copy, and only then give it its name.

    Returns:
        How many entries the copy has, and the hash of the last: worth keeping beside it.

    Raises:
        BadName: SQLite would take the copy for a journal.
        AlreadyThere: something stands at the destination; it is left alone.
        Corrupt: the copy did not pass the check, so the cellar itself is damaged.
        Busy, DiskFull, DiskFailed, Missing.
    """
    target = Path(destination).absolute()
    usable_name(target)
    partial = target.with_name(f".{target.name}.{os.getpid()}.part")
    if target.exists() or target.is_symlink():
        raise AlreadyThere(f"{target} is there already: choose another name for the backup.")
    try:
        reserve(partial)
        try:
            _copy(store, partial)
            copied = _checked(partial, check)
            sync_file(partial)
            give_name(partial, target)
        finally:
            partial.unlink(missing_ok=True)
            journal_of(partial).unlink(missing_ok=True)
    except FileExistsError as error:
        raise AlreadyThere(f"{error.filename} is there already: choose another name for the backup.") from error
    except DiskFull as error:
        raise DiskFull(f"The backup {target} was not made: its disk is full; free some space, then retry.") from error
    except OSError as error:
        raise DiskFailed(f"The backup {target} could not be written ({error.strerror}): check that folder.") from error
    return copied


def _copy(store: Store, partial: Path) -> None:
    copy = Connection(partial, mode="rw")
    try:
        store.copy_into(copy)
    finally:
        copy.close()


def _checked(partial: Path, check: Check) -> Tip:
    with Store.open(partial, read_only=True) as copy:
        if wrong := check(copy):
            raise Corrupt(f"No backup was made, because the copy is not sound: {wrong[0]}")
        return tip(copy)
