"""Whatever the cellar refuses, on whatever screen: a sentence stands there and the program goes on."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, NoReturn

import pytest
from textual.pilot import Pilot

from cellar_tui.enology.errors import OutOfRange
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.reachable import Reachable
from cellar_tui.service.recorder import Recorder
from cellar_tui.service.view import CellarView
from cellar_tui.service.views import CellarError
from cellar_tui.tui.app import CellarApp
from tests.tui.demo import demo

SCREENS: dict[str, tuple[str, ...]] = {
    "the cellar": (),
    "a wine": ("enter",),
    "a chart": ("enter", "v"),
    "a reading": ("r",),
    "an addition": ("a",),
    "the round": ("d", "enter"),
    "the reading sheet": ("R",),
    "house rules": ("o",),
    "materials": ("g",),
    "the workbench": ("b",),
    "a new vessel": ("v",),
    "a new wine": ("y",),
    "the wall": ("z",),
    "ready to bottle": ("enter", "l"),
    "papers and files": ("X",),
    "a sheet to import": ("X", *["down"] * 4, "enter", *"autumn.csv", "enter"),
}
"""The keys that lead from the cellar to each screen."""

PRESSED = ("down", "enter", "3", "enter", "u", "escape")
"""Keys that make a screen ask the service for what it shows, weighs and records."""

DOORS: dict[type, tuple[str, ...]] = {
    OpenCellar: ("reachable", "known_on", "recorded", "last_by", "changed", "entries", "clock_behind"),
    CellarView: (
        "board",
        "tasks",
        "wine",
        "ledger",
        "newest",
        "vessels",
        "supplies",
        "house_ledger",
        "house_entries",
        "calibration",
    ),
    Recorder: ("record", "record_sheet", "start_wine", "add_vessel", "govern", "undo", "amend", "weighed"),
    Reachable: ("read", "heads", "standing", "weigh", "wine_of", "component"),
}
"""Every call of the service that a screen can make."""

CALLS = [(owner, name) for owner, names in DOORS.items() for name in names]
SENTENCES = (
    CellarError("the disk went away", code="storage"),
    OutOfRange("sugar 721 is outside 0 to 600: weigh again"),
)


def refusing(error: Exception) -> Callable[..., NoReturn]:
    """Return what refuses whatever it is asked."""

    def refuse(*asked: Any, **named: Any) -> NoReturn:
        raise error

    return refuse


async def press_all(pilot: Pilot[int], keys: Sequence[str]) -> None:
    """Press keys, then wait until the screen is quiet."""
    await pilot.press(*keys)
    await pilot.pause()


async def back_home(pilot: Pilot[int]) -> None:
    """Leave every screen but the cellar."""
    while len(pilot.app.screen_stack) > 2:
        pilot.app.pop_screen()
    await pilot.pause()


def asked_for(patch: pytest.MonkeyPatch, calls: set[tuple[type, str]]) -> None:
    """Note which calls of the service are made."""
    for owner, name in CALLS:
        real = getattr(owner, name)

        def noted(*asked: Any, _real: Any = real, _call: Any = (owner, name), **named: Any) -> Any:
            calls.add(_call)
            return _real(*asked, **named)

        patch.setattr(owner, name, noted)


@pytest.mark.parametrize("keys", list(SCREENS.values()), ids=list(SCREENS))
async def test_no_refusal_of_the_service_ends_the_program(
    keys: tuple[str, ...], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.chdir(tmp_path)  # papers go where the program runs
    with demo() as service:
        app = CellarApp(service, title="demo")
        async with app.run_test(size=(80, 24)) as pilot:
            made: set[tuple[type, str]] = set()
            with monkeypatch.context() as patch:
                asked_for(patch, made)
                await press_all(pilot, (*keys, *PRESSED))
            await back_home(pilot)
            assert made, "the screen asks the service for something"
            for place, (owner, name) in enumerate(sorted(made, key=str)):
                await press_all(pilot, keys)
                with monkeypatch.context() as patch:
                    patch.setattr(owner, name, refusing(SENTENCES[place % 2]))
                    await press_all(pilot, PRESSED)
                assert app.return_code is None, f"{owner.__name__}.{name} ended the program"
                assert app._exception is None, f"{owner.__name__}.{name}: {app._exception!r}"
                await back_home(pilot)
