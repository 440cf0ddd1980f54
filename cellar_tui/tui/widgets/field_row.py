"""One field of a form: its label, what is typed, and what stands beside it."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.suggester import SuggestFromList
from textual.widgets import Input, Static

from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.form_fields import Slot


class FieldRow(Horizontal):
    """A row that can be given any field, so that a form is opened without building anything."""

    DEFAULT_CSS = """
    FieldRow { height: 1; }
    FieldRow > .field-label { width: 14; }
    FieldRow > Input { width: 1fr; min-width: 10; background: $surface; }
    FieldRow > .field-beside { width: auto; max-width: 17; padding-left: 1; color: $text-muted; }
    FieldRow.-wrong > .field-beside { color: $text-error; }
    FieldRow.-wrong > .field-label { color: $text-error; text-style: bold; }
    """

    def __init__(self) -> None:
        super().__init__()
        self.slot: Slot | None = None
        self._beside = ""
        self.entry = Input(compact=True, select_on_focus=False)
        self.entry.cursor_blink = False

    def compose(self) -> ComposeResult:
        """Lay out label, input and unit."""
        yield Static(classes="field-label")
        yield self.entry
        yield Static(classes="field-beside")

    def give(self, slot: Slot | None, text: str = "") -> None:
        """Show a field with its text; None hides the row."""
        self.slot = slot
        self.display = slot is not None
        self.remove_class("-wrong")
        if slot is None:
            return
        self.query_one(".field-label", Static).update(label(slot.label))
        self.beside(slot.unit)
        self.entry.suggester = SuggestFromList(slot.choices, case_sensitive=False) if slot.choices else None
        self.entry.value = text
        self.entry.cursor_position = len(text)

    def beside(self, text: str) -> None:
        """Show a unit beside the field; nothing is drawn where it stands there already."""
        if text != self._beside:
            self._beside = text
            self.query_one(".field-beside", Static).update(label(text))

    def put(self, text: str) -> None:
        """Write into the field what was worked out, which is not typing."""
        with self.prevent(Input.Changed):
            self.entry.value = text

    def wrong(self, is_wrong: bool) -> None:
        """Mark the field as one that cannot be right; nothing is drawn where it is marked so already."""
        if is_wrong == self.has_class("-wrong"):
            return
        self.set_class(is_wrong, "-wrong")
        if self.slot is not None:
            self.query_one(".field-label", Static).update(label(("! " if is_wrong else "") + self.slot.label))
