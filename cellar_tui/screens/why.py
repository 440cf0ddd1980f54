"""Why: the working of a date, dose or verdict, down to the entries it rests on; and every other page to read."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from cellar_tui.widgets.cells import label


class TextScreen(Screen[None]):
    """Lines to read; the key that opened it, or Escape, goes back."""

    BINDINGS = [Binding("escape,f9,left,enter,w,question_mark,q", "back", "back", show=False)]

    def __init__(self, title: str, lines: list[str]) -> None:
        super().__init__()
        self.heading = title
        self.lines_shown = lines

    def compose(self) -> ComposeResult:
        """Lay out title, lines and the way back."""
        yield Static(label(f" {self.heading}"), id="head")
        with VerticalScroll(id="main"):
            yield Static(label("\n".join(self.lines_shown)), id="told")
        yield Static(label("Esc back  Up Down scroll"), id="foot")

    def on_mount(self) -> None:
        """Let the arrow keys scroll."""
        self.query_one("#main").focus()

    def action_back(self) -> None:
        """Go back one step."""
        self.dismiss()
