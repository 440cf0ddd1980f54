"""One SQLite connection: how it is set up, and SQLite's faults put into sentences."""

from __future__ import annotations

import sqlite3
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

from storage.errors import (
    RESTORE,
    Busy,
    Corrupt,
    DiskFailed,
    DiskFull,
    Interrupted,
    NotACellar,
    ReadOnly,
    Rejected,
    StorageError,
    Unreadable,
)

BUSY_TIMEOUT_MS = 30_000
"""How long another program's save is waited for: twenty people who save at once are each served."""
LONGEST_VALUE = 1_000_000
"""Longest text, blob or row in bytes that a connection takes or gives: a hostile file cannot fill the memory."""

SYNCHRONOUS_FULL = 2

_T = TypeVar("_T")

Parameters = tuple[Any, ...] | dict[str, Any]


class Connection:
    """A connection in autocommit mode whose every fault is a StorageError.

    No cursor is ever left open: an unfinished SELECT would block another program's commit.

    Attributes:
        busy_timeout: milliseconds for which another program's lock is waited for.
        on_disk: whether it is the file itself, and no copy of it in memory.
    """

    def __init__(self, path: Path, *, mode: str) -> None:
        """Open the file; `mode` is SQLite's 'ro' or 'rw', so that a missing file is never made."""
        self.path = path
        self.closed = False
        self.busy_timeout = BUSY_TIMEOUT_MS
        self.on_disk = True
        address = f"{path.as_uri()}?mode={mode}"
        try:
            self._raw = sqlite3.connect(
                address, uri=True, isolation_level=None, timeout=BUSY_TIMEOUT_MS / 1000, cached_statements=256
            )
        except sqlite3.Error as error:
            raise fault(error, path) from error
        self._guard_against_foreign_files()

    def _guard_against_foreign_files(self) -> None:
        self._raw.setlimit(sqlite3.SQLITE_LIMIT_LENGTH, LONGEST_VALUE)
        if sys.version_info >= (3, 12):
            self._raw.setconfig(sqlite3.SQLITE_DBCONFIG_DEFENSIVE, True)
        self._raw.create_function("casefold", 1, str.casefold, deterministic=True)
        self.insist("trusted_schema", "OFF", 0)
        self.insist("cell_size_check", "ON", 1)

    @classmethod
    def in_memory(cls, source: Connection) -> Connection:
        """A copy of a whole file in memory, under its path; it ends with the program."""
        copy = cls.__new__(cls)
        copy.path, copy.closed, copy.busy_timeout, copy.on_disk = source.path, False, BUSY_TIMEOUT_MS, False
        copy._raw = sqlite3.connect(":memory:", isolation_level=None, cached_statements=256)
        copy._guard_against_foreign_files()
        source.copy_into(copy)
        return copy

    @property
    def raw(self) -> sqlite3.Connection:
        """The connection itself, for the migrations."""
        return self._raw

    @property
    def in_transaction(self) -> bool:
        """Whether a save or a snapshot is open."""
        return self._raw.in_transaction

    def rows(self, sql: str, parameters: Parameters = ()) -> list[tuple[Any, ...]]:
        """Run a statement and fetch all that it gives."""
        return self._guarded(lambda: self._raw.execute(sql, parameters).fetchall())

    def value(self, sql: str, parameters: Parameters = ()) -> Any:
        """The first column of the first row, None when there is no row."""
        found = self.rows(sql, parameters)
        return found[0][0] if found else None

    def run_many(self, sql: str, parameters: Iterable[tuple[Any, ...]]) -> None:
        """Run one statement for each tuple of parameters."""
        self._guarded(lambda: self._raw.executemany(sql, parameters))

    def copy_into(self, other: Connection) -> None:
        """Copy the whole file, in one step, so that the copy is one state of it."""
        other._guarded(lambda: self._raw.backup(other._raw))

    def insist(self, pragma: str, setting: str | int, expected: str | int) -> None:
        """Set a PRAGMA and make sure that it took: SQLite ignores what it does not know.

        Raises:
            StorageError: it reads back otherwise.
        """
        self.rows(f"PRAGMA {pragma}={setting}")
        found = self.value(f"PRAGMA {pragma}")
        if found != expected:
            raise StorageError(
                f"SQLite {sqlite3.sqlite_version} did not accept {pragma}={setting} for {self.path} (it says {found}): "
                "use a newer SQLite or another disk."
            )

    def make_durable(self) -> None:
        """Settings under which a record that COMMIT acknowledged survives a power cut, and under which keys hold."""
        self.insist("journal_mode", "TRUNCATE", "truncate")
        self.insist("synchronous", "FULL", SYNCHRONOUS_FULL)
        self.insist("foreign_keys", "ON", 1)
        self.insist("busy_timeout", BUSY_TIMEOUT_MS, BUSY_TIMEOUT_MS)

    @contextmanager
    def waiting(self, milliseconds: int) -> Iterator[None]:
        """Wait no longer than this for another program's lock, while the `with` lasts."""
        self.rows(f"PRAGMA busy_timeout={milliseconds}")
        try:
            yield
        finally:
            self.rows(f"PRAGMA busy_timeout={self.busy_timeout}")

    def roll_back(self) -> None:
        """Undo the open transaction; SQLite itself has done so already after some faults.

        A connection that cannot roll back is closed: the journal then does it at the next opening.
        """
        if not self.in_transaction:
            return
        try:
            self._raw.execute("ROLLBACK")
        except sqlite3.Error:
            self.close()

    def close(self) -> None:
        """Close the file; an open transaction is lost."""
        self.closed = True
        self._raw.close()

    def _guarded(self, work: Callable[[], _T]) -> _T:
        try:
            return work()
        except sqlite3.Error as error:
            raise fault(error, self.path) from error
        except UnicodeDecodeError as error:  # damage in a text, or in the name of a table that an error names
            raise Corrupt(f"{self.path} is damaged (a text in it cannot be read): {RESTORE}.") from error
        except (UnicodeEncodeError, OverflowError) as error:
            raise Rejected(f"Not recorded: a value cannot be stored ({error}).") from error


