"""Colours and marks of charts are remembered for each person and terminal."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from cellar_tui.service import state_folder
from cellar_tui.service.open import OpenCellar, open_cellar
from cellar_tui.tui import preferences
from cellar_tui.tui.app import CellarApp
from cellar_tui.tui.screens.wine import WineScreen
from cellar_tui.tui.widgets.themes import DARK, LIGHT
from tests.tui.seen import NOW, cellar, choose, opened


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    found.close()


async def take(service: OpenCellar, command: str) -> None:
    """Take a command of the palette by its name."""
    async with opened(service) as pilot:
        found = {one.title: one for one in pilot.app.get_system_commands(pilot.app.screen)}
        found[command].callback()


async def test_the_colours_that_were_chosen_are_there_at_the_next_start(service: OpenCellar) -> None:
    assert CellarApp(service, title="test").theme == DARK.name
    await take(service, "Colours: light")
    assert CellarApp(service, title="test").theme == LIGHT.name


async def test_another_person_and_another_terminal_keep_their_own(
    service: OpenCellar, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    await take(service, "Colours: light")
    other = open_cellar(tmp_path / "cellar.db", lambda: NOW, by="ben")
    assert CellarApp(other, title="test").theme == DARK.name
    other.close()
    monkeypatch.setenv("TERM", "screen-256color")
    assert CellarApp(service, title="test").theme == DARK.name


async def test_without_colour_a_choice_of_colours_waits(service: OpenCellar, monkeypatch: pytest.MonkeyPatch) -> None:
    await take(service, "Colours: light")
    monkeypatch.setenv("NO_COLOR", "1")
    assert CellarApp(service, title="test").theme.startswith("cellar-16")


async def test_the_marks_of_charts_are_kept(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        choose(pilot, "Barrel 2")
        await pilot.press("enter")
        await pilot.pause(0.1)
        await pilot.press("x", "x")
    assert preferences.marks("ida") == "plain"
    async with opened(service) as pilot:
        choose(pilot, "Barrel 2")
        await pilot.press("enter")
        await pilot.pause(0.1)
        assert isinstance(pilot.app.screen, WineScreen)
        assert pilot.app.screen.marks.name == "plain"


@pytest.mark.parametrize(
    "text", ["", "{", "[1]", '{"marks": 3}', '{"colours · xterm-256color · ida": "no such theme"}']
)
def test_a_file_that_was_damaged_or_written_by_hand_counts_for_nothing(service: OpenCellar, text: str) -> None:
    folder = state_folder.state_folder()
    folder.mkdir(parents=True, exist_ok=True)
    (folder / preferences.NAME).write_text(text)
    assert CellarApp(service, title="test").theme == DARK.name
    assert preferences.marks("ida") == "blocks"


def test_where_nothing_can_be_kept_nothing_breaks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", "/proc/nowhere")
    preferences.keep("ida", "marks", "plain")
    assert preferences.kept("ida", "marks") == ""
