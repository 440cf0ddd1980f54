"""Keys pressed on fields that no terminal shows."""

from __future__ import annotations

from typing import TypeVar

from cellar_tui.entry_form.field_set import FieldSet
from cellar_tui.entry_form.typed_line import Press

Fields = TypeVar("Fields", bound=FieldSet)


def press(form: Fields, *keys: str) -> Fields:
    """Press keys, letters one by one."""
    for key in keys:
        form.press(Press(key, key if len(key) == 1 else ""))
    return form


def go_to(form: Fields, name: str) -> Fields:
    """Go to a field by Tab."""
    for _ in form.fields:
        if form.field.name == name:
            return form
        press(form, "tab")
    assert form.field.name == name
    return form
