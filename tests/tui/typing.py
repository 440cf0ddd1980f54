"""Hands at the keyboard for tests of screens: typing into a given field, and resting between two Enters."""

from __future__ import annotations

from textual import events
from textual.pilot import Pilot

from cellar_tui.entry_form.typed_line import Pace
from cellar_tui.tui.app import CellarApp
from cellar_tui.tui.widgets.field_row import FieldRow


async def write(pilot: Pilot[int], row: FieldRow, text: str) -> None:
    """Go to a field by Tab, clear it, and paste a text into it."""
    for _ in range(40):
        if row.entry.has_class("-active"):
            break
        await pilot.press("tab")
        await pilot.pause()
    assert row.entry.has_class("-active")
    await pilot.press("ctrl+u")
    pilot.app.post_message(events.Paste(text))
    await pilot.pause()


def rest(pilot: Pilot[int]) -> None:
    """Let so much time pass that the next Enter is meant."""
    assert isinstance(pilot.app, CellarApp)
    pilot.app.pace = Pace()
