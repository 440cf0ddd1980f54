"""A spreadsheet into the cellar: the file's path, what each column is, what each row would record, then all or none."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import Any

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import Screen
from textual.widgets import Static

from cellar_tui.entry_form.typed_line import Press
from cellar_tui.exchange import row_verdicts, sheets_in
from cellar_tui.exchange.columns import IGNORED
from cellar_tui.language.layout import column, joined, wrapped
from cellar_tui.language.material_names import unknown
from cellar_tui.service import importing
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError
from cellar_tui.tui.boundary import REFUSALS, SpeaksErrors, tell
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens.import_work import Choice, Done, Weighing, obstacle
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.line_view import LineView
from cellar_tui.tui.widgets.lines import Lines
from cellar_tui.tui.widgets.told import Told

NEEDS = "Needed: a column for the vessel, and one for the date."
PATH = "Type the path of the sheet, saved as CSV. Enter reads it; nothing is recorded yet."
LAST_KEYS = "Enter record all or none  Esc back"
HEAD, FIELD = 26, 28
"""Widths [cells] of a head and of the field beside it."""
QUOTES = "'\""


class ImportScreen(SpeaksErrors, Screen[str | None]):
    """Three pages, one key forward and one back; only the last Enter records."""

    AUTO_FOCUS = ""
    DEFAULT_CSS = """
    ImportScreen #path { margin: 0 1; }
    ImportScreen #lines { height: 1fr; }
    ImportScreen #full { height: 5; padding: 0 1; }
    """
    BINDINGS = [
        Binding(one.key, one.action, one.label, show=False, priority=True, id=f"import.{one.id}")
        for one in keys_of("import")
    ]

    def __init__(self, service: OpenCellar) -> None:
        super().__init__()
        self.service = service
        self.page = "path"
        self.choices: list[Choice] = []
        self.read: sheets_in.Read | None = None
        self.weighing: Weighing | None = None
        self.summed = ""
        self.doubted = ""
        """What all rows together would record."""
        self.at = 0
        """The column to come back to."""

    def compose(self) -> ComposeResult:
        """Lay out the path, the lines of a page, the selected line in full, and the keys."""
        yield Static(id="head")
        yield LineView(id="path", offered="path of a CSV file")
        yield Lines[Any](self.paint, id="lines")
        yield Told(id="full")
        yield Static(id="foot")

    def on_mount(self) -> None:
        """Ask for the file."""
        self._ask_path()

    @property
    def listing(self) -> Lines[Any]:
        """The columns, or the rows."""
        return self.query_one(Lines)

    @property
    def asker(self) -> LineView:
        """The line in which the path is typed."""
        return self.query_one(LineView)

    @property
    def path(self) -> Path:
        """The file that is typed; a path that was dragged into the terminal comes in quotes."""
        return Path(self.asker.line.text.strip().strip(QUOTES)).expanduser()

    def say(self, text: str) -> None:
        """Tell something in the last line; with nothing to tell it shows the keys."""
        keys = f"{self.summed}\n{LAST_KEYS}" if self.page == "rows" else short.footer("import", self.app.size.width - 1)
        self.query_one("#foot", Static).update(label(text or keys))

    def take(self, press: Press) -> bool:
        """Type the path, or the first letter of a field; the second Enter of a slip does nothing."""
        if press.again:
            return True
        if self.weighing is not None:  # only Escape means something now
            return press.key not in ("escape", "f9")
        if self.page == "path":
            typed = self.asker.line.press(press)
            self.asker.show()
            return typed
        choice = self.listing.selected
        if isinstance(choice, Choice) and (press.text.isalpha() or press.text == IGNORED):
            choice.jump(press.text.casefold())
            self._changed()
            return True
        return False

    # -- pages

    def _head(self, *told: str) -> None:
        text = joined((" Import a sheet", *told))
        self.query_one("#head", Static).update(label(column(text, self.app.size.width - 1)))

    def _ask_path(self) -> None:
        self.page = "path"
        self._head()
        self.listing.show_rows(())
        self.asker.activate(True)
        self.set_focus(None)
        self._full(PATH, NEEDS)
        self.say("")

    def _read_heads(self) -> None:
        """Read the heads, with what this cellar has taken them for before."""
        if not self.asker.line.text.strip():
            self.say("Type the path of the sheet first.")
            return
        known = importing.meanings(self.service)
        found = sheets_in.heads(self.path, sheets_in.Ways({}, known))
        self.choices = [Choice("", "", "", ""), *(Choice(one.head, one.field, one.field, one.sample) for one in found)]
        self.at = next((place for place, one in enumerate(self.choices) if one.name and not one.chosen), 0)
        self._show_columns()

    def _show_columns(self) -> None:
        self.page = "columns"
        self._head(self.path.name, f"{len(self.choices) - 1} columns")
        self.asker.activate(False)
        self.listing.show_rows(self.choices, self.at)
        self.set_focus(self.listing)
        self.say("")

    def _weigh(self) -> None:
        """Read every row as the columns are chosen, and show what each would record."""
        if (found := obstacle(self.choices)) is not None:
            place, told = found
            if place is not None:
                self.listing.select(place)
            self.say(told)
            return
        said = {choice.name: choice.chosen for choice in self.choices if choice.name and choice.chosen != choice.guess}
        ways = sheets_in.Ways(said, importing.meanings(self.service), self.choices[0].chosen or None)
        self.at = self.listing.cursor if self.page == "columns" else self.at
        self._set_about(Weighing(self.path, ways), self._show_rows)

    def _told(self, found: importing.Imported) -> list[dict[str, Any]]:
        assert self.read is not None
        names = {vessel.number: vessel.name for vessel in self.service.view.vessels()}
        return list(row_verdicts.rows(self.read.rows, found.verdicts, names, self.service.view.units))

    def _show_rows(self, read: sheets_in.Read, found: importing.Imported) -> None:
        self.page, self.read = "rows", read
        told = self._told(found)
        first = next((place for place, one in enumerate(told) if one["state"] in ("wrong", "stopped")), 0)
        self.summed = row_verdicts.summary(row_verdicts.counted(told), saved=False, preview=True)
        self._head(self.path.name, f"{len(told)} entries")
        self.listing.show_rows(told, first)
        self.say("")

    def _record(self) -> None:
        """Record all rows together and leave, or say why none was."""
        assert self.read is not None
        stock = self.service.view.house.stock
        stuff = [one.fields.get("material", "") for row in self.read.rows for one in row.requests]
        doubt = next((said for said in (unknown(name, stock) for name in dict.fromkeys(stuff)) if said), "")
        if doubt and doubt != self.doubted:
            self.doubted = doubt
            self.say(f"{doubt} Enter again records it as it stands, weighed in grams.")
            return
        self._set_about(Weighing(self.path, read=self.read, preview=False), self._recorded)

    def _recorded(self, read: sheets_in.Read, found: importing.Imported) -> None:
        if not found.sound or any(row.wrong for row in read.rows):
            self._show_rows(read, found)
            return
        told = row_verdicts.summary(row_verdicts.counted(self._told(found)), found.saved, preview=False)
        if found.saved:
            importing.remember(self.service, read.meaning)
        self.dismiss(told)

    def refresh_from_service(self) -> None:
        """Another program has recorded something: the rows are weighed again."""
        if self.page == "rows" and self.weighing is None:
            self._weigh()

    # -- weighing, in a thread: the screen says how far it is, and Escape ends it

    def _set_about(self, work: Weighing, done: Done) -> None:
        """Have the rows read and weighed, and then `done` with what they are."""
        self.weighing = work
        self.say("Weighing the rows. Esc stops it; nothing is recorded yet.")
        self.run_worker(partial(self._weigh_apart, work, done), thread=True)

    def _weigh_apart(self, work: Weighing, done: Done) -> None:
        """Work in a thread of its own, with a cellar of its own."""

        def ended(read: sheets_in.Read, found: importing.Imported) -> None:
            self.weighing = None
            done(read, found)

        try:
            outcome = work.run(self.service, partial(self.app.call_from_thread, self.say))
        except REFUSALS as error:
            self.app.call_from_thread(self._refused, error)
        else:
            self.app.call_from_thread(ended, *outcome)

    def _refused(self, error: Exception) -> None:
        self.weighing = None
        if isinstance(error, CellarError) and error.field == "dates":
            self.listing.select(0)
            self.say("The numbers alone do not say which is the day: choose how the dates are written.")
        else:
            tell(self.app, error)

    def on_unmount(self) -> None:
        """Stop what is under way when the program ends."""
        if self.weighing is not None:
            self.weighing.stopped = True

    # -- what is drawn

    def paint(self, one: Choice | dict[str, Any], width: int) -> list[tuple[str, str]]:
        """Return one column with its field, or one row with what becomes of it."""
        if isinstance(one, Choice):
            head, field = min(HEAD, width // 3), min(FIELD, width // 3)
            text = f" {column(one.name or 'Dates', head)} {column(one.told(), field)} {one.sample}"
            return [(column(text, width), "late" if one.name and not one.chosen else "")]
        bad = one["state"] in ("wrong", "stopped")
        return [(column(f" {next(row_verdicts.lines(one))}", width), "stop" if bad else "")]

    def _changed(self) -> None:
        self.listing.refresh()
        self._selected()
        self.say("")

    @on(Lines.Moved)
    def _selected(self) -> None:
        """Say the selected line in full."""
        one = self.listing.selected
        if isinstance(one, Choice):
            self._full(
                "Left and Right choose, a letter goes to the next field that begins with it, - leaves the column out.",
                one.told(),
            )
        elif one is not None:
            self._full(*row_verdicts.lines(one))

    def _full(self, *told: str) -> None:
        width = max(20, self.app.size.width - 4)
        self.query_one("#full", Told).show([line for text in told for line in wrapped(text, width)])

    # -- keys

    def action_go_on(self) -> None:
        """Read the file, weigh its rows, or record them."""
        {"path": self._read_heads, "columns": self._weigh, "rows": self._record}[self.page]()

    def action_choose(self, by: int) -> None:
        """Choose another field for the selected column."""
        choice = self.listing.selected
        if isinstance(choice, Choice):
            choice.step(by)
            self._changed()

    def action_page_back(self) -> None:
        """Go a page back, from the first one to where it was opened."""
        if self.weighing is not None:
            self.weighing.stopped = True
        elif self.page == "rows":
            self._show_columns()
        elif self.page == "columns":
            self._ask_path()
        else:
            self.dismiss(None)
