"""One field of an entry under way."""

from __future__ import annotations

from dataclasses import dataclass

from cellar_tui.entry_form.choices import chosen, chosen_material
from cellar_tui.entry_form.fields import Slot
from cellar_tui.entry_form.typed_line import TypedLine
from cellar_tui.language.describe_entry import words


@dataclass(slots=True)
class Field:
    """One field.

    Attributes:
        slot: what it is.
        line: what is typed in it.
        beside: unit, hint or error that stands beside it.
        wrong: what stands in it cannot be right.
        offered: text that the form itself wrote into it, or that holds while nothing stands there.
    """

    slot: Slot
    line: TypedLine
    beside: str
    wrong: bool = False
    offered: str = ""

    @property
    def name(self) -> str:
        """Its name."""
        return self.slot.name

    @property
    def text(self) -> str:
        """What it says: what is typed, a word in full."""
        typed = self.line.text.strip()
        if self.slot.materials:
            return chosen_material(typed, self.slot.choices)
        return chosen(typed, self.slot.choices) if self.slot.choices else typed

    @property
    def is_offered(self) -> bool:
        """Whether the form itself wrote what stands there, and nobody has typed over it."""
        return bool(self.offered) and self.line.text == self.offered

    def shown(self, choice: str) -> str:
        """Return a choice as it is written in the field: a name as it is, any other word as people write it."""
        return choice if self.slot.names else words(choice)

    def complete(self) -> None:
        """Write a word out of which the beginning is typed."""
        if self.slot.choices and self.text in self.slot.choices and self.line.text != self.shown(self.text):
            self.line.put(self.shown(self.text))

    def write(self, text: str) -> None:
        """Write what was known beforehand; a word is written as people write it."""
        self.line.put(self.shown(text) if text in self.slot.choices else text)

    def offer(self, text: str) -> None:
        """Write what the form itself works out or proposes; it looks otherwise than what is typed."""
        self.write(text)
        self.offered = self.line.text


def filled(slot: Slot, text: str) -> Field:
    """Return a field in which a text stands."""
    found = Field(slot, TypedLine(), slot.unit)
    found.write(text)
    return found
