"""The pictures, keys and rules of the README, drawn from the program; `python -m tests.readme` renews them."""

from __future__ import annotations

import re
from pathlib import Path

from cellar_tui.planning.rules.table import RULES
from cellar_tui.tui.keys import help_lines
from tests.tui.gallery import kept

README = Path(__file__).parent.parent / "README.md"
SIZE = (80, 24)
PICTURES = ("cellar", "wine", "addition", "action", "why", "workbench")
"""The screens of the gallery that the README shows."""


def block(text: str) -> str:
    """Return text as a block of the README."""
    return f"```\n{text}\n```"


def blocks() -> dict[str, str]:
    """Return every part of the README that follows from the program; its pictures are those of the gallery."""
    looked_at = dict(kept(SIZE))
    found = {name: block(looked_at[name].rstrip()) for name in PICTURES}
    rows = [f"| `{rule.id}` | {rule.teaches} |" for rule in RULES]
    found["rules"] = "\n".join(["| action | the practice |", "| --- | --- |", *rows])
    found["keys"] = block("\n".join(help_lines()))
    return found


def within(readme: str, name: str) -> re.Match[str]:
    """Return what stands between the marks of a part."""
    found = re.search(rf"(?<=<!-- begin {name} -->\n).*?(?=<!-- end {name} -->)", readme, re.DOTALL)
    if found is None:
        raise ValueError(f"the README has no marks for {name}")
    return found


def renewed(readme: str, parts: dict[str, str]) -> str:
    """Return the README with its drawn parts made anew."""
    for name, part in parts.items():
        place = within(readme, name)
        readme = readme[: place.start()] + part + "\n" + readme[place.end() :]
    return readme


if __name__ == "__main__":
    README.write_text(renewed(README.read_text(encoding="utf-8"), blocks()), encoding="utf-8")
