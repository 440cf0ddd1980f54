"""A copy of a cellar damaged in a thousand ways: what is found, what is mended from the ledger, what needs a backup."""

from __future__ import annotations

import io
import os
import random
import sqlite3
import traceback
from collections import Counter
from collections.abc import Callable
from contextlib import closing, redirect_stderr, redirect_stdout, suppress
from dataclasses import dataclass
from pathlib import Path

from cellar_tui.cli.main import main
from tests.reliability import cellar

DERIVED = ("filling", "action", "problem", "vessel", "seal", "meta")


@dataclass(frozen=True)
class Said:
    """What a command came to."""

    status: int
    out: str
    err: str


def run(*words: str) -> Said:
    """Run a command in this process."""
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        try:
            status = main(words)
        except Exception:  # noqa: BLE001 - a traceback is what is counted
            return Said(-1, "", traceback.format_exc())
    return Said(status, out.getvalue(), err.getvalue())


def _bits(path: Path, chance: random.Random) -> None:
    content = bytearray(path.read_bytes())
    for _ in range(chance.choice((1, 1, 1, 2, 8))):
        content[chance.randrange(len(content))] ^= 1 << chance.randrange(8)
    path.write_bytes(content)


def _block(path: Path, chance: random.Random) -> None:
    content = bytearray(path.read_bytes())
    at, length = chance.randrange(len(content)), chance.choice((16, 512, 4096))
    content[at : at + length] = chance.choice((bytes(length), chance.randbytes(length)))[: len(content) - at]
    path.write_bytes(content)


def _shorter(path: Path, chance: random.Random) -> None:
    os.truncate(path, chance.randrange(path.stat().st_size))


def _swapped(path: Path, chance: random.Random) -> None:
    content, page = bytearray(path.read_bytes()), 4096
    one, two = (chance.randrange(len(content) // page) * page for _ in range(2))
    content[one : one + page], content[two : two + page] = content[two : two + page], content[one : one + page]
    path.write_bytes(content)


def _rows(path: Path, chance: random.Random) -> None:
    """Change the derived tables as a program that means no harm, or some, would."""
    table = chance.choice(DERIVED)
    with closing(sqlite3.connect(path, isolation_level=None)) as plain, suppress(sqlite3.Error):
        columns = [row[1] for row in plain.execute(f"PRAGMA table_info({table})")]
        column = chance.choice(columns)
        value = chance.choice((0, 1, 19, -5, 1e6, "2050-01-01", "x", None, "sulfite"))
        if chance.random() < 0.3:
            plain.execute(f"DELETE FROM {table} WHERE rowid % 3 = ?", (chance.randrange(3),))
        else:
            plain.execute(f"UPDATE {table} SET {column} = ?", (value,))


WAYS: tuple[Callable[[Path, random.Random], None], ...] = (
    _bits,
    _bits,
    _bits,
    _block,
    _rows,
    _rows,
    _swapped,
    _shorter,
)


def drilled(folder: Path, times: int, seed: int = 1) -> Counter[str]:
    """Damage copies; count by what came of each, `silently different` and `traceback` among it."""
    state, os.environ["XDG_STATE_HOME"] = os.environ.get("XDG_STATE_HOME"), str(folder / "state")
    try:
        return _drilled(folder, times, seed)
    finally:
        if state is None:
            del os.environ["XDG_STATE_HOME"]
        else:
            os.environ["XDG_STATE_HOME"] = state


def _drilled(folder: Path, times: int, seed: int) -> Counter[str]:
    base, chance, found = cellar.make(folder / "base.db"), random.Random(seed), Counter[str]()
    backup = folder / "backup.db"
    assert run("--db", str(base), "backup", str(backup)).status == 0
    right = {words: run("--db", str(base), *words).out for words in LOOKS}
    path = folder / "damaged.db"
    for _ in range(times):
        for leftover in folder.glob("damaged.db*"):
            leftover.unlink()
        path.write_bytes(base.read_bytes())
        chance.choice(WAYS)(path, chance)
        found[_became(path, base, backup, right)] += 1
    return found


LOOKS: tuple[tuple[str, ...], ...] = (
    ("due", "--within", "365", "--json"),
    *(("show", n, "--json") for n in ("B1", "B2")),
)


def _became(path: Path, base: Path, backup: Path, right: dict[tuple[str, ...], str]) -> str:
    if path.read_bytes() == base.read_bytes():
        return "nothing was changed"
    db = ("--db", str(path))
    looks = {words: run(*db, *words) for words in LOOKS}
    checked = run(*db, "check")
    for one in (*looks.values(), checked):
        if one.status == -1:
            return f"traceback: {one.err.strip().splitlines()[-1]}"
    for words, one in looks.items():
        if one.out != right[words] and one.status == 0 and not one.err:
            return "silently different"
    if checked.status == 0:
        return "harmless: no content was touched"
    if checked.status == 4 and "cellar-tui rebuild" in checked.out and run(*db, "rebuild").status == 0:
        return "mended from the ledger" if run(*db, "check").status == 0 else "not mended"
    restored = run(*db, "restore", str(backup))
    return "restored from the backup" if restored.status == 0 and run(*db, "check").status == 0 else "not restored"
