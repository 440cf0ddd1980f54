"""What can go wrong with a cellar file. The text of each error is one sentence that says what to do."""

from __future__ import annotations

RESTORE = "put the newest backup in its place with `cellar-tui restore BACKUP`"
"""What to do where the ledger itself is damaged."""


class StorageError(Exception):
    """Anything the store refuses or fails to do."""


class Missing(StorageError):
    """There is no file at that path."""


class Unreadable(StorageError):
    """The file or its folder may not be read by this user, or the path cannot be followed."""


class BadName(StorageError):
    """The name that was given for a file to be made cannot be used."""


class AlreadyThere(StorageError):
    """A file stands where a new one was to be made."""


class NotACellar(StorageError):
    """The file is something else: a folder, an empty file, another program's database, a strange schema."""


class Corrupt(StorageError):
    """The database is damaged."""


class TooNew(StorageError):
    """A newer version of the program has changed the file's schema."""


class ReadOnly(StorageError):
    """The file, its folder or this store cannot be written."""


class Interrupted(StorageError):
    """A save was cut off and must be rolled back first, which a read-only opening may not do."""


class Busy(StorageError):
    """Another program kept the cellar locked for longer than the waiting time."""


class DiskFull(StorageError):
    """The disk or a size limit is full; nothing was recorded."""


class DiskFailed(StorageError):
    """The disk reported a fault; nothing was recorded."""


class Unsure(StorageError):
    """The disk failed while saving and the file cannot be read again to see whether the save took place."""


class Rejected(StorageError):
    """A value does not fit its column: wrong type, not finite, or outside its physical range."""


class HeadMoved(StorageError):
    """Another entry stands now as the last one of a vessel.

    Attributes:
        vessel: the vessel's id.
        entry: seq of the entry that is its last one now, 0 for none.
    """

    def __init__(self, vessel: int, entry: int) -> None:
        super().__init__(f"Entry {entry} was recorded on this vessel in the meantime: look at it, then record again.")
        self.vessel = vessel
        self.entry = entry


class AlreadyCorrected(StorageError):
    """The entry to be corrected or withdrawn has been already.

    Attributes:
        corrected: seq of the entry that was to be corrected.
        entry: seq of the entry that corrects or withdraws it.
    """

    def __init__(self, corrected: int, entry: int) -> None:
        super().__init__(f"Entry {corrected} was already corrected or withdrawn by entry {entry}: change that one.")
        self.corrected = corrected
        self.entry = entry
