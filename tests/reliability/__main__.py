"""`python -m tests.reliability`: the accidents, measured; `--full` as many as the README's table states.

`--drill` damages copies of a cellar and shows what is found, what is mended from the ledger and what needs a backup.
"""

from __future__ import annotations

import argparse
import os
import shutil
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from tests.reliability import drill, faults, fuzz, kills, power, table

Measured = tuple[str, str, bool]
"""What was tried, what came of it, and whether it holds."""


def _killed(folder: Path, share: float) -> Measured:
    times = round(500 * share)
    acked, lost, bad = kills.killed(folder, times)
    return f"{times} kills in saves", f"{acked} acknowledged, {lost} lost, {bad} bad", not lost and not bad


def _rebuilt(folder: Path, share: float) -> Measured:
    times = round(100 * share)
    mixed = kills.rebuilds_killed(folder, times)
    return f"{times} kills in rebuilds", f"{mixed} boards neither old nor new", not mixed


def _pulled(folder: Path, share: float) -> Measured:
    tried, acked, bad = power.pulled(folder, round(2000 * share))
    return f"{tried} disks after a power cut", f"{acked} acknowledged, {len(bad)} bad {bad[:2] or ''}", not bad


def _failed(folder: Path, share: float) -> Measured:
    tried, bad = faults.failed(folder, max(2, round(faults.MOST * share)))
    return f"{tried} disk calls made to fail", f"{len(bad)} untrue or bad {bad[:2] or ''}", tried > 0 and not bad


def _saving(folder: Path, share: float) -> Measured:
    acked, refused, wrong = kills.writers(folder, 20, 3)
    return (
        "20 programs save 3 entries each",
        f"{acked} kept, {refused} refused, {wrong or 'sound'}",
        acked == 60 and not wrong,
    )


def _storing(folder: Path, share: float) -> Measured:
    each = round(2500 * share)
    kept, wrong = kills.storing(folder, 4, each)
    return f"4 programs store {each} entries each", f"{kept} kept, {wrong or 'sound'}", kept == 4 * each and not wrong


def _damaged(folder: Path, share: float) -> Measured:
    times = round(1000 * share)
    found = drill.drilled(folder, times)
    bad = sum(count for what, count in found.items() if what.startswith(("traceback", "silently", "not ")))
    return f"{times} damages", ", ".join(f"{count} {what}" for what, count in found.most_common()), not bad


def _typed(folder: Path, share: float) -> Measured:
    found = fuzz.fuzzed(folder, round(100_000 * share))
    bad = [what for what in found if ":" in what][:2]
    told = f"{found['failed']} failed, {found['slow']} over {fuzz.LONGEST:g} s {bad or ''}"
    return f"{found['inputs']} inputs typed", told, not found["failed"] and not found["slow"]


ACCIDENTS: tuple[Callable[[Path, float], Measured], ...] = (
    *(_killed, _rebuilt, _saving, _storing, _pulled, _failed, _damaged, _typed),
)


def main() -> int:
    """Run what is asked for and print it; return 1 where anything does not hold."""
    asked = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    asked.add_argument("--full", action="store_true", help="as many accidents as the README states")
    asked.add_argument("--drill", action="store_true", help="only the damages, 1,000 of them")
    asked.add_argument("--no-tests", action="store_true", help="only the accidents")
    found = asked.parse_args()
    share = 1.0 if found.full or found.drill else 0.05
    accidents = (_damaged,) if found.drill else ACCIDENTS
    well = [_run(one, share) for one in accidents]
    if not (found.drill or found.no_tests):
        for row, passed, count in table.held():
            ok = passed == count > 0
            print(f"{row.name:<4} {'ok ' if ok else 'NOT'} {passed:>4} of {count:<4} {row.promise}", flush=True)
            well.append(ok)
    return 0 if all(well) else 1


def _run(accident: Callable[[Path, float], Measured], share: float) -> bool:
    if accident in (_pulled, _failed) and shutil.which("strace") is None:
        print(f"not run, strace is needed: {accident.__name__}")
        return False
    with tempfile.TemporaryDirectory(prefix="reliability-") as name:
        os.environ["XDG_STATE_HOME"] = f"{name}/state"
        (folder := Path(name) / "cellars").mkdir()
        begun = time.monotonic()
        what, came, ok = accident(folder, share)
    print(f"{'ok ' if ok else 'NOT'} {what}: {came.strip()} ({time.monotonic() - begun:.0f} s)", flush=True)
    return ok


if __name__ == "__main__":
    sys.exit(main())
