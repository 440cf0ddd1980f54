"""What every measurement needs: cellars of many sizes, made once a run, and the processor's time."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tests.bench import cellar

ROOT = Path(__file__).parents[2]


@dataclass
class Yard:
    """Where a run measures.

    Attributes:
        folder: where its cellars lie; one that is there already is used again.
        largest: entries of the largest cellar.
        rounds: how often each thing is measured.
    """

    folder: Path
    largest: int
    rounds: int

    @property
    def state(self) -> Path:
        """Where the programs that are started keep what they remember."""
        return self.folder / "state"

    def cellar(self, vessels: int, entries: int) -> Path:
        """Return a cellar of so many vessels and entries."""
        path = self.folder / f"{vessels}_vessels_{entries}_entries.db"
        if not path.exists():
            scratch = path.with_suffix(".part")
            cellar.build(scratch, vessels, entries).close()
            scratch.rename(path)
        return path

    def large(self) -> tuple[int, int]:
        """Return vessels and entries of the largest cellar: a hundred entries a vessel."""
        return max(20, self.largest // 100), self.largest

    def environment(self) -> dict[str, str]:
        """Return the environment of a program that is started: no home of a person is touched."""
        plain = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
        home = str(self.state)
        cache = {"PYTHONPYCACHEPREFIX": str(self.folder / "compiled")}
        return {**plain, **cache, "HOME": home, "XDG_STATE_HOME": home, "XDG_DATA_HOME": home, "PYTHONPATH": str(ROOT)}

    def run(self, *words: str) -> float:
        """Run a program of Python and return the processor's time that it took [s]."""
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, *words], capture_output=True, check=True, env=self.environment())
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime

    def paired(self, measured: Callable[[], float], yardstick: Callable[[], float]) -> list[float]:
        """Return the ratio of each round: both are measured one after the other, so that the machine is the same."""
        return [measured() / yardstick() for _ in range(self.rounds)]


def spent(work: Callable[[], object]) -> float:
    """Return the processor's time of this process that some work takes [s]."""
    begin = time.process_time()
    work()
    return time.process_time() - begin
