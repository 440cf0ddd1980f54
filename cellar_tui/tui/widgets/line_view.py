"""A line that is being typed, drawn: text, cursor, selection, and what is offered but not typed."""

from __future__ import annotations

from typing import ClassVar

from rich.segment import Segment
from textual.strip import Strip
from textual.widget import Widget

from cellar_tui.entry_form.typed_line import TypedLine
from cellar_tui.language.clean_text import cells, safe


class LineView(Widget):
    """Shows a `TypedLine`; it takes no key itself.

    Attributes:
        line: what is typed.
        offered: what may be typed there, shown in brackets while nothing is, and behind what is typed of it.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {"line--cursor", "line--selection", "line--offered"}
    DEFAULT_CSS = """
    LineView { height: 1; background: $surface; color: $foreground; }
    LineView.-active { background: $boost; }
    LineView > .line--cursor { background: $input-cursor-background; color: $input-cursor-foreground; }
    LineView > .line--selection { background: $input-selection-background; color: $input-selection-foreground; }
    LineView > .line--offered { color: $text-muted; text-style: italic; }
    LineView:ansi { background: ansi_default; color: ansi_default; }
    LineView:ansi > .line--cursor { background: ansi_white; color: ansi_black; }
    LineView:ansi > .line--selection { text-style: reverse; }
    LineView:ansi > .line--offered { color: ansi_default; text-style: dim italic; }
    """

    def __init__(self, *, id: str | None = None, offered: str = "") -> None:
        super().__init__(id=id)
        self.line, self.offered = TypedLine(), offered
        self._left = 0
        self._drawn: tuple[object, ...] = ()

    def activate(self, active: bool) -> None:
        """Show or hide the cursor."""
        self.set_class(active, "-active")
        self.show()

    def show(self) -> None:
        """Draw anew where something has changed."""
        line = self.line
        now = (line.text, line.cursor, line.anchor, self.offered, self.has_class("-active"))
        if now != self._drawn:
            self._drawn = now
            self.refresh()

    def _segments(self) -> list[Segment]:
        plain, active = self.rich_style, self.has_class("-active")
        style = {name: self.get_component_rich_style(f"line--{name}") for name in ("cursor", "selection", "offered")}
        first, last = self.line.selection
        found = []
        for place, sign in enumerate(f"{self.line.text} "):
            shown = safe(sign) or " "
            if active and place == self.line.cursor:
                found.append(Segment(shown, style["cursor"]))
            elif active and first <= place < last:
                found.append(Segment(shown, style["selection"]))
            elif place < len(self.line.text):
                found.append(Segment(shown, plain))
        if self.offered and not self.line.text:
            found.append(Segment(safe(self.offered), style["offered"]))
        elif self.offered and not active:
            found.append(Segment(" ", plain))
        return found

    def render_line(self, y: int) -> Strip:
        """Draw the line; a long one is moved so that the cursor is in sight."""
        width, plain = self.size.width, self.rich_style
        strip = Strip(Segment.simplify(self._segments()))
        at = cells(self.line.text[: self.line.cursor])
        self._left = min(max(self._left, at - width + 1), at)
        if strip.cell_length <= width:
            self._left = 0
        return strip.crop(self._left, self._left + width).adjust_cell_length(width, plain)
