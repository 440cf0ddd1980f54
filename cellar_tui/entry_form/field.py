"""One field of an entry under way."""

from __future__ import annotations

from dataclasses import dataclass

from cellar_tui.entry_form.choices import chosen, chosen_material
from cellar_tui.entry_form.fields import Slot
from cellar_tui.entry_form.typed_line import TypedLine
from cellar_tui.language.describe_entry import words
from cellar_tui.ledger.materials import MATERIALS


@dataclass(slots=True)
class Field:
    """One field: what it is, what is typed in it, the unit beside it, and whether that cannot be right."""

    slot: Slot
    line: TypedLine
    beside: str
    wrong: bool = False

    @property
    def name(self) -> str:
        """Its name."""
        return self.slot.name

    @property
    def text(self) -> str:
        """What it says: what is typed, a word in full."""
        typed = self.line.text.strip()
        if self.slot.choices == tuple(MATERIALS):
            return chosen_material(typed, self.slot.choices)
        return chosen(typed, self.slot.choices) if self.slot.choices else typed

    def complete(self) -> None:
        """Write a word out of which the beginning is typed."""
        if self.slot.choices and self.text in self.slot.choices and self.line.text != words(self.text):
            self.line.put(words(self.text))

    def write(self, text: str) -> None:
        """Write what was known beforehand; a word is written as people write it."""
        self.line.put(words(text) if text in self.slot.choices else text)


def filled(slot: Slot, text: str) -> Field:
    """Return a field in which a text stands."""
    found = Field(slot, TypedLine(), slot.unit)
    found.write(text)
    return found
