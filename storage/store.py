"""The store: one cellar file, opened by one program."""

from __future__ import annotations

import os
import random
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType

from storage.connection import Connection
from storage.errors import Busy, ReadOnly, StorageError, Unsure
from storage.mounts import holder
from storage.opening import create_new, open_existing, sync_journal
from storage.reads import Reads
from storage.schema import recognise
from storage.tx import Tx

PATIENCE_MS = 1_000
"""How long a save waits for another one before it says for whom it waits."""

LOOK_AGAIN = (0.0005, 0.004)
"""Seconds between two looks for the lock: shorter than the gap that a program leaves which saves in a row."""

IN_A_ROW, COURTESY = 0.05, 0.005
"""A save within so many seconds of the last one leaves that many seconds to whoever waits."""


class Store(Reads):
    """An open cellar file. Bound to the thread that opened it.

    Attributes:
        path: the file, absolute.
        read_only: whether it was opened for reading alone.
        on_wait: is handed who holds the lock, where a save has to wait; '' where that is not known.
    """

    def __init__(self, connection: Connection, *, read_only: bool) -> None:
        """Use Store.open or Store.create."""
        self.path = connection.path
        self.read_only = read_only
        self.on_wait: Callable[[str], None] = lambda who: None
        self._connection: Connection | None = connection
        self._closed = False
        self._released = 0.0
        self._inode = self._inode_now()
        self._schema_seen = self._schema_counter()

    @classmethod
    def open(cls, path: str | os.PathLike[str], *, read_only: bool = False) -> Store:
        """Open a cellar file that is there; what is refused is left byte for byte as it was.

        Raises:
            Missing, NotACellar, Corrupt, TooNew, ReadOnly, Interrupted, Busy.
        """
        return cls(open_existing(Path(path).absolute(), read_only=read_only), read_only=read_only)

    @classmethod
    def create(cls, path: str | os.PathLike[str], begin: Callable[[Tx], None] | None = None) -> Store:
        """Make a new cellar file and open it; what `begin` puts into it is there with the file, or neither is.

        Raises:
            BadName, AlreadyThere, ReadOnly, DiskFull, DiskFailed.
        """

        def first_save(connection: Connection) -> None:
            if begin is not None:
                with cls(connection, read_only=False).write() as tx:
                    begin(tx)

        return cls(create_new(Path(path).absolute(), first_save), read_only=False)

    def in_memory(self) -> Store:
        """A copy of the whole cellar in memory, which can be changed without touching the file."""
        return Store(Connection.in_memory(self._db), read_only=False)

    def close(self) -> None:
        """Close the file. Doing so twice is harmless."""
        self._closed = True
        self._drop_connection()

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def _db(self) -> Connection:
        if self._closed:
            raise StorageError(f"{self.path} was closed: open it again.")
        if self._connection is None or self._connection.closed:
            self._connection = open_existing(self.path, read_only=self.read_only)
            self._inode = self._inode_now()
            self._schema_seen = self._schema_counter()
        return self._connection

    def data_version(self) -> tuple[int, int]:
        """What changes when another program has saved something or put another file here; it says nothing else."""
        self._follow()
        version = int(self._db.value("PRAGMA data_version"))
        return self._inode, version

    def _follow(self) -> None:
        """Open the file again where another one was put in its place, as a restore does.

        What is saved into a file that has lost its name would be lost with it.
        """
        db = self._connection
        if db is not None and db.on_disk and self._inode_now() != self._inode:
            self._drop_connection()

    def _inode_now(self) -> int:
        try:
            return self.path.stat().st_ino
        except OSError:
            return 0

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """Several reads of one and the same state. Keep it short: another program's save waits for its end."""
        db = self._db
        db.rows("BEGIN")
        try:
            yield
        finally:
            db.roll_back()

    @contextmanager
    def write(self) -> Iterator[Tx]:
        """One save: the lock is taken first, all is kept at the end, nothing when anything raises.

        Raises:
            ReadOnly, Busy, DiskFull, DiskFailed, TooNew, NotACellar, Missing: nothing was recorded.
            Unsure: it is not known; ask for the keys later.
        """
        if self.read_only:
            raise ReadOnly(f"{self.path} was opened read-only: open it for writing to record.")
        self._follow()
        db = self._db
        self._take_lock(db)
        if db.on_disk and self._inode_now() != self._inode:
            # Another file was put here while this save waited.
            self._drop_connection()
            db = self._db
            self._take_lock(db)
        tx = Tx(db)
        try:
            self._notice_new_schema(db)
            yield tx
            tx.seal()
        except BaseException:
            db.roll_back()
            raise
        try:
            db.rows("COMMIT")
        except StorageError as error:
            self._settle(tx.keys, error)
        self._released = time.monotonic()

    def _take_lock(self, db: Connection) -> None:
        """Begin a save; where another one is going on, wait for its end and say so once.

        SQLite's own waiting sleeps longer and longer: a program that saves again and again would never let it in.
        """
        begun = time.monotonic()
        if begun - self._released < IN_A_ROW:
            time.sleep(COURTESY)
        told = False
        with db.waiting(0):
            while True:
                try:
                    db.rows("BEGIN IMMEDIATE")
                    return
                except Busy:
                    waited = (time.monotonic() - begun) * 1000
                    if waited >= db.busy_timeout:
                        raise
                    if not told and waited >= PATIENCE_MS:
                        self.on_wait(holder(self.path))
                        told = True
                    time.sleep(random.uniform(*LOOK_AGAIN))

    def copy_into(self, other: Connection) -> None:
        """Copy the whole file over the one of another connection, while others may be writing to this one."""
        self._db.copy_into(other)

    def _settle(self, keys: list[bytes], error: StorageError) -> None:
        """After a COMMIT that failed, see in the file itself whether it took place: it may have."""
        if self._connection is not None:
            self._connection.roll_back()
        self._drop_connection()
        try:
            recorded = bool(keys) and all(self.by_key(key) is not None for key in keys)
            if recorded:
                sync_journal(self.path)
        except (StorageError, OSError) as second:
            raise Unsure(
                f"The disk under {self.path} failed while saving: check the disk, then record again from the same "
                "form, which cannot make a second entry."
            ) from second
        if not recorded:
            raise error

    def _drop_connection(self) -> None:
        if self._connection is not None:
            self._connection.close()
            self._connection = None

    def _schema_counter(self) -> int:
        return int(self._db.value("PRAGMA schema_version"))

    def _notice_new_schema(self, db: Connection) -> None:
        """Another program may have changed the tables since this one opened the file."""
        if self._schema_counter() != self._schema_seen:
            recognise(db)
            self._schema_seen = self._schema_counter()
