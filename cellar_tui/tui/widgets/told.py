"""Lines of plain text that change with the cursor: only those that differ are sent."""

from __future__ import annotations

from collections.abc import Sequence

from rich.segment import Segment
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from cellar_tui.language.layout import column
from cellar_tui.tui.boundary import SpeaksErrors


class Told(SpeaksErrors, Widget):
    """Text drawn line by line; what does not fit is left out."""

    DEFAULT_CSS = "Told { height: 1fr; }"

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.lines: Sequence[str] = ()

    def show(self, lines: Sequence[str]) -> None:
        """Show other lines."""
        old, self.lines = self.lines, tuple(lines)
        for y in range(min(self.size.height, max(len(old), len(self.lines)))):
            if old[y : y + 1] != self.lines[y : y + 1]:
                self.refresh(Region(0, y, self.size.width, 1))

    def render_line(self, y: int) -> Strip:
        """Draw one line."""
        text = self.lines[y] if y < len(self.lines) else ""
        return Strip([Segment(column(text, self.size.width), self.rich_style)])
