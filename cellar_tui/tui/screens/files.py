"""Papers, calendar, import and export: what can leave the cellar as a file, and what a file can bring in."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult, SystemCommand
from textual.binding import Binding
from textual.screen import Screen
from textual.widgets import Static

from cellar_tui.language.layout import column, joined
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.lines import Lines

NAME = 26
"""Width of a command's name [cells]; what it makes stands behind it."""


class FilesScreen(SpeaksErrors, Screen[SystemCommand | None]):
    """A line a command; the chosen one is done by the screen that this one was opened from."""

    AUTO_FOCUS = "Lines"
    DEFAULT_CSS = "FilesScreen #lines { height: 1fr; margin-top: 1; }"
    BINDINGS = [Binding(key.key, key.action, key.label, show=False, id=f"files.{key.id}") for key in keys_of("files")]

    def __init__(self, commands: Sequence[SystemCommand]) -> None:
        super().__init__()
        self.commands = commands

    def compose(self) -> ComposeResult:
        """Lay out the head, the commands and the keys."""
        yield Static(
            label(joined((" Papers and files", "they go into the folder the program was started in"))), id="head"
        )
        yield Lines[SystemCommand](self.paint, id="lines")
        yield Static(id="foot")

    def on_mount(self) -> None:
        """Show the commands."""
        self.query_one(Lines).show_rows(self.commands)
        self.say("")

    def on_resize(self) -> None:
        """Keep the keys in the room there is."""
        self.say("")

    def say(self, text: str) -> None:
        """Say something in the last line; with nothing to say it shows the keys."""
        self.query_one("#foot", Static).update(label(text or short.footer("files", self.app.size.width - 1)))

    def paint(self, command: SystemCommand, width: int) -> list[tuple[str, str]]:
        """Return what a command is called and what it makes."""
        return [(f" {column(command.title, NAME)} ", ""), (column(command.help, max(0, width - NAME - 2)), "quiet")]

    def action_choose(self) -> None:
        """Have the selected one done."""
        self.dismiss(self.query_one(Lines).selected)

    def action_back(self) -> None:
        """Leave without doing any."""
        self.dismiss(None)
