"""`python -m cellar_tui.demo DEST` builds the demo cellar anew."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

from cellar_tui.demo.story import tell
from cellar_tui.demo.teller import Teller


def build(path: Path) -> None:
    """Build the demo cellar in a new file."""
    path.unlink(missing_ok=True)
    teller = Teller(path, date(2025, 9, 10))
    tell(teller)
    teller.service.close()


if __name__ == "__main__":
    build(Path(sys.argv[1] if len(sys.argv) > 1 else "demo_cellar.db"))
