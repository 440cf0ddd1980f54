"""Lines of text that change with the cursor: only the cells that differ are sent."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.segment import Segment
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.widgets import toned
from cellar_tui.tui.widgets.toned import INK, Part, Row


class Told(SpeaksErrors, Widget):
    """Text drawn line by line; what does not fit is left out."""

    COMPONENT_CLASSES: ClassVar[set[str]] = toned.classes("Told")
    DEFAULT_CSS = f"Told {{ height: 1fr; }}\n{toned.sheet('Told')}"

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.lines: Sequence[Sequence[Part]] = ()

    def show(self, lines: Sequence[Row]) -> None:
        """Show other lines."""
        old, self.lines = self.lines, tuple(toned.parts_of(line) for line in lines)
        width, height = self.size
        for y in range(min(height, max(len(old), len(self.lines)))):
            before, after = (toned.fitted(one[y] if y < len(one) else (), width) for one in (old, self.lines))
            span = toned.changed(before, after)
            if span is not None:
                self.refresh(Region(span[0], y, span[1] - span[0], 1))

    def render_line(self, y: int) -> Strip:
        """Draw one line."""
        plain = self.rich_style
        segments = [
            Segment(
                text, plain if role in INK else plain + self.get_component_rich_style(f"told--{role}", partial=True)
            )
            for text, role in toned.fitted(self.lines[y] if y < len(self.lines) else (), self.size.width)
        ]
        return Strip(segments).adjust_cell_length(self.size.width, plain)
