"""Keys typed ahead of a form's opening: they go where its cursor is to be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import events

from cellar_tui.tui.widgets.field_row import FieldRow

if TYPE_CHECKING:
    from cellar_tui.tui.widgets.form_panel import FormPanel


def take(panel: FormPanel, row: FieldRow, event: events.Key) -> None:
    """Act on a key as the field would have done."""
    if event.key == "enter":
        panel.submit()
    elif event.key == "tab":
        panel.action_step(1)
    elif event.key == "backspace":
        row.entry.action_delete_left()
    elif event.is_printable and event.character:
        row.entry.replace(event.character, *row.entry.selection)
        panel.typed_into(row)
