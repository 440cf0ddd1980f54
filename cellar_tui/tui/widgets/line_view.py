"""A line that is being typed, drawn: text, cursor, selection, and what is offered but not typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from cellar_tui.entry_form.typed_line import TypedLine
from cellar_tui.language.clean_text import cells, safe

OFFERED = ("«", "»")
"""What is offered but not typed stands between these, so that it looks otherwise without any colour too."""


@dataclass(slots=True)
class DrawnLine:
    """How a line stands in its room: a long one is moved so that the cursor is in sight while there is one.

    Attributes:
        left: cells that are out of sight on the left.
    """

    left: int = 0

    def draw(
        self, line: TypedLine, offered: str, width: int, style: Mapping[str, Style], *, active: bool
    ) -> list[Segment]:
        """Return the line in so many cells.

        `offered` is what may be typed there. It is shown while nothing stands there, and marked where it is what
        stands there. `style` has "plain", "cursor", "selection" and "offered".
        """
        marked = bool(offered) and line.text == offered
        strip = Strip(Segment.simplify(_segments(line, offered, style, active=active, marked=marked)))
        at = cells(line.text[: line.cursor]) + marked * (2 if line.cursor == len(line.text) else 1)
        self.left = min(max(self.left, at - width + 1), at)
        if not active or strip.cell_length <= width:
            self.left = 0
        return list(strip.crop(self.left, self.left + width).adjust_cell_length(width, style["plain"]))


def _segments(
    line: TypedLine, offered: str, style: Mapping[str, Style], *, active: bool, marked: bool
) -> list[Segment]:
    first, last = line.selection
    found = [Segment(OFFERED[0], style["offered"])] if marked else []
    for place, sign in enumerate(f"{line.text} "):
        shown = safe(sign) or " "
        if marked and place == len(line.text):
            found.append(Segment(OFFERED[1], style["offered"]))
        if active and place == line.cursor:
            found.append(Segment(shown, style["cursor"]))
        elif active and first <= place < last:
            found.append(Segment(shown, style["selection"]))
        elif place < len(line.text):
            found.append(Segment(shown, style["offered"] if marked else style["plain"]))
    if offered and not line.text:
        found.append(Segment(safe(offered).join(OFFERED), style["offered"]))
    return found


class LineView(Widget):
    """Shows a `TypedLine`; it takes no key itself.

    Attributes:
        line: what is typed.
        offered: what may be typed there, shown while nothing is.
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
        self._room = DrawnLine()
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

    def render_line(self, y: int) -> Strip:
        """Draw the line."""
        names = ("cursor", "selection", "offered")
        style = {name: self.get_component_rich_style(f"line--{name}") for name in names}
        style["plain"] = self.rich_style
        return Strip(self._room.draw(self.line, self.offered, self.size.width, style, active=self.has_class("-active")))
