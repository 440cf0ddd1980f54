"""The pane in which a form shows what it would do; more than fits is turned by pages."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.content import Content
from textual.widgets import Static

from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.widgets.cells import tinted
from cellar_tui.tui.widgets.themes import ROLES

if TYPE_CHECKING:
    from cellar_tui.entry_form.preview import Line

STYLES = {**ROLES, "warn": "italic", "head": "bold"}

Teller = Callable[[int], "list[Line]"]
"""Returns what is to be shown in lines of a width."""


class PreviewPane(SpeaksErrors, Static):
    """Lines with their tones, shown from `top` on."""

    DEFAULT_CSS = "PreviewPane { width: 1fr; height: 1fr; }"

    top = 0
    _tell: Teller | None = None

    def on_resize(self) -> None:
        """Use the room there is."""
        if self._tell is not None:
            self.show(self._tell)

    def show(self, tell: Teller, turn: int = 0) -> None:
        """Show what is told for the room there is, `turn` pages further."""
        from cellar_tui.entry_form import preview

        self._tell = tell
        width, height = max(20, self.size.width), max(4, self.size.height)
        found = tell(width)
        self.top = min(max(0, self.top + turn * max(1, height - 2)), max(0, len(found) - height))
        self.update(painted(preview.cut(found, width, height, self.top)))


def painted(found: list[Line]) -> Content:
    """Return lines as text with its tones."""
    return tinted((f"{text}\n", STYLES[tone]) for text, tone in found)
