"""Two hundred drawn lives of 500 days, every law held each day: `python -m tests.bench.lives [LIVES]`."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable, Iterator

from tests.lives.laws import LAWS, Told, lived

LIVES, DAYS = 200, 500
HEAD = f"{'style':24}{'lives':>7}{'entries':>9}{'wines':>7}{'bottled':>9}{'attentive':>11}{'faults':>8}"


def table(told: Iterable[Told]) -> Iterator[str]:
    """Yield a line for each style, then one for each law; `attentive` is the share of its wines in bottles."""
    everything = list(told)
    yield HEAD
    for style in dict.fromkeys(one.style for one in everything):
        mine = [one for one in everything if one.style == style]
        wines = sum(one.bottled + one.left for one in mine)
        careful = [one for one in mine if one.attentive]
        share = sum(one.bottled for one in careful) / max(1, sum(one.bottled + one.left for one in careful))
        bottled, faults = sum(one.bottled for one in mine), sum(len(one.faults) for one in mine)
        entries = sum(one.entries for one in mine) // len(mine)
        yield f"{style:24}{len(mine):7}{entries:9}{wines:7}{bottled:9}{share:11.0%}{faults:8}"
    broken = Counter(fault.law for one in everything for fault in one.faults)
    yield ""
    yield from (f"{law:40}{broken[law]:6} times broken" for law in LAWS)
    for one in everything:
        yield from (f"life {one.number} ({one.style}): {fault}" for fault in one.faults)


def main(lives: int) -> None:
    """Live them all and print what came of it."""
    print(*table(lived(number, DAYS) for number in range(lives)), sep="\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else LIVES)
