"""Whatever is typed: no traceback, nothing that takes longer than a second, nothing half kept."""

from __future__ import annotations

import random
import time
from collections import Counter
from collections.abc import Callable
from datetime import date
from pathlib import Path

from cellar_tui.cli.arguments import COMMANDS
from cellar_tui.language import days, quantities
from tests.reliability import cellar
from tests.reliability.drill import run

LONGEST = 1.0
UNITS = ("g", "mL", "L", "mg/L", "C", "% vol")
PIECES = (
    *("2", "2.5", "2,5", "1/2", "1 1/4", "1e400", "nan", "inf", "-0", "٣", "１２", "−2", "1_000", "1.234,5"),
    *(
        "g",
        "mg/L",
        "g/hL",
        "tsp",
        "F",
        "C",
        "%",
        "ppm",
        " ",
        "\t",
        "\n",
        "\x00",
        "\x1b[2J",
        "\u202e",
        "\udcff",
        "é",
        "🍷",
    ),
    *(
        "é",
        "🍷",
        "=",
        "--",
        "-",
        "B1",
        "B2",
        "wine:Hill",
        "today",
        "-3d",
        "2026-02-30",
        "T25:61",
        "9" * 20,
        "__import__(1)",
    ),
    *(
        "ph",
        "free_so2",
        "sg",
        "volume",
        "amount",
        "material",
        "sugar",
        "record",
        "reading",
        "addition",
        "racking",
        "due",
    ),
    *("--json", "--at", "--waive", "--key", "--preview", "--within", "x" * 300, "(" * 50, "[red]"),
    *("../../etc/passwd", "'; DROP TABLE entry"),
)
"""What nonsense is put together from; half a character stands as the system hands it over."""

FIELDS = [
    "ph",
    "sg",
    "free_so2",
    "volume",
    "amount",
    "material",
    "to",
    "with",
    "count",
    "size",
    "text",
    "test",
    "result",
]


def _text(chance: random.Random, most: int = 6) -> str:
    if chance.random() < 0.1:
        return "".join(chr(chance.randrange(0x2FFF)) for _ in range(chance.randrange(12)))
    return "".join(chance.choice(PIECES) for _ in range(chance.randint(1, most)))


def _word(chance: random.Random, most: int) -> str:
    """A word as the system can hand it over: no byte of it is zero."""
    return _text(chance, most).replace("\x00", "").encode("utf-8", "surrogateescape").decode("utf-8", "surrogateescape")


def _number(chance: random.Random, path: Path) -> None:
    try:
        quantities.parse(_text(chance), chance.choice(UNITS), field="amount")
    except quantities.QuantityError:
        return


def _day(chance: random.Random, path: Path) -> None:
    try:
        days.parse_when(_text(chance), date(2026, 11, 20))
    except days.WhenError:
        return


def _command(chance: random.Random, path: Path) -> None:
    words = chance.choice([one for one in COMMANDS if one.words not in ("", "demo")]).words.split()
    if words[0] in ("backup", "restore", "export", "paper", "import"):
        words += ["/nonexistent/" + _word(chance, 6)]
    words += [_word(chance, 3) for _ in range(chance.randrange(5))]
    said = run("--db", str(path), *words)
    if said.status == -1:
        raise AssertionError(said.err)
    assert said.status in (0, 1, 2, 3, 4)


def _entry(chance: random.Random, path: Path) -> None:
    kind = chance.choice(("reading", "addition", "racking", "topping", "blend", "bottle", "check", "intent", "note"))
    fields = [f"{chance.choice(FIELDS)}={_word(chance, 2)}" for _ in range(chance.randrange(4))]
    before = cellar.count(path)
    said = run("--db", str(path), "record", "B1", kind, *fields)
    if said.status == -1:
        raise AssertionError(said.err)
    assert (cellar.count(path) > before) == (said.status == 0), said


PARTS: tuple[tuple[str, float, Callable[[random.Random, Path], None]], ...] = (
    ("amounts", 0.75, _number),
    ("days", 0.15, _day),
    ("command lines", 0.06, _command),
    ("entries", 0.04, _entry),
)


def fuzzed(folder: Path, times: int, seed: int = 1) -> Counter[str]:
    """Type nonsense; count inputs, tracebacks and what took too long."""
    base, chance, found = cellar.make(folder / "base.db"), random.Random(seed), Counter[str]()
    for name, share, part in PARTS:
        path = folder / "cellar.db"
        for number in range(round(times * share)):
            if number % 200 == 0:  # a wine with thousands of entries would be measured, not the input
                for leftover in folder.glob("cellar.db*"):
                    leftover.unlink()
                path.write_bytes(base.read_bytes())
            begun = time.monotonic()
            try:
                part(chance, path)
            except Exception as error:  # noqa: BLE001 - counted
                found["failed"] += 1
                found[f"{name}: {type(error).__name__}: {str(error).strip().splitlines()[-1:]}"] += 1
            found["slow"] += time.monotonic() - begun > LONGEST
            found["inputs"] += 1
    return found
