"""Drawn sequences of keys at a real terminal, in pieces and one at a time: `python -m tests.bench.typing`."""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from tests.terminal import two_desks

AT_ONCE = 25
"""Sequences for one pair of programs: a new pair begins with a new cellar."""


def main(count: int = 2000, first: int = 100) -> None:
    """Try `count` sequences from the seed `first` on, and print how many gave another outcome."""
    begin, wrong = time.perf_counter(), 0
    for number in range(0, count, AT_ONCE):
        seed = first + number // AT_ONCE
        with tempfile.TemporaryDirectory() as folder:
            try:
                two_desks.try_drawn(Path(folder), seed, min(AT_ONCE, count - number))
            except AssertionError as error:
                wrong += 1
                print(f"seed {seed}: {error}", flush=True)
        print(f"{min(number + AT_ONCE, count)} of {count}, {time.perf_counter() - begin:.0f} s", flush=True)
    print(f"{wrong} of {-(-count // AT_ONCE)} runs met a difference")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
