"""`python -m tests.mutation [--only MODULE] [--sample N] [--seed N]`: draw mutants of the core, name the survivors.

MODULE is a package or module, such as `planning` or `planning.so2`. `--look` sees again which test reaches what, which
is kept between runs. Survivors that are known stand with the reason in `survivors.md`; at least nine in ten of all
others must die.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from tests.mutation import judge, reach
from tests.mutation.mutants import Mutant, mutants

CORE = reach.ROOT / "cellar_tui"
KNOWN = Path(__file__).with_name("survivors.md")
WANTED = 0.90
"""Share of the mutants not known to be harmless that die."""


def modules(only: str) -> Iterator[Path]:
    """Yield the files of a package or module of the core; of all of it where none is named."""
    for package in reach.PACKAGES:
        for path in sorted((CORE / package).rglob("*.py")):
            name = ".".join(path.relative_to(CORE).with_suffix("").parts)
            if not only or name == only or name.startswith(f"{only}."):
                yield path


def _name(mutant: Mutant) -> str:
    return f"`{mutant.path.relative_to(CORE)}`: `{mutant.change}`"


def _judged(drawn: list[Mutant], seen: reach.Reach) -> list[Mutant]:
    """Return the survivors, each named as it is found."""
    left = []
    for count, mutant in enumerate(drawn, 1):
        begun = time.monotonic()
        tests = judge.chosen(seen.tests(mutant.path, mutant.lines), seen.seconds)
        if not judge.dies(mutant, tests, seen.seconds):
            left.append(mutant)
            spent = time.monotonic() - begun
            print(f"{count}: line {mutant.line} of {_name(mutant)} ({len(tests)} tests, {spent:.0f} s)", flush=True)
    return left


def main() -> int:
    """Draw, judge, and say what share died."""
    asked = argparse.ArgumentParser(prog="python -m tests.mutation", description=__doc__)
    asked.add_argument("--only", default="", metavar="MODULE", help="a package or module of the core")
    asked.add_argument("--sample", type=int, default=0, metavar="N", help="so many mutants, drawn; else all")
    asked.add_argument("--seed", type=int, default=1, metavar="N", help="decides which are drawn")
    asked.add_argument("--look", action="store_true", help="see again which test reaches what, and end")
    asked.add_argument("--tests", nargs="+", default=reach.TESTS, metavar="FOLDER", help="what is looked at, of tests/")
    told = asked.parse_args()
    if told.look:
        return reach.look(told.tests)
    every = [one for path in modules(told.only) for one in mutants(path)]
    drawn = random.Random(told.seed).sample(every, min(told.sample or len(every), len(every)))
    known = KNOWN.read_text(encoding="utf-8")
    left = [one for one in _judged(drawn, reach.kept()) if _name(one) not in known]
    share = 1 - len(left) / len(drawn) if drawn else 1.0
    print(
        f"{len(drawn)} of {len(every)} mutants, {len(left)} survive without a reason: {share:.0%} die or are explained"
    )
    return int(share < WANTED)


if __name__ == "__main__":
    sys.exit(main())