def fault(error: sqlite3.Error, path: Path) -> StorageError:  # noqa: C901 (a table of SQLite's codes)
    """SQLite's error as the program's own, in one sentence.

    A full disk comes as SQLITE_FULL, a file-size limit as SQLITE_IOERR_WRITE: one and the same to a person.
    """
    code: int = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR)
    if code == sqlite3.SQLITE_READONLY_ROLLBACK:
        return Interrupted(f"A save in {path} was cut off: open it once for writing, so that it is rolled back.")
    if code in (sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR_WRITE):
        return DiskFull(f"Nothing was recorded in {path}: the disk is full or fails; free some space, then retry.")
    match code & 0xFF:
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            return Busy(f"Another program keeps {path} locked: nothing was recorded; try again in a moment.")
        case sqlite3.SQLITE_NOTADB:
            return NotACellar(f"{path} is not a cellar file: check the path.")
        case sqlite3.SQLITE_CORRUPT:
            return Corrupt(f"{path} is damaged ({error}): {RESTORE}.")
        case sqlite3.SQLITE_READONLY | sqlite3.SQLITE_PERM | sqlite3.SQLITE_AUTH:
            return ReadOnly(f"{path} cannot be written: check who owns it and its folder, or open it read-only.")
        case sqlite3.SQLITE_CANTOPEN:
            return Unreadable(f"{path} cannot be opened: check the path and who may read it.")
        case sqlite3.SQLITE_IOERR:
            return DiskFailed(f"The disk under {path} reported a fault ({error}): check the disk, then retry.")
        case sqlite3.SQLITE_CONSTRAINT:
            return Rejected(f"Not recorded: the ledger does not take it ({error}).")
        case sqlite3.SQLITE_TOOBIG:
            return Rejected(f"Not recorded: a text is longer than {LONGEST_VALUE} bytes; shorten it.")
    if "decode" in str(error):  # a text that is no UTF-8: Python's own error, without a code of SQLite's
        return Corrupt(f"{path} is damaged (a text in it cannot be read): {RESTORE}.")
    return StorageError(f"{path} cannot be used ({error}): run `cellar-tui check`.")
