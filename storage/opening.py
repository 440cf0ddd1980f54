"""Opening a cellar file without touching what is not ours, and making a new one."""

from __future__ import annotations

import os
import sqlite3
import stat
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from storage.connection import Connection, fault
from storage.errors import (
    RESTORE,
    AlreadyThere,
    BadName,
    Interrupted,
    Missing,
    NotACellar,
    ReadOnly,
    Unreadable,
)
from storage.schema import SCHEMA_VERSION, recognise, recognise_numbers

SIDE_FILES = ("-journal", "-wal", "-shm")
"""Endings of the files that SQLite keeps beside a database (seen: its page "Temporary Files Used By SQLite")."""

LONGEST_NAME = 200
"""Bytes of a file's name: file systems take 255, and names of copies and journals are made from it."""

HEADER_BYTES = 100
USER_VERSION_AT = slice(60, 64)
APPLICATION_ID_AT = slice(68, 72)
"""Where SQLite's file format has them (seen: its page on the database file format, "The Database Header")."""


def open_existing(path: Path, *, read_only: bool) -> Connection:
    """Open a file that is there, after looking at it through a read-only connection.

    A file of an older version is brought up to date, after a copy of it was put beside it; where it may only be read,
    a copy of it in memory.

    Raises:
        Missing, Unreadable, NotACellar, Corrupt, TooNew, ReadOnly, Interrupted, Busy: always with the file as it was.
    """
    _look_at_file(path, read_only=read_only)
    try:
        looking, version = _recognised(path, mode="ro")
    except Interrupted:
        if read_only:
            raise
        _look_past_the_journal(path)
    else:
        if read_only:
            return looking if version == SCHEMA_VERSION else _as_if_up_to_date(looking)
        looking.close()
    connection, version = _recognised(path, mode="rw")
    try:
        connection.make_durable()
        if version < SCHEMA_VERSION:
            _bring_up_to_date(connection, version)
    except BaseException:
        connection.close()
        raise
    return connection


def _as_if_up_to_date(looking: Connection) -> Connection:
    from storage.migrations import bring_up_to_date

    try:
        copy = Connection.in_memory(looking)
    finally:
        looking.close()
    bring_up_to_date(copy)
    return copy


def _bring_up_to_date(connection: Connection, version: int) -> None:
    from storage.migrations import bring_up_to_date

    kept = connection.path.with_name(f"{connection.path.name}.version-{version}")
    try:
        reserve(kept)
    except FileExistsError:
        pass  # an earlier try was cut off after its copy was made; that one is of the same version
    except OSError as error:
        raise ReadOnly(f"{kept} cannot be made ({error.strerror}): check the folder and who may write it.") from error
    else:
        _copy_whole(connection, kept)
    bring_up_to_date(connection)
    recognise(connection)


def _copy_whole(connection: Connection, kept: Path) -> None:
    try:
        copy = Connection(kept, mode="rw")
        try:
            connection.copy_into(copy)
        finally:
            copy.close()
        sync_file(kept)
        sync_folder(kept.parent)
    except BaseException:
        kept.unlink(missing_ok=True)
        raise


def create_new(path: Path, begin: Callable[[Connection], None] = lambda connection: None) -> Connection:
    """Make a new cellar file, readable by its owner alone, in a folder that is made likewise where it is missing.

    It is made under another name, with what `begin` puts into it, and gets its own name when all of it is durable: a
    cellar that was cut off while it was made is not there.

    Raises:
        BadName: SQLite would take the file for another one's journal.
        AlreadyThere: something stands at that path, be it a dangling link.
        ReadOnly: the folder cannot be written.
        DiskFull, DiskFailed.
    """
    usable_name(path)
    partial = path.with_name(f".{path.name}.{os.getpid()}.new")
    try:
        if journal_of(path).exists():
            raise AlreadyThere(
                f"{journal_of(path)} is left of another cellar: move it away with that cellar, or choose another name."
            )
        _make_folder(path.parent)
        reserve(partial)
        _fill(partial, begin)
        give_name(partial, path)
    except FileExistsError as error:
        raise AlreadyThere(f"{path} is there already: open it, or choose another name.") from error
    except OSError as error:
        raise ReadOnly(f"{path} cannot be made ({error.strerror}): check the folder and who may write it.") from error
    finally:
        for leftover in (partial, journal_of(partial)):
            with suppress(OSError):
                leftover.unlink()
    return open_existing(path, read_only=False)


