"""One field of a form: its label, what is typed, and what stands beside it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import column
from cellar_tui.tui.widgets.line_view import DrawnLine

LEAST = 10
"""Least cells of what is typed."""

if TYPE_CHECKING:
    from cellar_tui.entry_form.field import Field
    from cellar_tui.entry_form.fields import Slot


@dataclass(frozen=True, slots=True)
class Shape:
    """How a row shares its cells.

    Attributes:
        label: cells of the label.
        line: cells of what is typed; 0 for all that the others leave.
        word: cells of what is typed where a word is chosen; 0 for as many as of anything else.
        beside: most cells of what stands beside it, where `line` takes what is left.
        fixed: what stands beside it takes all of these, whatever it says.
    """

    label: int = 14
    line: int = 0
    word: int = 0
    beside: int = 17
    fixed: bool = False


class FieldRow(Widget):
    """A row that can be given any field, so that a form is opened without building anything.

    It is one widget that draws three things: a screen of twenty of them is laid out and styled at once.

    Attributes:
        field: the field that it shows, None while it is hidden.
        is_active: whether the cursor is in this row.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "field--wrong",
        "field--beside",
        "field--error",
        "field--line",
        "field--active",
        "field--cursor",
        "field--selection",
        "field--offered",
    }
    DEFAULT_CSS = """
    FieldRow { height: 1; }
    FieldRow > .field--wrong { color: $text-error; text-style: bold; }
    FieldRow > .field--beside { color: $text-muted; }
    FieldRow > .field--error { color: $text-error; }
    FieldRow > .field--line { background: $surface; color: $foreground; }
    FieldRow > .field--active { background: $boost; color: $foreground; }
    FieldRow > .field--cursor { background: $input-cursor-background; color: $input-cursor-foreground; }
    FieldRow > .field--selection { background: $input-selection-background; color: $input-selection-foreground; }
    FieldRow > .field--offered { color: $text-muted; text-style: italic; }
    FieldRow:ansi > .field--line { background: ansi_default; color: ansi_default; }
    FieldRow:ansi > .field--active { background: ansi_default; color: ansi_default; }
    FieldRow:ansi > .field--cursor { background: ansi_white; color: ansi_black; }
    FieldRow:ansi > .field--selection { text-style: reverse; }
    FieldRow:ansi > .field--offered { color: ansi_default; text-style: dim italic; }
    """

    def __init__(self, shape: Shape | None = None) -> None:
        super().__init__()
        self.shape = shape or Shape()
        self.field: Field | None = None
        self.is_active = False
        self._room = DrawnLine()
        self._drawn: tuple[tuple[object, ...], tuple[object, ...]] = ((), ())
        self.display = False

    @property
    def slot(self) -> Slot | None:
        """What the field is, None while the row is hidden."""
        return None if self.field is None else self.field.slot

    @property
    def text(self) -> str:
        """What stands in the field."""
        return "" if self.field is None else self.field.line.text

    @property
    def is_wrong(self) -> bool:
        """Whether what stands in it cannot be right."""
        return self.field is not None and self.field.wrong

    @property
    def beside(self) -> str:
        """What stands beside it."""
        return "" if self.field is None else self.field.beside

    def show(self, field: Field | None, *, here: bool = False) -> None:
        """Draw a field, with the cursor where it is `here`; None hides the row. Only what differs is sent."""
        if field is not self.field:
            self._room = DrawnLine()
        came = here and not self.is_active
        self.field, self.is_active = field, here and field is not None
        if self.display != (field is not None):
            self.display = field is not None
        if field is None:
            self._drawn = ((), ())
            return
        if came:
            self.call_after_refresh(self.to_middle)
        line = field.line
        typed = (line.text, line.cursor, line.anchor, field.offered, self.is_active)
        around = (field.slot, field.beside, field.wrong)
        was, self._drawn = self._drawn, (typed, around)
        if was[1] != around:
            self.refresh()
        elif was[0] != typed:
            _, width, _ = self._widths(field)
            self.refresh(Region(self.shape.label, 0, width, 1))

    def to_middle(self) -> None:
        """Scroll what holds this row so that the row stands in the middle of it."""
        room = self.parent
        if isinstance(room, Widget):
            top = self.virtual_region.y - (room.scrollable_content_region.height - 1) // 2
            room.scroll_to(y=min(max(0, top), room.max_scroll_y), animate=False, force=True, immediate=True)

    # -- drawing

    def _widths(self, field: Field) -> tuple[int, int, int]:
        """Return the cells of label, line, and what stands beside it with the blank before that."""
        shape, left = self.shape, self.size.width - self.shape.label
        if shape.line:
            line = min(left, shape.word if shape.word and field.slot.choices else shape.line)
            return shape.label, line, left - line
        said = 1 + cells(field.beside) if field.beside else 0
        beside = shape.beside if shape.fixed else min(said, shape.beside)
        line = max(min(LEAST, left), left - beside)
        return shape.label, line, left - line

    def _style(self, name: str) -> Style:
        return self.get_component_rich_style(f"field--{name}")

    def render_line(self, y: int) -> Strip:
        """Draw label, line and what stands beside it."""
        field, plain = self.field, self.rich_style
        if field is None:
            return Strip.blank(self.size.width, plain)
        label, line, beside = self._widths(field)
        named = ("! " if field.wrong else "") + field.slot.label
        style = {name: self._style(name) for name in ("cursor", "selection", "offered")}
        style["plain"] = self._style("active" if self.is_active else "line")
        style["offered"] = style["plain"] + self.get_component_rich_style("field--offered", partial=True)
        said = column(f" {field.beside}", beside) if beside else ""
        return Strip(
            [
                Segment(column(named, label), self._style("wrong") if field.wrong else plain),
                *self._room.draw(field.line, field.offered, line, style, active=self.is_active),
                Segment(said, self._style("error" if field.wrong else "beside")),
            ]
        ).adjust_cell_length(self.size.width, plain)
