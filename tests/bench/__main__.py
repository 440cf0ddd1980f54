"""The budgets: `python -m tests.bench` prints what each costs beside a yardstick; `--check` fails at a missed gate.

Cellars are made once, in the folder that is given, else in a temporary one; `--largest 20000` keeps a run short. The
figures are ratios of one run on one machine, so that they can be compared between machines.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.bench import inside, outside
from tests.bench.yard import Yard


@dataclass(frozen=True, slots=True)
class Budget:
    """One row: what is measured against what, what is aimed at and what is the most, and how it is measured."""

    what: str
    against: str
    aim: float
    gate: float
    measure: Callable[[Yard], list[float]]


BUDGETS = (
    Budget("first useful row", "bare app, 20 rows", 0.2, 0.5, outside.first_row),
    Budget("CPU until a key is answered", "bare app, 20 rows", 1.25, 1.4, outside.key_answered),
    Budget("memory at first paint", "bare app, 20 rows", 1.15, 1.25, outside.memory_first),
    Budget("memory 2 s later", "bare app, 20 rows", 1.2, 1.25, outside.memory_later),
    Budget("first row of the largest", "20 vessels", 1.05, 1.2, outside.first_row_of_the_largest),
    Budget("cursor move at 80x24", "bytes", 1000, 1250, outside.move_small),
    Budget("cursor move at 140x45", "bytes", 1000, 1250, outside.move_large),
    Budget("opening a form", "bytes", 9000, 12000, outside.form_opened),
    Budget("letter with its preview", "bytes", 1200, 1500, outside.letter_typed),
    Budget("save at 800 entries", "at 50", 3, 5, inside.save_at_800),
    Budget("save at 200 entries", "at 50", 1.5, 2.5, inside.save_at_200),
    Budget("save in the largest", "20 vessels", 1.05, 1.2, inside.save_in_the_largest),
    Budget("lock held", "% of the save", 10, 25, inside.lock_held),
    Budget("due", "import sqlite3", 3, 4, outside.due),
    Budget("due --short", "import sqlite3", 2, 3, outside.due_short),
    Budget("check", "scan of the rows", 30, 60, inside.check_all),
    Budget("material", "scan of the rows", 1.5, 3, inside.supplies),
    Budget("rebuild", "scan of the rows", 20, 40, inside.rebuild),
    Budget("file and chain verified", "scan of the rows", 3.5, 5, inside.chain),
)


def told(one: Budget, found: Sequence[float]) -> tuple[str, bool]:
    """Return a budget's line, and whether its gate is met by the median."""
    middle = statistics.median(found)
    met = middle <= one.gate
    word = "aim met" if middle <= one.aim else "met" if met else "MISSED"
    spread = f"{min(found):.4g} to {max(found):.4g}"
    line = f"{one.what:28} {one.against:18} {middle:9.4g}  {spread:22} {one.aim:>7g} ({one.gate:g})"
    return f"{line:95} {word}", met


def main(argv: Sequence[str]) -> int:
    """Measure, print the table, and return 1 where a gate is missed and `--check` was asked for."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench")
    parser.add_argument("--check", action="store_true", help="exit with 1 where a gate is missed")
    parser.add_argument("--largest", type=int, default=1_000_000, help="entries of the largest cellar")
    parser.add_argument("--rounds", type=int, default=5, help="how often each is measured")
    parser.add_argument("--folder", type=Path, help="where the cellars are made, and found again")
    parser.add_argument("only", nargs="*", help="words of the rows to be measured; all where none is given")
    arg = parser.parse_args(argv)
    wanted = [one for one in BUDGETS if not arg.only or any(word in one.what for word in arg.only)]
    with tempfile.TemporaryDirectory() as scratch:
        yard = Yard(arg.folder or Path(scratch), arg.largest, arg.rounds)
        yard.state.mkdir(parents=True, exist_ok=True)
        print(f"{'what':28} {'against':18} {'median':>9}  {'least to most':22} {'aim':>7} (gate)")
        met = [_shown(one, yard) for one in wanted]
    return 1 if arg.check and not all(met) else 0


def _shown(one: Budget, yard: Yard) -> bool:
    line, met = told(one, one.measure(yard))
    print(line, flush=True)
    return met


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
