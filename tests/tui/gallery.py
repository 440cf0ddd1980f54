"""Every screen of the program at three sizes, drawn from the demo cellar on its story's day.

`python -m tests.tui.gallery` draws them again and prints what differs; `--only SCREEN` draws one. Read the difference
before a commit.
"""

from __future__ import annotations

import asyncio
import os
import re
from argparse import ArgumentParser
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import unified_diff
from pathlib import Path

from textual.pilot import Pilot

from cellar_tui.service.open import OpenCellar
from cellar_tui.tui.app import CellarApp
from cellar_tui.tui.screens.home import HomeScreen
from tests.tui.demo import demo
from tests.tui.seen import SETTLED, choose, lines

GOLDEN = Path(__file__).parent / "golden"
SIZES = ((60, 20), (80, 24), (140, 45))
SLOWEST = 0.8
"""Seconds after which what is worked out while nobody types stands on the screen."""


@dataclass(frozen=True, slots=True)
class View:
    """One screen: the vessel under the cursor of the cellar, the keys that lead there; `slow` where it weighs long."""

    vessel: str
    keys: tuple[str, ...] = ()
    slow: bool = False


VIEWS: Mapping[str, View] = {
    "cellar": View("Demijohn 3", slow=True),
    "wine": View("Barrel 2", ("enter",)),
    "chart": View("Barrel 2", ("enter", "v", "left")),
    "laid_over": View("Steel 2", ("enter", "2", "v", "z", "o")),
    "ledger": View("Barrel 2", ("enter", "end")),
    "addition": View("Barrel 2", ("a", "5")),
    "reading": View("Barrel 2", ("r", "3", ".", "5")),
    "racking": View("Barrel 2", ("m",)),
    "chill": View("Demijohn 3", ("h",)),
    "check": View("Demijohn 3", ("c",)),
    "round": View("Demijohn 3", ("d",)),
    "action": View("Demijohn 3", ("d", "enter")),
    "why": View("Barrel 2", ("w",)),
    "workbench": View("Barrel 2", ("b",)),
    "trial": View("Barrel 2", ("b", "t")),
    "house": View("Barrel 2", ("o",)),
    "rule": View("Barrel 2", ("o", "slash", *"days between checks of level", "enter", "enter", "2", "0"), slow=True),
    "materials": View("Barrel 2", ("g",)),
    "material": View("Barrel 2", ("g", "enter")),
    "sheet": View("Barrel 2", ("R", *"3.46", "tab", *"25", "tab", "a", "tab")),
    "past": View("Barrel 2", ("enter", "p", *"2026-09-01", "enter")),
    "split": View("Barrel 2", ("m", "ctrl+o", *"Demijohn 6", "tab", *"9")),
    "release": View("Steel 3", ("l",)),
    "files": View("Barrel 2", ("X",)),
    "import": View("Barrel 2", ("X", *["down"] * 4, "enter")),
    "wall": View("Barrel 2", ("z",)),
    "new_vessel": View("Barrel 2", ("v",)),
    "new_wine": View("Barrel 2", ("y", *"Hill", "enter", *"rose", "enter", "enter", "9", "enter", "down")),
    "keys": View("Barrel 2", ("question_mark",)),
}
"""Every screen by the name of its pictures."""


def name_of(view: str, size: tuple[int, int]) -> str:
    """Return the name of a picture."""
    return f"{view}_{size[0]}x{size[1]}"


async def _shown(pilot: Pilot[int], view: View) -> str:
    """Go from the cellar to a screen, take its picture, and come back without recording or keeping anything."""
    app = pilot.app
    while not isinstance(app.screen, HomeScreen):
        await app.pop_screen()
    home = app.screen
    home.panel.shut()
    home.say("")
    home.set_focus(home.listing)
    choose(pilot, view.vessel)
    await pilot.press(*view.keys)
    await pilot.pause(SLOWEST if view.slow else SETTLED)
    return "\n".join(lines(pilot)).rstrip() + "\n"


async def drawn(service: OpenCellar, size: tuple[int, int], views: Mapping[str, View] = VIEWS) -> dict[str, str]:
    """Return the pictures of one size, by view."""
    app = CellarApp(service, title="demo", invented=True)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        return {name: await _shown(pilot, view) for name, view in views.items()}


def kept(size: tuple[int, int]) -> Iterator[tuple[str, str]]:
    """Yield view and text of the pictures of one size as they were last looked at."""
    for view in VIEWS:
        yield view, (GOLDEN / f"{name_of(view, size)}.txt").read_text(encoding="utf-8")


PORTRAIT = ("addition", (132, 28))
"""The screen that is kept in its colours too, for the README."""
FOREIGN = re.compile(r"@font-face \{.*?\}\s*|<!--.*?-->\s*", re.DOTALL)
"""The export names fonts of another host, and what made it; a reader's own fonts serve."""


def portrait_file() -> Path:
    """Return the file of the picture in colours."""
    return GOLDEN / f"{PORTRAIT[0]}.svg"


async def portrait(service: OpenCellar) -> str:
    """Return one screen in its colours, as SVG."""
    name, size = PORTRAIT
    app = CellarApp(service, title="demo", invented=True)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        await _shown(pilot, VIEWS[name])
        return FOREIGN.sub("", app.export_screenshot(title="cellar-tui demo")).replace("Fira Code", "monospace")


def differences(file: Path, text: str) -> list[str]:
    """Return how a picture differs from the one that is kept, in lines; none where it does not."""
    was = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
    names = (f"{file.stem}, kept", f"{file.stem}, drawn")
    return list(unified_diff(was, text.splitlines(), *names, n=1, lineterm=""))


def renewed(file: Path, text: str) -> None:
    """Write a picture, its difference printed first."""
    for line in differences(file, text):
        print(line)
    file.write_text(text, encoding="utf-8")


async def redraw(only: Sequence[str] = ()) -> None:
    """Write every picture again, or those of some screens alone.

    Each size is drawn from a cellar of its own: no draft of one comes back in the next.
    """
    views = {name: view for name, view in VIEWS.items() if not only or name in only}
    for size in SIZES:
        with demo() as service:
            for view, text in (await drawn(service, size, views)).items():
                renewed(GOLDEN / f"{name_of(view, size)}.txt", text)
    if PORTRAIT[0] in views:
        with demo() as service:
            portrait_file().write_text(await portrait(service), encoding="utf-8")
    for old in GOLDEN.glob("*.txt"):
        if old.stem not in {name_of(view, size) for view in VIEWS for size in SIZES}:
            old.unlink()


if __name__ == "__main__":
    asked = ArgumentParser(prog="python -m tests.tui.gallery", description="Draw the screens again.")
    asked.add_argument("--only", action="append", choices=sorted(VIEWS), metavar="SCREEN", default=[])
    os.environ["TERM"] = "xterm-256color"
    asyncio.run(redraw(asked.parse_args().only))
