"""Cellar files of every schema version as SQL text: a change of the tables must keep opening them.

`python -m tests.storage.dump CELLAR` prints the text of a cellar, to be kept as versions/N.sql once the version is N.
"""

from __future__ import annotations

import sqlite3
import sys
from contextlib import closing
from pathlib import Path

VERSIONS = Path(__file__).parent / "versions"


def text_of(path: Path) -> str:
    """All of a cellar file as SQL."""
    with closing(sqlite3.connect(path)) as plain:
        numbers = [
            f"PRAGMA {name}={plain.execute(f'PRAGMA {name}').fetchone()[0]};"
            for name in ("application_id", "user_version")
        ]
        return "\n".join([*numbers, *plain.iterdump()]) + "\n"


def make(version: int, path: Path) -> Path:
    """The cellar that a program of that schema version left, as a file."""
    path.touch(0o600)
    with closing(sqlite3.connect(path)) as plain:
        plain.executescript((VERSIONS / f"{version}.sql").read_text(encoding="utf-8"))
    return path


if __name__ == "__main__":
    sys.stdout.write(text_of(Path(sys.argv[1])))
