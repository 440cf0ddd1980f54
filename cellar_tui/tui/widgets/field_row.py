"""One field of a form: its label, what is typed, and what stands beside it."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widget import Widget
from textual.widgets import Static

from cellar_tui.entry_form.field import Field
from cellar_tui.entry_form.fields import Slot
from cellar_tui.entry_form.typed_line import TypedLine
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.line_view import LineView


class FieldRow(Horizontal):
    """A row that can be given any field, so that a form is opened without building anything."""

    DEFAULT_CSS = """
    FieldRow { height: 1; }
    FieldRow > .field-label { width: 14; }
    FieldRow > LineView { width: 1fr; min-width: 10; }
    FieldRow > .field-beside { width: auto; max-width: 17; padding-left: 1; color: $text-muted; }
    FieldRow.-wrong > .field-beside { color: $text-error; }
    FieldRow.-wrong > .field-label { color: $text-error; text-style: bold; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.slot: Slot | None = None
        self._beside = ""
        self.entry = LineView()

    def compose(self) -> ComposeResult:
        """Lay out label, line and unit."""
        yield Static(classes="field-label")
        yield self.entry
        yield Static(classes="field-beside")

    @property
    def text(self) -> str:
        """What stands in the field."""
        return self.entry.line.text

    def give(self, slot: Slot | None, text: str = "") -> None:
        """Show a field with its text; None hides the row."""
        self.slot = slot
        self.display = slot is not None
        self.remove_class("-wrong")
        if slot is None:
            return
        self.query_one(".field-label", Static).update(label(slot.label))
        self.beside(slot.unit)
        self.entry.line = TypedLine(text)
        self.entry.show()

    def write(self, text: str) -> None:
        """Write into the field, in the place of what stands there."""
        self.entry.line.put(text)
        self.entry.show()

    def select(self) -> None:
        """Select what stands there, so that typing takes its place."""
        self.entry.line.select_all()
        self.entry.show()

    def beside(self, text: str) -> None:
        """Show a unit beside the field; nothing is drawn where it stands there already."""
        if text != self._beside:
            self._beside = text
            self.query_one(".field-beside", Static).update(label(text))

    def show(self, field: Field | None, *, here: bool) -> None:
        """Draw a field of a form, with the cursor where it is `here`; None hides the row."""
        if field is None:
            self.slot, self.display = None, False
            return
        if field.slot is not self.slot:
            self.give(field.slot, field.line.text)
        self.entry.line = field.line
        self.beside(field.beside)
        self.wrong(field.wrong)
        self.activate(here)

    def activate(self, here: bool) -> None:
        """Show the cursor in this row, or take it away."""
        if here and not self.is_active:
            self.call_after_refresh(self.to_middle)
        self.entry.activate(here)

    @property
    def is_active(self) -> bool:
        """Whether the cursor is in this row."""
        return self.entry.has_class("-active")

    def to_middle(self) -> None:
        """Scroll what holds this row so that the row stands in the middle of it."""
        room = self.parent
        if isinstance(room, Widget):
            top = self.virtual_region.y - (room.scrollable_content_region.height - 1) // 2
            room.scroll_to(y=min(max(0, top), room.max_scroll_y), animate=False, force=True, immediate=True)

    def wrong(self, is_wrong: bool) -> None:
        """Mark the field as one that cannot be right; nothing is drawn where it is marked so already."""
        if is_wrong == self.has_class("-wrong"):
            return
        self.set_class(is_wrong, "-wrong")
        if self.slot is not None:
            self.query_one(".field-label", Static).update(label(("! " if is_wrong else "") + self.slot.label))
