"""The pictures, keys and rules of the README, from the program; `python -m tests.readme` renews them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from cellar_tui.planning.rules.table import RULES
from cellar_tui.tui.keys import EVERY_DAY, KEYS, Place, help_lines
from tests.tui.gallery import kept

README = Path(__file__).parent.parent / "README.md"
SIZE = (80, 24)
PICTURES: Mapping[str, slice] = {
    "cellar": slice(0, 9),
    "why": slice(2, 14),
    "release": slice(0, 15),
    "addition": slice(0, None),
    "wine": slice(0, None),
    "action": slice(0, None),
    "workbench": slice(0, None),
}
"""The screens of the gallery that the README shows, and which lines of them."""
PLACES_SHOWN: Mapping[Place, str] = {
    "cellar": "In the cellar",
    "wine": "On a wine",
    "round": "In today's round",
    "form": "In a form",
    "step": "In the questions of a new vessel or wine",
    "sheet": "On a sheet of readings",
    "release": "Ready to bottle?",
    "bench": "On the workbench",
    "trial": "In a bench trial",
    "materials": "Materials on hand",
    "house": "House rules",
    "files": "Papers and files",
    "import": "Importing a sheet",
    "why": "Reading a why",
    "wall": "On the wall",
}
"""Every place with its name."""


def block(text: str) -> str:
    """Return text as a block of the README."""
    return f"```\n{text}\n```"


def blocks() -> dict[str, str]:
    """Return every part of the README that follows from the program; its pictures are those of the gallery."""
    looked_at = dict(kept(SIZE))
    found = {name: block("\n".join(looked_at[name].rstrip().splitlines()[part])) for name, part in PICTURES.items()}
    daily = [one for name in EVERY_DAY for one in KEYS if one.id == name]
    found["everyday"] = block("\n".join(f"{one.shown:<10} {one.help}" for one in daily))
    rows = [f"| `{rule.id}` | {rule.teaches} |" for rule in RULES]
    found["rules"] = "\n".join(["| action | the practice |", "| --- | --- |", *rows])
    places = ("\n".join((name, *(f"  {one}" for one in help_lines(place)))) for place, name in PLACES_SHOWN.items())
    found["keys"] = block("\n\n".join(places))
    return found


def within(readme: str, name: str) -> re.Match[str]:
    """Return what stands between the marks of a part."""
    found = re.search(rf"(?<=<!-- begin {name} -->\n).*?(?=<!-- end {name} -->)", readme, re.DOTALL)
    if found is None:
        raise ValueError(f"the README has no marks for {name}")
    return found


def renewed(readme: str, parts: dict[str, str]) -> str:
    """Return the README with its drawn parts made again."""
    for name, part in parts.items():
        place = within(readme, name)
        readme = readme[: place.start()] + part + "\n" + readme[place.end() :]
    return readme


if __name__ == "__main__":
    README.write_text(renewed(README.read_text(encoding="utf-8"), blocks()), encoding="utf-8")
