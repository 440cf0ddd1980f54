"""What an empty cellar says: how to begin."""

from __future__ import annotations

from pathlib import Path


def first_page(path: Path, *, read_only: bool) -> list[str]:
    """Return the first page: the key that begins, and the commands that do the same from a shell."""
    begins = ["   Enter   enter a vessel, then the wine in it: a few questions each", "   q       leave"]
    return [
        "",
        " This cellar is empty.",
        "",
        *(["   It is open to look at only: without --read-only a vessel can be entered."] if read_only else begins),
        "",
        " The same from a shell:",
        "",
        '   cellar-tui vessel add "Demijohn 1" capacity=23L material=glass',
        '   cellar-tui wine start "White 1" vessel="Demijohn 1" \\',
        "     style=dry_white volume=22L sg=1.088",
        "",
        " Where this cellar is not in the usual place, name it in each command:",
        f'   --db "{path}"',
        "",
        " To see a cellar at work first:  cellar-tui demo",
    ]
