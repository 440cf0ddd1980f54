"""`python -m cellar_tui.demo [DEST]` builds the demo cellar, the same to the last hash every time."""

from __future__ import annotations

import sys
from pathlib import Path

from cellar_tui.demo.story import stories
from cellar_tui.demo.teller import Teller

OWNER = "ida"
"""Whose cellar it is; an invented person."""


def build(path: Path) -> None:
    """Build the demo cellar in a new file; one that lies there is replaced."""
    told = stories()
    path.unlink(missing_ok=True)
    teller = Teller(path, told[0].day, OWNER)
    try:
        for line in told:
            teller.tell(line)
    finally:
        teller.service.close()


if __name__ == "__main__":
    build(Path(sys.argv[1] if len(sys.argv) > 1 else "demo_cellar.db"))
