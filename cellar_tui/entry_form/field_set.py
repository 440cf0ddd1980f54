"""Fields under each other, and a cursor in one of them: what is typed stands there before the next key acts."""

from __future__ import annotations

from cellar_tui.entry_form.choices import fitting
from cellar_tui.entry_form.field import Field
from cellar_tui.entry_form.fields import LISTED
from cellar_tui.entry_form.typed_line import Press


class FieldSet:
    """The fields of whatever is typed into: a form, a page of questions, the inputs of a calculation.

    Attributes:
        fields: the fields in their order.
        at: place of the field that the cursor is in.
    """

    def __init__(self) -> None:
        self.fields: list[Field] = []
        self.at = 0

    @property
    def field(self) -> Field:
        """The field that the cursor is in."""
        return self.fields[self.at]

    def texts(self) -> dict[str, str]:
        """Return the text of every field, a word in full."""
        return {field.name: field.text for field in self.fields}

    def find(self, name: str) -> Field | None:
        """Return the field of a name, None where it is not asked for."""
        return next((field for field in self.fields if field.name == name), None)

    def first_empty(self) -> int:
        """Return the place of the first field in which nothing stands, the first of all where each has its text."""
        return next((place for place, one in enumerate(self.fields) if not one.text), 0)

    def go(self, place: int) -> None:
        """Put the cursor into a field; what stands there is selected, so that typing takes its place."""
        self.at = place
        self.field.line.select_all()

    def step(self, step: int) -> None:
        """Go to the next or the previous field."""
        self.go((self.at + step) % len(self.fields))

    def edit(self, press: Press) -> bool:
        """Type in the field with the cursor; return whether the key is one that edits a line."""
        return self.field.line.press(press)

    def press(self, press: Press) -> bool:
        """Act on a key; return whether it is one of these fields. A form knows more keys than those that edit."""
        return self.edit(press)

    def offers(self) -> list[str]:
        """Return the words that the field with the cursor takes, where they are too many to stand beside it.

        Of a word whose first letters are typed, those that it may still become; none where it stands there in full.
        """
        here = self.field
        if len("/".join(here.slot.choices)) <= LISTED:
            return []
        typed = "" if here.line.is_selected else here.line.text
        found = [here.shown(one) for one in fitting(typed, here.slot.choices)]
        return [] if found == [here.line.text] else found
