"""The pane in which a form shows what it would do; more than fits is turned by pages."""

from __future__ import annotations

from collections.abc import Callable

from textual.widgets import Static

from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.widgets import preview
from cellar_tui.tui.widgets.preview import Line

Teller = Callable[[int], list[Line]]
"""Returns what is to be shown in lines of a width."""


class PreviewPane(SpeaksErrors, Static):
    """Lines with their tones, shown from `top` on."""

    DEFAULT_CSS = "PreviewPane { width: 1fr; height: 1fr; }"

    top = 0

    def show(self, tell: Teller, turn: int = 0) -> None:
        """Show what is told for the room there is, `turn` pages further."""
        width, height = max(20, self.size.width), max(4, self.size.height)
        found = tell(width)
        self.top = min(max(0, self.top + turn * max(1, height - 2)), max(0, len(found) - height))
        self.update(preview.painted(preview.cut(found, width, height, self.top)))
