"""The pictures, keys and rules of the README, drawn from the program; `python -m tests.readme` renews them."""

from __future__ import annotations

import asyncio
import os
import re
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, time
from pathlib import Path

from cellar_tui.app import CellarApp
from cellar_tui.cellar import Service
from cellar_tui.cli.dashboard import demo_file
from cellar_tui.demo_story import STORY_DAY
from cellar_tui.keys import help_lines
from cellar_tui.planning.rules.table import RULES
from tests.screens.seen import SETTLED, choose, lines

README = Path(__file__).parent.parent / "README.md"
SIZE = (80, 24)
PICTURES: dict[str, tuple[str, tuple[str, ...]]] = {
    "cellar": ("Demijohn 3", ()),
    "wine": ("Barrel 2", ("enter",)),
    "addition": ("Barrel 2", ("a", "5")),
    "round": ("Demijohn 3", ("d", "enter")),
    "why": ("Barrel 2", ("w",)),
    "workbench": ("Barrel 2", ("b",)),
}
"""Name of a picture -> the vessel under the cursor, and the keys pressed then."""


@contextmanager
def demo() -> Iterator[Service]:
    """Open a scratch copy of the demo cellar at noon of its story's day."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "demo.db"
        shutil.copyfile(demo_file(), copy)
        os.environ["XDG_STATE_HOME"] = folder
        moment = datetime.combine(STORY_DAY, time(12), UTC)
        service = Service.open(copy, lambda: moment, by="ida")
        try:
            yield service
        finally:
            service.close()


async def picture(vessel: str, keys: tuple[str, ...]) -> str:
    """Return one screen of the demo cellar as text."""
    with demo() as service:
        app = CellarApp(service, title="demo", invented=True)
        async with app.run_test(size=SIZE) as pilot:
            await pilot.pause()
            choose(pilot, vessel)
            for key in keys:
                await pilot.press(key)
                await pilot.pause()
            await pilot.pause(SETTLED)
            return "\n".join(lines(pilot)).rstrip()


def block(text: str) -> str:
    """Return text as a block of the README."""
    return f"```\n{text}\n```"


async def blocks() -> dict[str, str]:
    """Return every part of the README that is drawn from the program."""
    found = {name: block(await picture(vessel, keys)) for name, (vessel, keys) in PICTURES.items()}
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
    README.write_text(renewed(README.read_text(encoding="utf-8"), asyncio.run(blocks())), encoding="utf-8")
