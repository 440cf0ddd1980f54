"""The program killed in the middle of saves, and many of them saving at once."""

from __future__ import annotations

import os
import random
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

from storage.check import verify
from storage.errors import StorageError
from storage.store import Store
from tests.reliability import cellar

ROOT = Path(__file__).parents[2]
PROGRAM = "tests.reliability.cellar"
ROUND = 25
"""Kills in one cellar before a new one is taken: a save grows with its wine's entries."""


def killed(folder: Path, times: int, seed: int = 1) -> tuple[int, int, int]:
    """Kill a program that records, at a random moment of its saves.

    Returns:
        How many entries were acknowledged, how many of those were lost, how many cellars were not sound.
    """
    base, chance = cellar.make(folder / "base.db"), random.Random(seed)
    acknowledged = lost = bad = 0
    for begin in range(0, times, ROUND):
        path = folder / f"{begin}.db"
        shutil.copy(base, path)
        said: list[int] = []
        for turn in range(begin, min(begin + ROUND, times)):
            said += _one(path, turn * 1000 + 1, chance.uniform(0, 0.15))
            missing = cellar.wrong(path, said) if (turn + 1) % ROUND == 0 or turn + 1 == times else _missing(path, said)
            lost += missing is not None and missing.startswith("lost")
            bad += missing is not None and not missing.startswith("lost")
        acknowledged += len(said)
    return acknowledged, lost, bad


def _missing(path: Path, said: list[int]) -> str | None:
    try:
        with Store.open(path) as store:
            gone = [number for number in said if store.by_key(cellar.key(number)) is None]
            return f"lost {gone}" if gone else "a seal differs" if store.sealed_otherwise() else None
    except StorageError as error:
        return str(error)


def _one(path: Path, first: int, after: float) -> list[int]:
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.dup2(writing, 1)
        sys.stdout = os.fdopen(1, "w", buffering=1)
        try:
            cellar.record(path, first, 900)
        finally:
            os._exit(1)
    os.close(writing)
    with os.fdopen(reading) as acks:
        lines = [acks.readline()]
        time.sleep(after)
        os.kill(child, signal.SIGKILL)
        lines += acks.readlines()
    os.waitpid(child, 0)
    return [int(line.split()[1]) for line in lines if line.startswith("ACK") and line.endswith("\n")]


def rebuilds_killed(folder: Path, times: int, seed: int = 1) -> int:
    """Kill a program that works out the board again and again; count boards that are neither the old nor the new."""
    path, chance, mixed = cellar.make(folder / "rebuilt.db"), random.Random(seed), 0
    for _ in range(times):
        child = os.fork()
        if child == 0:
            try:
                cellar.rebuild_for_ever(path)
            finally:
                os._exit(1)
        time.sleep(chance.uniform(0.02, 0.15))
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        mixed += cellar.wrong(path, []) is not None
    return mixed


def storing(folder: Path, programs: int, each: int) -> tuple[int, str | None]:
    """Let programs write entries and lines of the board at once, without the winemaking in between.

    Returns:
        How many entries are there that were not before, and what is wrong.
    """
    path = cellar.make(folder / "stored.db")
    before = cellar.count(path)
    running = [
        subprocess.Popen(
            [sys.executable, "-m", "tests.reliability.cellar", str(path), str(n), str(each), "rows"], cwd=ROOT
        )
        for n in range(1, programs + 1)
    ]
    for one in running:
        one.wait()
    with Store.open(path) as store:
        found = verify(store, "full") or [f"vessel {one} is sealed otherwise" for one in store.sealed_otherwise()]
    return cellar.count(path) - before, found[0] if found else None


def writers(folder: Path, programs: int, each: int) -> tuple[int, int, str | None]:
    """Let programs record at once.

    Returns:
        How many entries were acknowledged, how many were refused, and what is wrong afterwards.
    """
    path = cellar.make(folder / f"{programs}x{each}.db")
    running = [
        subprocess.Popen(
            [sys.executable, "-m", PROGRAM, str(path), str((n + 1) * 100_000), str(each)],
            cwd=ROOT,
            stdout=subprocess.PIPE,
            text=True,
        )
        for n in range(programs)
    ]
    lines = [line for one in running for line in one.communicate()[0].splitlines()]
    acked = [int(line.split()[1]) for line in lines if line.startswith("ACK")]
    told = cellar.wrong(path, acked)
    if told is None and len(set(acked)) != len(acked):
        told = "an entry twice"
    return len(acked), sum(line.startswith("ERR") for line in lines), told
