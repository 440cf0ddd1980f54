"""A list drawn line by line: a cursor move sends two lines, however long the list is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar, Generic, TypeVar

from rich.segment import Segment
from rich.style import Style
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.scroll_view import ScrollView
from textual.strip import Strip
from textual.widget import Widget

from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.widgets import toned
from cellar_tui.tui.widgets.toned import INK, Part

Row = TypeVar("Row")
Painter = Callable[[Row, int], list[Part]]
"""Turns a row into parts of text with the names of their roles, for a width."""


class Lines(SpeaksErrors, ScrollView, Generic[Row], can_focus=True):
    """Rows with a cursor. What a row is and how it is painted is the owner's affair."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"lines--cursor", "lines--resting", *toned.classes("Lines")}
    DEFAULT_CSS = f"""
    Lines {{ background: $background; scrollbar-size-vertical: 1; scrollbar-size-horizontal: 0; }}
    Lines > .lines--cursor {{ background: $block-cursor-background; color: $block-cursor-foreground; }}
    Lines > .lines--resting {{ background: $surface; text-style: bold; }}
{toned.sheet("Lines")}
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", show=False, priority=True),
        Binding("down", "move(1)", show=False, priority=True),
        Binding("pageup", "page(-1)", show=False, priority=True),
        Binding("pagedown", "page(1)", show=False, priority=True),
        Binding("home", "edge(0)", show=False, priority=True),
        Binding("end", "edge(1)", show=False, priority=True),
    ]

    class Moved(Message):
        """The cursor stands on another row."""

        def __init__(self, lines: Lines[object], index: int) -> None:
            super().__init__()
            self.lines = lines
            self.index = index

        @property
        def control(self) -> Lines[object]:
            """The list whose cursor moved."""
            return self.lines

    def __init__(
        self, painter: Painter[Row], *, id: str | None = None, passes: Callable[[Row], bool] | None = None
    ) -> None:
        super().__init__(id=id)
        self.painter = painter
        self.passes = passes or (lambda _: False)
        """Whether the cursor passes a row by: the head of a group."""
        self.beside: Beside[Row] | None = None
        """What stands beside the rows and scrolls with them."""
        self.rows: Sequence[Row] = ()
        self.cursor = 0
        self.on_moved: Callable[[], None] | None = None
        """Told at once of another row under the cursor, where the next key depends on it."""

    @property
    def selected(self) -> Row | None:
        """The row under the cursor."""
        return self.rows[self.cursor] if 0 <= self.cursor < len(self.rows) else None

    def show_rows(self, rows: Sequence[Row], cursor: int = 0) -> None:
        """Show other rows, with the cursor on one of them."""
        self.rows = rows
        self.cursor = self._stop(min(max(cursor, 0), max(0, len(rows) - 1)), 1)
        self.virtual_size = Size(0, len(rows))
        self._keep_in_sight()
        self.refresh()
        self._refresh_beside()
        self._tell()

    def _stop(self, index: int, step: int) -> int:
        """Return the row nearest to an index on which the cursor may stand, first the one in its direction."""
        last = len(self.rows) - 1
        ways = (range(index, last + 1), range(min(index, last), -1, -1))
        for way in ways if step > 0 else ways[::-1]:
            found = next((at for at in way if not self.passes(self.rows[at])), None)
            if found is not None:
                return found
        return index

    def _refresh_beside(self) -> None:
        if self.beside is not None:
            self.beside.refresh()

    def render_line(self, y: int) -> Strip:
        """Draw one line of the screen."""
        index = self.scroll_offset.y + y
        width = self.size.width
        plain = self.rich_style
        if not 0 <= index < len(self.rows):
            return Strip.blank(width, plain)
        at_cursor = index == self.cursor
        cursor = "lines--cursor" if self.has_focus else "lines--resting"
        under = self.get_component_rich_style(cursor) if at_cursor else plain
        segments = [
            Segment(text, under if at_cursor or not name else plain + self._named(name))
            for text, name in self.painter(self.rows[index], width)
        ]
        # Neighbours of one style are sent as one.
        return Strip(Segment.simplify(segments)).adjust_cell_length(width, under).crop(0, width)

    def _named(self, name: str) -> Style:
        return self.get_component_rich_style(f"lines--{name}", partial=True)

    def _tell(self) -> None:
        if self.on_moved is not None:
            self.on_moved()
        self.post_message(self.Moved(self, self.cursor))  # type: ignore[arg-type]

    def _keep_in_sight(self) -> None:
        top, height = self.scroll_offset.y, max(1, self.size.height)
        # The head of the first group comes into sight with its first row.
        first = 0 if self._stop(0, 1) == self.cursor else self.cursor
        if first < top:
            self.scroll_to(y=first, animate=False, force=True)
        elif self.cursor >= top + height:
            self.scroll_to(y=self.cursor - height + 1, animate=False, force=True)

    def select(self, index: int) -> None:
        """Put the cursor on a row."""
        index = self._stop(min(max(index, 0), max(0, len(self.rows) - 1)), index - self.cursor)
        if index == self.cursor:
            return
        old, self.cursor = self.cursor, index
        top = self.scroll_offset.y
        self._keep_in_sight()
        if self.scroll_offset.y == top:
            for line in (old - top, index - top):
                self.refresh(Region(0, line, self.size.width, 1))
        else:
            self.refresh()
            self._refresh_beside()
        self._tell()

    def action_move(self, step: int) -> None:
        """Move the cursor by rows."""
        self.select(self.cursor + step)

    def action_page(self, step: int) -> None:
        """Move the cursor by a screenful."""
        self.select(self.cursor + step * max(1, self.size.height - 1))

    def action_edge(self, end: int) -> None:
        """Move the cursor to the first or the last row."""
        self.select(len(self.rows) - 1 if end else 0)


class Beside(SpeaksErrors, Widget, Generic[Row]):
    """What belongs to the rows of a list and does not move with its cursor: a part of each row, drawn beside it."""

    COMPONENT_CLASSES: ClassVar[set[str]] = toned.classes("Beside")
    DEFAULT_CSS = f"Beside {{ height: 1fr; background: $background; }}\n{toned.sheet('Beside')}"

    def __init__(self, lines: Lines[Row], painter: Painter[Row], *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.of, self.painter = lines, painter
        lines.beside = self

    def render_line(self, y: int) -> Strip:
        """Draw the part of the row that stands at this height in the list."""
        index, width, plain = self.of.scroll_offset.y + y, self.size.width, self.rich_style
        parts = self.painter(self.of.rows[index], width) if 0 <= index < len(self.of.rows) else []
        segments = [
            Segment(
                text, plain if role in INK else plain + self.get_component_rich_style(f"beside--{role}", partial=True)
            )
            for text, role in parts
        ]
        return Strip(Segment.simplify(segments)).adjust_cell_length(width, plain)
