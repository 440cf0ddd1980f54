"""What an empty cellar says: how to begin."""

from __future__ import annotations

from pathlib import Path


def first_page(path: Path) -> list[str]:
    """Return the first page, with the commands that enter a vessel and a wine."""
    return [
        "", " This cellar is empty.", "",
        " Enter a vessel and the wine in it from a shell, in another window or after q:", "",
        '   cellar-tui vessel add "Demijohn 1" capacity=23L material=glass',
        '   cellar-tui wine start "White 1" vessel="Demijohn 1" \\',
        "     style=dry_white volume=22L sg=1.088", "",
        " Finished already? Add finished=yes and what is known: alcohol=12 total_so2=60", "",
        " Where this cellar is not in the usual place, name it in each command:",
        f'   --db "{path}"', "",
        " To see a cellar at work first:  cellar-tui demo",
    ]  # fmt: skip
