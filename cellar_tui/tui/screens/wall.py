"""The wall display: the whole cellar to be read from across the room; nothing is recorded here."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import Screen
from textual.widgets import Static

from cellar_tui.service.open import OpenCellar
from cellar_tui.tui import preferences
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens import wall_text
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.told import Told


class WallScreen(SpeaksErrors, Screen[None]):
    """Counts in large figures, what is late in large letters, today and the next days."""

    BINDINGS = [Binding(one.key, one.action, one.label, show=False, id=f"wall.{one.id}") for one in keys_of("wall")]

    def __init__(self, service: OpenCellar, title: str) -> None:
        super().__init__()
        self.service = service
        self.heading = title

    def compose(self) -> ComposeResult:
        """Lay out the display over the keys."""
        yield Told(id="wall")
        yield Static(id="foot")

    def on_resize(self, event: events.Resize) -> None:
        """Draw again for the room there is."""
        self.call_after_refresh(self.refresh_from_service)

    def refresh_from_service(self) -> None:
        """Read the board again: another program has recorded something, or a new day has begun."""
        area = self.query_one("#wall", Told)
        if area.size.width and area.size.height:
            plain = preferences.marks(self.service.by) == "plain"
            size, units = (area.size.width, area.size.height), self.service.view.units
            area.show(wall_text.wall(self.service.view.board(), self.heading, size, units, plain=plain))
        self.query_one("#foot", Static).update(label(short.footer("wall", self.size.width - 2)))

    def action_back(self) -> None:
        """Go back to the cellar."""
        self.dismiss()

    def action_quit(self) -> None:
        """Leave the program."""
        self.app.exit(0)
