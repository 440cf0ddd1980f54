"""What is measured from outside, as a person at a terminal has it: starts, keys, bytes, memory."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.bench.yard import Yard
from tests.terminal.desk import Desk

SQLITE = ("-c", "import sqlite3")
BARE = ("-m", "tests.bench.bare")
DOWN = "\x1b[B"
TICKS = os.sysconf("SC_CLK_TCK")


def _due(*options: str) -> Callable[[Yard], list[float]]:
    def measure(yard: Yard) -> list[float]:
        path = str(yard.cellar(20, 20 * 50))
        return yard.paired(
            lambda: yard.run("-m", "cellar_tui", "due", *options, "--db", path), lambda: yard.run(*SQLITE)
        )

    return measure


due, due_short = _due(), _due("--short")


def _words(path: Path) -> tuple[str, ...]:
    return ("-m", "cellar_tui", "--db", str(path), "--by", "Ada")


@contextmanager
def _started(yard: Yard, words: tuple[str, ...], seen: str) -> Iterator[tuple[Desk, float]]:
    """Start a program in a terminal and yield it with the time until a text was on its screen [s]."""
    begin = time.perf_counter()
    with Desk(*words, **yard.environment()) as desk:
        desk.until(seen)
        yield desk, time.perf_counter() - begin


def _first(yard: Yard, words: tuple[str, ...], seen: str) -> float:
    with _started(yard, words, seen) as (_, seconds):
        return seconds


def first_row(yard: Yard) -> list[float]:
    """Return the time until the first useful row, beside the bare app's."""
    words = _words(yard.cellar(20, 20 * 50))
    return yard.paired(lambda: _first(yard, words, "Vessel [0-9]"), lambda: _first(yard, BARE, "Demijohn 0"))


def first_row_of_the_largest(yard: Yard) -> list[float]:
    """Return the time until the first row of the largest cellar, beside twenty vessels."""
    large, small = _words(yard.cellar(*yard.large())), _words(yard.cellar(20, 20 * 50))
    return yard.paired(lambda: _first(yard, large, "Vessel [0-9]"), lambda: _first(yard, small, "Vessel [0-9]"))


def _spent(pid: int) -> float:
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / TICKS


def _answered(yard: Yard, words: tuple[str, ...], seen: str) -> float:
    with _started(yard, words, seen) as (desk, _):
        before = len(desk.raw)
        desk.type(DOWN)
        while len(desk.raw) == before:
            desk.read(0.05)
        return _spent(desk.process.pid)


def key_answered(yard: Yard) -> list[float]:
    """Return the processor's time until a key typed at the first row is answered, beside the bare app's."""
    words = _words(yard.cellar(20, 20 * 50))
    return yard.paired(lambda: _answered(yard, words, "Vessel [0-9]"), lambda: _answered(yard, BARE, "Demijohn 0"))


def _held(yard: Yard, words: tuple[str, ...], seen: str, wait: float) -> float:
    with _started(yard, words, seen) as (desk, _):
        end = time.perf_counter() + wait
        while time.perf_counter() < end:
            desk.read(0.05)
        told = Path(f"/proc/{desk.process.pid}/status").read_text()
    return float(told.split("VmRSS:")[1].split()[0])


def _memory(wait: float) -> Callable[[Yard], list[float]]:
    def measure(yard: Yard) -> list[float]:
        words = _words(yard.cellar(20, 20 * 50))
        return yard.paired(
            lambda: _held(yard, words, "Vessel [0-9]", wait), lambda: _held(yard, BARE, "Demijohn 0", wait)
        )

    return measure


memory_first, memory_later = _memory(0.0), _memory(2.0)


def _printed(yard: Yard, size: tuple[int, int], before: str, keys: str) -> list[float]:
    """Return the bytes that keys cost, typed after others, each round at another row."""
    found = []
    with _started(yard, _words(yard.cellar(20, 20 * 50)), "Vessel [0-9]") as (desk, _):
        desk.resize(*size)
        desk.settle()
        for _ in range(yard.rounds):
            if before:
                desk.type(before)
                desk.settle()
            known = len(desk.raw)
            desk.type(keys)
            desk.settle()
            found.append(float(len(desk.raw) - known))
            if before or keys != DOWN:
                desk.type("\x1b")
                desk.settle()
    return found


def move_small(yard: Yard) -> list[float]:
    """Return the bytes of a cursor move at 80x24."""
    return _printed(yard, (80, 24), "", DOWN)


def move_large(yard: Yard) -> list[float]:
    """Return the bytes of a cursor move at 140x45."""
    return _printed(yard, (140, 45), "", DOWN)


def form_opened(yard: Yard) -> list[float]:
    """Return the bytes of opening a form at 80x24."""
    return _printed(yard, (80, 24), "", "m")


def letter_typed(yard: Yard) -> list[float]:
    """Return the bytes of a letter in a form with its preview at 80x24."""
    return _printed(yard, (80, 24), "m", "3")
