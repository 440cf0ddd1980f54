"""Each call of a save to the disk made to fail once: the entry is whole or absent, and what is said is true."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from cellar_tui.cli.write import key_of
from storage.store import Store
from tests.reliability import cellar
from tests.reliability.kills import ROOT

FAULTS = (
    ("pwrite64", "ENOSPC"),
    ("pwrite64", "EIO"),
    ("write", "ENOSPC"),
    ("fdatasync", "EIO"),
    ("fsync", "EIO"),
    ("ftruncate", "EIO"),
    ("pread64", "EIO"),
    ("openat", "EIO"),
)
MOST = 200
ABSENT = ("nothing was recorded", "was not recorded")


def failed(folder: Path, most: int = MOST) -> tuple[int, list[str]]:
    """Make each call fail in turn.

    Returns:
        How many calls were made to fail, and what was wrong, a sentence each.
    """
    base = cellar.make(folder / "base.db")
    tried, bad = 0, []
    for call, error in FAULTS:
        for number in range(1, most + 1):
            told = _one(folder, base, call, error, number)
            if told is None:
                break
            tried += 1
            bad += [f"{call} {error} number {number}: {told}"] if told else []
    return tried, bad


def _one(folder: Path, base: Path, call: str, error: str, number: int) -> str | None:
    """None where there is no such call any more, "" where all is well."""
    box, log = folder / "box", folder / "log"
    shutil.rmtree(box, ignore_errors=True)
    box.mkdir()
    path = box / "cellar.db"
    shutil.copy(base, path)
    watched = [word for file in (path, f"{path}-journal", box) for word in ("-P", str(file))]
    inject = ["strace", "-f", "-o", str(log), "-e", f"trace={call}", *watched]
    inject += ["-e", f"inject={call}:error={error}:when={number}"]
    words = [sys.executable, "-m", "cellar_tui", "--db", str(path), "record", "B1", "gas", "--key", "k"]
    own = os.environ | {"XDG_STATE_HOME": str(box / "state")}
    done = subprocess.run(
        [*inject, *words], cwd=ROOT, capture_output=True, text=True, timeout=120, check=False, env=own
    )
    if "INJECTED" not in log.read_text(errors="replace"):
        return None
    return _judged(path, done)


def _judged(path: Path, done: subprocess.CompletedProcess[str]) -> str:
    if "Traceback" in done.stderr or done.returncode < 0:
        return done.stderr.strip().splitlines()[-1] if done.stderr else f"ended by {done.returncode}"
    told = cellar.wrong(path, [])
    if told is not None:
        return told
    with Store.open(path) as store:
        there = store.by_key(key_of("k") or b"") is not None
    if (done.returncode == 0) != there and "cannot make a second entry" not in done.stderr:
        return f"status {done.returncode}, but {'an' if there else 'no'} entry: {done.stderr.strip()}"
    if there and any(word in done.stderr.casefold() for word in ABSENT):
        return f"recorded, but it says: {done.stderr.strip()}"
    return ""
