"""A cellar file that is made beside its place, and put there when it is whole."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from storage.opening import give_name, journal_of, open_existing, sync_file


@contextmanager
def beside(path: Path) -> Iterator[Path]:
    """Hand out a name beside `path` for a file that is made there; what is left of it at the end is taken away."""
    partial = path.with_name(f".{path.name}.{os.getpid()}.filling")
    try:
        yield partial
    finally:
        for leftover in (partial, journal_of(partial)):
            with suppress(OSError):
                leftover.unlink()


def put(partial: Path, path: Path) -> None:
    """Put a file that is whole in its place: under its name, or over a cellar that stands there.

    Over another one it goes as one save of SQLite's, so that a program that has it open sees the old or the new.

    Raises:
        AlreadyThere, Busy, DiskFull, DiskFailed: the place is as it was.
    """
    sync_file(partial)
    if not path.exists():
        give_name(partial, path)
        return
    source = open_existing(partial, read_only=True)
    target = open_existing(path, read_only=False)
    try:
        source.copy_into(target)
    finally:
        source.close()
        target.close()
