"""Hands at the keyboard for tests of screens: typing into a given field, and resting between two Enters."""

from __future__ import annotations

from textual import events
from textual.pilot import Pilot

from cellar_tui.entry_form.typed_line import Pace
from cellar_tui.tui.app import CellarApp
from cellar_tui.tui.widgets.field_row import FieldRow


async def go(pilot: Pilot[int], row: FieldRow) -> None:
    """Go to a field by Tab, from a list by Enter first."""
    if not any(one.is_active for one in pilot.app.screen.query(FieldRow)):
        await pilot.press("enter")
        await pilot.pause()
    for _ in range(40):
        if row.is_active:
            break
        await pilot.press("tab")
        await pilot.pause()
    assert row.is_active
    rest(pilot)


async def write(pilot: Pilot[int], row: FieldRow, text: str) -> None:
    """Go to a field, clear it, and paste a text into it."""
    await go(pilot, row)
    await pilot.press("ctrl+u")
    pilot.app.post_message(events.Paste(text))
    await pilot.pause()


def rest(pilot: Pilot[int]) -> None:
    """Let so much time pass that the next Enter is meant."""
    assert isinstance(pilot.app, CellarApp)
    pilot.app.pace = Pace()
