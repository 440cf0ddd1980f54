"""Keys pressed on a form that no terminal shows."""

from __future__ import annotations

from cellar_tui.entry_form.entry_form import EntryForm
from cellar_tui.entry_form.typed_line import Press


def press(form: EntryForm, *keys: str) -> EntryForm:
    """Press keys, letters one by one."""
    for key in keys:
        form.press(Press(key, key if len(key) == 1 else ""))
    return form


def go_to(form: EntryForm, name: str) -> EntryForm:
    """Go to a field by Tab."""
    for _ in form.fields:
        if form.field.name == name:
            return form
        press(form, "tab")
    assert form.field.name == name
    return form
