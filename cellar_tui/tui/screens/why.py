"""Why: the working of a date, dose or verdict, down to the entries it rests on; and every other page to read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from cellar_tui.language import explain
from cellar_tui.language.layout import column, wrapped
from cellar_tui.planning.plan import Because
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Written
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.screens.entry import entry_page
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.lines import Lines

Part = tuple[str, Because]
"""A number or date by its name, with what explains it."""


class TextScreen(SpeaksErrors, Screen[None]):
    """Lines to read; the key that opened it, or Escape, goes back."""

    BINDINGS = [Binding("escape,f9,left,enter,w,question_mark,q", "back", "back", show=False)]

    def __init__(self, title: str, lines: list[str]) -> None:
        super().__init__()
        self.heading = title
        self.lines_shown = lines

    def compose(self) -> ComposeResult:
        """Lay out title, lines and the way back."""
        yield Static(label(f" {self.heading}"), id="head")
        with VerticalScroll(id="main"):
            yield Static(label("\n".join(self.lines_shown)), id="told")
        yield Static(label("Esc back  Up Down scroll"), id="foot")

    def on_mount(self) -> None:
        """Let the arrow keys scroll."""
        self.set_focus(self.query_one("#main"))

    def action_back(self) -> None:
        """Go back one step."""
        self.dismiss()


@dataclass(frozen=True, slots=True)
class Row:
    """A line of a working; `entries` are opened from it."""

    text: str
    entries: tuple[int, ...] = ()
    head: bool = False


class WhyScreen(SpeaksErrors, Screen[None]):
    """The working of one or more numbers; Enter on an input opens the entries it rests on."""

    BINDINGS = [
        Binding("escape,f9,left,w,q", "back", "back", show=False, priority=True),
        Binding("enter", "entry", "the entry", show=False, priority=True),
    ]

    def __init__(self, service: OpenCellar, title: str, vessel: str | None, parts: Sequence[Part]) -> None:
        super().__init__()
        self.service, self.heading, self.vessel, self.parts = service, title, vessel, parts

    def compose(self) -> ComposeResult:
        """Lay out title, working and the way back."""
        yield Static(label(f" {self.heading}"), id="head")
        yield Lines(self._paint, id="working")
        yield Static(id="foot")

    def on_mount(self) -> None:
        """Let the cursor move."""
        self.set_focus(self.query_one(Lines))

    def on_resize(self, event: events.Resize) -> None:
        """Break the lines for the room there is; the cursor goes to the first input that has an entry."""
        found = list(self._rows(max(20, event.size.width - 2)))
        first = next((index for index, row in enumerate(found) if row.entries), 0)
        lines = self.query_one(Lines)
        lines.show_rows(found, lines.cursor or first)
        self.query_one("#foot", Static).update(label("Enter the entry of this input  Up Down  Esc back"))

    def _rows(self, width: int) -> Sequence[Row]:
        found: list[Row] = []
        for name, because in self.parts:
            if len(self.parts) > 1:
                found += [Row(""), *(Row(one, head=True) for one in wrapped(name, width))]
            for told in explain.working(because, units=self.service.view.units):
                indent = len(told.text) - len(told.text.lstrip())
                for place, one in enumerate(wrapped(told.text, width - indent - 2)):
                    found.append(Row(" " * (indent + 2 * (place > 0)) + one, told.entries))
        return found

    def _paint(self, row: Row, width: int) -> list[tuple[str, str]]:
        return [(column(f" {row.text}", width), "accent" if row.head else "" if row.entries else "quiet")]

    def action_entry(self) -> None:
        """Open the entries that the input under the cursor rests on."""
        row: Row | None = self.query_one(Lines).selected
        if row is None or not row.entries:
            told = "This line rests on no entry: it is a rule, a formula or a default."
            self.query_one("#foot", Static).update(label(told))
            return
        names = {vessel.number: vessel.name for vessel in self.service.view.vessels()}
        page: list[str] = []
        for written in chains_of(self.service.view.ledger(self.vessel, also=row.entries), row.entries):
            page += [*entry_page(written, names, self.service.view.units), ""]
        self.app.push_screen(TextScreen(f"Entry {', '.join(map(str, row.entries))}", page))

    def action_back(self) -> None:
        """Go back one step."""
        self.dismiss()


def chains_of(ledger: Sequence[Written], roots: Sequence[int]) -> list[Written]:
    """Return the entries of some chains of corrections, by the number of each chain's first entry, oldest first."""
    root_of: dict[int, int] = {}
    found = []
    for line in sorted(ledger, key=lambda line: line.entry.seq):
        before = line.entry.supersedes
        root_of[line.entry.seq] = line.entry.seq if before is None else root_of.get(before, before)
        if root_of[line.entry.seq] in roots:
            found.append(line)
    return found
