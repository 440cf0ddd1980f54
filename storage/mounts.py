"""What the system says of a file: who holds its lock, who may write it, on what kind of disk it lies."""

from __future__ import annotations

import os
import pwd
import stat
from pathlib import Path

NETWORK = frozenset(("nfs", "nfs4", "cifs", "smb3", "smbfs", "9p", "afs", "ncpfs", "fuse.sshfs", "davfs", "ceph"))
"""Kinds of file system whose locks SQLite cannot rely on (its page "Over a network", and `man 5 proc`, mountinfo)."""


def holder(path: Path) -> str:
    """The account and process that hold the file's lock, as words; '' where the system does not say."""
    try:
        found = path.stat()
        wanted = f"{os.major(found.st_dev):02x}:{os.minor(found.st_dev):02x}:{found.st_ino}"
        for line in Path("/proc/locks").read_text().splitlines():
            words = line.split()
            if wanted in words and "WRITE" in words and "->" not in words and int(words[4]) != os.getpid():
                return f"{_account(Path('/proc', words[4]).stat().st_uid)} (process {words[4]})"
    except (OSError, ValueError, IndexError):
        return ""
    return ""


def cautions(path: Path) -> list[str]:
    """What about the place of a cellar puts it at risk, a sentence each; empty where nothing does."""
    found = []
    kind = file_system(path)
    if kind in NETWORK:
        found.append(
            f"{path} lies on a network file system ({kind}), whose locks cannot be relied on: "
            "keep it on a disk of this machine, and reach it over SSH."
        )
    for place in (path, path.parent):
        try:
            mode = place.stat().st_mode
        except OSError:
            continue
        sticky = stat.S_ISDIR(mode) and mode & stat.S_ISVTX
        if mode & stat.S_IWOTH and not sticky:
            found.append(f"Everybody on this machine may write {place}: `chmod o-w {place}`.")
    return found


def file_system(path: Path) -> str:
    """The kind of file system under a path, '' where the system does not say."""
    try:
        device = path.stat().st_dev
        lines = Path("/proc/self/mountinfo").read_text().splitlines()
    except OSError:
        return ""
    wanted = f"{os.major(device)}:{os.minor(device)}"
    kinds = [line.partition(" - ")[2].split(" ")[0] for line in lines if line.split(" ")[2] == wanted]
    return kinds[0] if kinds else ""


def _account(number: int) -> str:
    try:
        return pwd.getpwuid(number).pw_name
    except KeyError:
        return f"account {number}"
