"""The reading sheet: many vessels, one row each, judged while they are typed, recorded by one key."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import Screen
from textual.timer import Timer
from textual.widgets import Static

from cellar_tui.entry_form.fields import bare_units
from cellar_tui.entry_form.sheet import ALL, AS_ASKED, DUE, SETS, Row, Sheet
from cellar_tui.entry_form.sheet_cells import DAY_ROW, SheetCells
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.language import days
from cellar_tui.language.layout import joined, wrapped
from cellar_tui.service.build_entries import place_of
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError, Outcome, SaveResult
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens import sheet_text
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.form_panel import DRAFT_AFTER
from cellar_tui.tui.widgets.sheet_grid import Part, SheetGrid
from cellar_tui.tui.widgets.told import Told


class SheetScreen(SpeaksErrors, Screen[str]):
    """Vessels below each other, readings beside each other; it hands back what became of the sheet, in a sentence."""

    CSS = """
    SheetScreen #about { height: 6; }
    SheetScreen.-short #about { height: 4; }
    SheetScreen.-tall #about { height: 10; }
    """
    VERTICAL_BREAKPOINTS = [(0, "-short"), (24, "-medium"), (34, "-tall")]
    BINDINGS = [
        Binding(one.key, one.action, one.label, show=False, id=f"sheet.{one.id}")
        for one in keys_of("sheet")
        if one.id != "down"
    ]

    def __init__(self, service: OpenCellar, wine: str | None = None) -> None:
        super().__init__()
        self.service, self.wine = service, wine
        self.sheet = Sheet(service, bare_units(service.view.units))
        self.choices = (*((wine,) if wine else ()), DUE, ALL)
        self.choice = self.choices[0] if self.sheet.listed(self.choices[0]) else ALL
        self.set_name = AS_ASKED
        self.told = ""
        self._pending, self._busy = False, False
        self._draft_timer: Timer | None = None

    def compose(self) -> ComposeResult:
        """Lay out head, cells, the row under the cursor in words, and the keys."""
        yield Static(id="head")
        yield SheetGrid(SheetCells(self.sheet), self._judged, self._day, id="grid")
        yield Told(id="about")
        yield Static(id="foot")

    def on_mount(self) -> None:
        """Show the cells, with what was typed before and not recorded."""
        if self.sheet.take_up():
            self.told = "As you left it; nothing of it is recorded yet."
        if not self._columns():
            self.set_name = next(iter(SETS))
        self.set_focus(self.grid)
        self._lay_out()
        self._go_to_first()

    @property
    def grid(self) -> SheetGrid:
        """The cells."""
        return self.query_one(SheetGrid)

    @property
    def rows(self) -> list[Row]:
        """The vessels shown."""
        return self.sheet.listed(self.choice)

    def _columns(self) -> list[str]:
        return self.sheet.columns(self.set_name, self.rows)

    def _go_to_first(self) -> None:
        """Put the cursor on the first cell that is asked for and empty, else on the first."""
        for index, row in enumerate(self.grid.rows):
            for place, name in enumerate(self.grid.columns):
                if name in row.asked and (row.number, name) not in self.sheet.texts:
                    self.grid.go(index, place)
                    return

    # -- what is shown

    def on_resize(self) -> None:
        """Write everything anew for the room there is."""
        self.call_after_refresh(self._tell)

    def _lay_out(self) -> None:
        self.grid.show(self.rows, self._columns())
        self.update_sheet()

    def update_sheet(self) -> None:
        """Weigh what is typed, and show what it would do."""
        self._pending = False
        try:
            self.sheet.weigh(self.rows)
        except CellarError as error:
            self.told = str(error)
        self.grid.repaint()
        self._tell()

    def _tell(self) -> None:
        if not self.is_mounted:
            return
        typed = self.sheet.typed(self.rows)
        wrong = [row for row in typed if not sheet_text.kept(self.sheet.found.get(row.number))]
        counts = [f"{len(typed)} of {len(self.rows)} typed" if self.rows else ""]
        counts += ["1 has an error" if len(wrong) == 1 else f"{len(wrong)} have an error"] if wrong else []
        head = joined((" Reading sheet", self.choice, "" if self.set_name == AS_ASKED else self.set_name, *counts))
        self.query_one("#head", Static).update(label(head))
        width = self.app.size.width - 2
        foot = self.told or short.footer("sheet", width, read_only=self.service.read_only)
        self.query_one("#foot", Static).update(label(foot))
        self.query_one("#about", Told).show(["", *(f" {one}" for one in self._about(width))])

    def _about(self, width: int) -> list[str]:
        """Return the cell under the cursor and what its row would do, in words."""
        if not self.rows:
            return ["No vessel holds wine to test. F6 shows other vessels."]
        if self.grid.cells.row == DAY_ROW:
            return wrapped(f"The day of every row: {days.FORMS}.", width)
        here = self.grid.selected
        if here is None:
            return []
        row, name = here
        cell = sheet_text.cell(row, name, self.sheet.last(row.number, name), self.service.view.units)
        found = self.sheet.found.get(row.number)
        told = [] if found is None else sheet_text.effect(found)
        return [text for one in (cell, *told) for text in wrapped(one, width)]

    def _judged(self, row: Row, room: int) -> Part:
        return sheet_text.verdict(self.sheet.found.get(row.number), room)

    def _day(self) -> Part:
        try:
            return days.echo(
                place_of(self.sheet.at, self.service.view.today, self.service.view.house.word("zone"))[0]
            ), "quiet"
        except CellarError as error:
            return str(error), "stop"

    def refresh_from_service(self) -> None:
        """Another program has recorded something: weigh anew, and say so where it concerns a typed row."""
        foreign = self.sheet.foreign()
        self.sheet.refresh()
        self.told = f"{foreign}." if foreign else self.told
        self._lay_out()

    # -- typing

    def take(self, press: Press) -> bool:
        """Act on a key that is meant for the cells; what it would do is weighed once the keys of this burst are in."""
        before = dict(self.sheet.texts), self.sheet.at
        if not self.grid.press(press):
            return False
        if (self.sheet.texts, self.sheet.at) != before:
            self._typed()
        self._update_soon()
        return True

    def _update_soon(self) -> None:
        """Weigh once the keys of this burst are in."""
        if not self._pending:
            self._pending = True
            self.call_later(self.update_sheet)

    def _typed(self) -> None:
        self.told = ""
        if self._draft_timer is not None:
            self._draft_timer.stop()
        self._draft_timer = self.set_timer(DRAFT_AFTER, self.save_draft)

    def save_draft(self) -> bool:
        """Keep what is typed; return whether there was anything to keep."""
        return self.sheet.keep()

    # -- keys

    def action_yesterday(self) -> None:
        """Date the sheet yesterday; once more dates it today."""
        self.sheet.at = "" if self.sheet.at == "yesterday" else "yesterday"
        self.update_sheet()

    def action_columns(self) -> None:
        """Show other readings; those that are typed in stay."""
        names = [*((AS_ASKED,) if self.sheet.columns(AS_ASKED, self.rows) else ()), *SETS]
        place = names.index(self.set_name) if self.set_name in names else -1
        self.set_name = names[(place + 1) % len(names)]
        self._lay_out()

    def action_rows(self) -> None:
        """Show other vessels; those that are typed in stay."""
        self.choice = self.choices[(self.choices.index(self.choice) + 1) % len(self.choices)]
        if not self._columns():
            self.set_name = next(iter(SETS))
        self._lay_out()

    def action_save(self) -> None:
        """Record every typed row, all or none."""
        if self._busy or self.service.read_only:
            return
        rows = self.rows
        self._busy = True
        try:
            answer = self.sheet.record(rows)
        except CellarError as error:
            self._refused(error)
        else:
            if answer.stopped:
                self._stopped(answer)
            else:
                self._leave(sheet_text.recorded(answer))
        finally:
            self._busy = False

    def _refused(self, error: CellarError) -> None:
        self.told = f"Nothing was recorded: {error}"
        if error.code == "moved":
            self.told = f"Nothing was recorded: {self.sheet.foreign()}. Look, then F8."
            self.sheet.accept()
        self._lay_out()
        self._go_to(
            next(
                (
                    row
                    for row in self.sheet.typed(self.rows)
                    if isinstance(self.sheet.found.get(row.number), CellarError)
                ),
                None,
            )
        )

    def _stopped(self, answer: SaveResult) -> None:
        stopped = next(outcome for outcome in answer.outcomes if outcome.stops)
        self.told = f"Nothing was recorded. {stopped.vessel} is stopped: {stopped.stops[0].why}"
        self.update_sheet()
        self._go_to(next((row for row in self.rows if row.number == stopped.entry.vessel), None))

    def _go_to(self, row: Row | None) -> None:
        """Put the cursor on a row, on the first cell at fault where there is one."""
        if row is None:
            return
        found = self.sheet.found.get(row.number)
        wrong = () if found is None or isinstance(found, Outcome) else sheet_text.fields_at_fault(found)
        columns = list(self.grid.columns)
        place = next((columns.index(name) for name in wrong if name in columns), self.grid.cells.col)
        self.grid.go(list(self.grid.rows).index(row), place)

    def action_put_away(self) -> None:
        """Go back; what is typed and not recorded is kept."""
        kept = self.save_draft()
        self._leave("Kept as a draft: it comes back with the sheet." if kept else "")

    def _leave(self, told: str) -> None:
        if self._draft_timer is not None:
            self._draft_timer.stop()
        self.dismiss(told)