def _fill(partial: Path, begin: Callable[[Connection], None]) -> None:
    from storage.migrations import apply_to

    try:
        connection = Connection(partial, mode="rw")
        try:
            connection.make_durable()
            apply_to(connection)
            recognise(connection)
            begin(connection)
        finally:
            connection.close()
    except sqlite3.Error as error:
        raise fault(error, partial) from error


def reserve(path: Path) -> None:
    """Make an empty file that only its owner reads, whatever the umask; never follow a link, never overwrite.

    SQLite gives its journal the database's own mode, so the mode must be right before SQLite sees the file.
    """
    descriptor = os.open(path, os.O_CREAT | os.O_EXCL | os.O_NOFOLLOW | os.O_RDWR | os.O_CLOEXEC, 0o600)
    try:
        os.fchmod(descriptor, 0o600)
    finally:
        os.close(descriptor)


def usable_name(path: Path) -> None:
    """Refuse a name that cannot be used for a cellar or a copy of one.

    Raises:
        BadName: it is too long, or SQLite would take the file for the journal of another one and delete it.
    """
    if path.name.endswith(SIDE_FILES):
        raise BadName(f"{path.name} is a name that SQLite gives to a journal, which it deletes: choose another name.")
    if len(os.fsencode(path.name)) > LONGEST_NAME:
        raise BadName(f"The name of the file is longer than {LONGEST_NAME} bytes: choose a shorter one.")


def give_name(partial: Path, target: Path) -> None:
    """Put a file that is whole under its name, durably; nothing that stands there is ever overwritten.

    Raises:
        FileExistsError: something stands there.
        OSError
    """
    try:
        os.link(partial, target, follow_symlinks=False)
    except FileExistsError:
        raise
    except OSError:  # a file system without hard links: take the name first
        reserve(target)
        try:
            os.replace(partial, target)
        except BaseException:
            target.unlink(missing_ok=True)
            raise
    else:
        partial.unlink()
    sync_folder(target.parent)


def sync_file(path: Path) -> None:
    """Make what was written to a file durable."""
    descriptor = os.open(path, os.O_RDONLY | os.O_CLOEXEC)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def sync_folder(folder: Path) -> None:
    """Make names in a folder durable."""
    sync_file(folder)


def sync_journal(path: Path) -> None:
    """Make the end of the last save durable once more: its journal's truncation may not have reached the disk."""
    if journal_of(path).exists():
        sync_file(journal_of(path))
    sync_folder(path.parent)


def journal_of(path: Path) -> Path:
    """SQLite's rollback journal beside a database."""
    return path.with_name(path.name + "-journal")


def _make_folder(folder: Path) -> None:
    if folder.is_dir():
        return
    _make_folder(folder.parent)
    folder.mkdir(mode=0o700)


def _look_at_file(path: Path, *, read_only: bool) -> None:
    try:
        found = path.stat()
    except (FileNotFoundError, NotADirectoryError) as error:
        raise Missing(f"There is no cellar at {path}: check the path.") from error
    except PermissionError as error:
        raise Unreadable(f"The folder of {path} may not be entered by you: check who owns it.") from error
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or error
        raise Unreadable(f"{path} cannot be opened ({said}): check the path.") from error
    if not stat.S_ISREG(found.st_mode):
        raise NotACellar(f"{path} is a folder or a device, not a cellar file: name the file itself.")
    if not os.access(path, os.R_OK):
        raise Unreadable(f"{path} may not be read by you: check who owns it.")
    if found.st_size == 0:
        raise NotACellar(f"{path} is empty (0 bytes): remove it and begin a new cellar, or {RESTORE}.")
    if not read_only and not (os.access(path, os.W_OK) and os.access(path.parent, os.W_OK)):
        raise ReadOnly(f"{path} or its folder cannot be written by you: open it read-only, or check who owns it.")


def _recognised(path: Path, *, mode: str) -> tuple[Connection, int]:
    connection = Connection(path, mode=mode)
    try:
        return connection, recognise(connection)
    except BaseException:
        connection.close()
        raise


def _look_past_the_journal(path: Path) -> None:
    """A cut-off save is rolled back by opening for writing; first see that the file is ours at all.

    SQLite will not read a half-written file before it is rolled back, so its header is read as bytes.
    """
    with path.open("rb") as file:
        header = file.read(HEADER_BYTES)
    recognise_numbers(
        path,
        application_id=int.from_bytes(header[APPLICATION_ID_AT], "big"),
        user_version=int.from_bytes(header[USER_VERSION_AT], "big"),
    )
