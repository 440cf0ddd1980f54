"""The cellar: every vessel on one line, what is due first, and the selected one in plain words."""

from __future__ import annotations

from contextlib import suppress
from threading import Thread
from typing import TYPE_CHECKING

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Container, Horizontal, Vertical
from textual.timer import Timer
from textual.widgets import Static

from cellar_tui.entry_form import drafts
from cellar_tui.language import days
from cellar_tui.language.layout import column, due_words, joined
from cellar_tui.service.open import OpenCellar, supplies_apart
from cellar_tui.service.view import CellarView
from cellar_tui.service.views import Board, BoardLine, CellarError, SaveResult, Task
from cellar_tui.tui import preferences
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens import fortnight, home_rows
from cellar_tui.tui.screens import home_picture as picture
from cellar_tui.tui.screens.board_table import Table
from cellar_tui.tui.screens.home_rows import ORDERS, HomeRow, is_head, rows
from cellar_tui.tui.screens.list_screen import ListScreen
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.form_panel import FormPanel
from cellar_tui.tui.widgets.line_view import LineView
from cellar_tui.tui.widgets.lines import Beside, Lines
from cellar_tui.tui.widgets.told import Told
from cellar_tui.tui.widgets.toned import Part

if TYPE_CHECKING:
    from cellar_tui.planning.shopping import Supply
    from cellar_tui.tui.screens.why import Part as Working

IDLE = 3.0
"""Seconds of rest after which what is to be got is worked out, beside everything else."""
MOST_ENTRIES = 4000
"""Entries of a cellar from which that is left to the page of materials: all of its plans are made for it."""
SAMPLED = 200
"""Vessels whose strips are looked at for the signs to explain: those that are due first."""
RECENT = 40
"""Last entries that are read for the screen."""


class HomeScreen(ListScreen):
    """The cellar."""

    BINDINGS = [
        *(Binding(one.key, one.action, one.label, show=False, priority=True, id=one.id) for one in keys_of("cellar")),
        Binding("escape,f9", "back", show=False, priority=True),
    ]

    def __init__(
        self, service: OpenCellar, title: str, *, invented: bool = False, past: CellarView | None = None
    ) -> None:
        super().__init__(service, past)
        self.title_given, self.invented = title, invented
        self.heading = f"{title}, invented" if invented else title
        self.order = "due"
        self.board: Board | None = None
        self.table: Table | None = None
        self.place = picture.layout(80, 24, 0)
        self.shades = fortnight.PLAIN if preferences.marks(service.by) == "plain" else fortnight.BLOCKS
        self.get: tuple[Supply, ...] = ()
        self._resting: Timer | None = None

    def compose(self) -> ComposeResult:
        """Lay out head, list with the days ahead beside it, the selected vessel in words, the form and the keys."""
        yield Static(id="head")
        yield Static(id="columns")
        with Horizontal(id="main"):
            vessels = Lines(self.paint, id="vessels", passes=is_head)
            yield vessels
            yield Beside(vessels, self.paint_days, id="strip")
        with Container(id="below"):
            with Vertical(id="left"):
                yield Told(id="about")
                yield Told(id="lately")
            yield Told(id="ahead")
            yield Told(id="third")
        yield Static(id="first")
        yield LineView(id="find", offered="words to look for: vessel, wine, style, place, what is due")
        yield LineView(id="asof", offered="a past day: yesterday, -30d, 2026-08-01")
        yield FormPanel(id="form")
        yield Static(id="foot")

    def on_mount(self) -> None:
        """Show the board, and a form that was cut off."""
        super().on_mount()
        if self.past is None:
            self.reopen_draft()

    def on_resize(self, event: events.Resize) -> None:
        """Use the room there is."""
        self._lay_out()

    def refresh_from_service(self) -> None:
        """Read the board again; the cursor stays on its vessel."""
        from cellar_tui.tui.screens.first_page import first_page

        kept = self.listing.selected
        self.board = self.seen.board()
        found = rows([line for line in self.board.lines if home_rows.found(line, self.words)], self.order)
        number = kept.number if isinstance(kept, BoardLine) else None
        self.set_class(not self.board.lines, "-first")
        told = first_page(self.service.path, read_only=self.service.read_only)
        self.query_one("#first", Static).update(label("\n".join(told)))
        self.listing.show_rows(found, next((i for i, one in enumerate(found) if _is(one, number)), 0))
        self._lay_out()
        self._rest()
        if self.panel.is_open:
            self.panel.refresh_form()

    def _lay_out(self) -> None:
        """Write head, columns, list and what stands below for the room there is."""
        if self.board is None or not self.is_mounted:
            return
        width, height = self.app.size
        warned = sum(one.outer_size.height for one in self.query("#warning"))
        self.place = place = picture.layout(width, height - warned, len(self.listing.rows))
        self.table = picture.columns_of(self.board, self.service.view.units, place)
        self._share(place)
        self.query_one("#columns", Static).update(label(picture.column_heads(self.table, self.board, place)))
        self.query_one("#head", Static).update(label(self._head()))
        self.listing.refresh()
        self._still()
        self._selected()
        self.say(self.told)

    def _share(self, place: picture.Layout) -> None:
        """Give every part its room."""
        self.set_class(place.days > 0, "-wide")
        self.set_class(len(place.parts) > 2, "-widest")
        self.query_one("#strip").styles.width = place.strip_width
        self.query_one("#below").styles.height = place.below
        self.query_one("#about").styles.height = place.selected
        self.query_one("#left").styles.height = place.below if place.days else place.selected
        for name, width in zip(("#left", "#ahead", "#third"), place.parts, strict=False):
            self.query_one(name).styles.width = width if place.days else "1fr"

    def _head(self) -> str:
        assert self.board is not None
        width = self.app.size.width
        if self.past is not None:
            told = joined((f" Cellar as known at the end of {days.echo(self.board.today)}", self.heading))
            return column(told, width - 1)
        return picture.head(self.board, self.heading, self.service.by, width)

    def _still(self) -> None:
        """Show what does not follow the cursor: the days ahead, the last entries, what is to be got."""
        board, place, units = self.board, self.place, self.service.view.units
        if board is None or not board.lines:
            return
        self.query_one("#ahead", Told).show(picture.ahead(board, units, place))
        if place.days:
            signs = fortnight.legend(board.lines[:SAMPLED], board.today, place.days, self.shades)
            names = {line.number: line.name for line in board.lines}
            last = picture.recent(self.seen.newest(RECENT, names), names, board.today, units)
            get = picture.to_get(self.get, units, place.parts[-1 if len(place.parts) > 2 else 0] - 2)
            name = "#third" if len(place.parts) > 2 else "#lately"
            self.query_one(name, Told).show(picture.beside_ahead(signs, last, get, board.today, place))

    def _rest(self) -> None:
        """Work out what is to be got once nobody has recorded anything for a while, and never before a key."""
        if self._resting is not None:
            self._resting.stop()
        self._resting = self.set_timer(IDLE, self._look_ahead)

    def _look_ahead(self) -> None:
        wanted = self.place.days and self.past is None and not self.panel.is_open
        if wanted and self.service.entries() <= MOST_ENTRIES:
            # Not one of the framework's: the program would wait for it at its end.
            Thread(target=self._supplies, daemon=True, name="supplies").start()

    def _supplies(self) -> None:
        """Work out what is to be got, in a thread."""
        # The cellar may be closed, or the program ended, before it is done.
        with suppress(CellarError, OSError, RuntimeError):
            found = supplies_apart(self.service)
            self.app.call_from_thread(self._got, found)

    def _got(self, found: tuple[Supply, ...]) -> None:
        self.get = found
        if self.is_mounted:
            self._still()

    def keys(self) -> str:
        """Return the last line; an empty cellar has nothing to record on."""
        if self.board is None or self.board.lines:
            return super().keys()
        return joined(("" if self.service.read_only else "Enter begin", "q quit", "? keys"), "  ")

    def mark(self) -> str:
        """Return the order and the words looked for, where they are not the usual ones."""
        return joined((f"by {self.order}" if self.order != "due" else "", super().mark()))

    def paint(self, row: HomeRow, width: int) -> list[Part]:
        """Return one row of the list as parts of text."""
        return [] if self.table is None or self.board is None else picture.row(self.table, row, self.board)

    def paint_days(self, row: HomeRow, width: int) -> list[Part]:
        """Return the days ahead of one row."""
        return [] if self.board is None else picture.strip(row, self.board, self.place, self.shades)

    @on(Lines.Moved)
    def _selected(self) -> None:
        """Show the selected vessel in words."""
        line = self.listing.selected
        if self.board is None:
            return
        nothing = "Nothing here holds these words." if self.words else ""
        chosen = line if isinstance(line, BoardLine) else None
        told = picture.selected(chosen, self.board, self.service.view.units, self.place, nothing)
        self.query_one("#about", Told).show(told)

    def target(self) -> str | None:
        """Return the selected vessel."""
        line = self.listing.selected
        return line.name if isinstance(line, BoardLine) and line.wine is not None else None

    def empty_vessel(self) -> str | None:
        """Return the selected vessel where it is empty."""
        line = self.listing.selected
        return line.name if isinstance(line, BoardLine) and line.wine is None else None

    def due_tasks(self) -> list[Task]:
        """Return the due actions of the selected vessel."""
        line = self.listing.selected
        return list(line.actions) if isinstance(line, BoardLine) else []

    def action_sort(self) -> None:
        """Sort in the next order."""
        self.order = ORDERS[(ORDERS.index(self.order) + 1) % len(ORDERS)]
        self.told = ""
        self.refresh_from_service()

    def action_open(self) -> None:
        """Open the selected wine."""
        from cellar_tui.tui.screens.wine import WineScreen

        line = self.listing.selected
        if self.board is not None and not self.board.lines and not self.service.read_only:
            self.action_new_vessel()
        elif isinstance(line, BoardLine):
            self.say("")
            wine = WineScreen(self.service, line.name, self.past)
            self.app.push_screen(wine, lambda _: self.refresh_from_service())

    def action_wall(self) -> None:
        """Show the whole cellar to be read from across the room."""
        from cellar_tui.tui.screens.wall import WallScreen

        self.app.push_screen(WallScreen(self.service, self.heading), lambda _: self.refresh_from_service())

    # -- vessels and wines that begin

    def action_new_vessel(self) -> None:
        """Enter a vessel, step by step."""
        from cellar_tui.tui.screens.newcomer import NewVesselScreen

        self.say("")
        self.app.push_screen(NewVesselScreen(self.service), self._vessel_entered)

    def action_new_wine(self) -> None:
        """Begin a wine in the selected vessel, else in another that is empty."""
        from cellar_tui.entry_form.questions import empty_vessels
        from cellar_tui.tui.screens.newcomer import NewWineScreen

        assert self.board is not None
        line = self.listing.selected
        free = [vessel.name for vessel in empty_vessels(self.board.lines)]
        if not free:
            self.say("No vessel is empty: v enters a new one.")
            return
        self.say("")
        chosen = line.name if isinstance(line, BoardLine) and line.name in free else free[0]
        self.app.push_screen(NewWineScreen(self.service, chosen), self._landed)

    def _vessel_entered(self, answer: SaveResult | None) -> None:
        """Show the new vessel; the first one of a cellar is there for a wine."""
        self._landed(answer)
        if answer is not None and self.board is not None and not any(line.wine for line in self.board.lines):
            self.action_new_wine()

    def _landed(self, answer: SaveResult | None) -> None:
        """Put the cursor on what was entered, and say so."""
        self.refresh_from_service()
        if answer is None:
            return
        first = answer.outcomes[0]
        number = first.entry.vessel
        self.listing.select(next((i for i, one in enumerate(self.listing.rows) if _is(one, number)), 0))
        self.say(f"Recorded as entry {first.entry.seq}: {self.say_entry(first.entry)}.")

    def action_vessel(self) -> None:
        """Correct the entry of the selected vessel: its name, place or capacity, or that it is retired."""
        line = self.listing.selected
        if not isinstance(line, BoardLine):
            return
        entries = (line.entry for line in self.service.view.ledger(line.name) if line.state == "standing")
        found = next((entry for entry in entries if entry.body.kind == "vessel" and entry.vessel == line.number), None)
        if found is None:
            self.say(f"{line.name} came from a bottling: correct that entry on its page.")
        else:
            self.open_form(line.name, "vessel", amend=found)

    def reopen_draft(self) -> None:
        """Bring back what a dropped line cut off: a form, or the questions of a vessel or wine."""
        draft = drafts.load(drafts.draft_file(self.service.path, self.service.by))
        if draft is None or draft.amends is not None or draft.kind not in ("vessel", "wine"):
            super().reopen_draft()
        elif draft.kind == "vessel" and not self.service.read_only:
            self.action_new_vessel()
        elif not self.service.read_only:
            self.action_new_wine()

    def action_round(self) -> None:
        """Walk through what is due."""
        from cellar_tui.tui.screens.round import RoundScreen

        self.say("")
        self.app.push_screen(RoundScreen(self.service), lambda _: self.refresh_from_service())

    def action_house(self) -> None:
        """Show and change the house rules."""
        from cellar_tui.tui.screens.house import HouseScreen

        self.say("")
        self.app.push_screen(HouseScreen(self.service), lambda _: self.refresh_from_service())

    def action_materials(self) -> None:
        """Show what is on hand and what the wines will need."""
        from cellar_tui.tui.screens.materials import MaterialsScreen

        self.say("")
        self.app.push_screen(MaterialsScreen(self.service), lambda _: self.refresh_from_service())

    def action_why(self) -> None:
        """Show the working of every number of the selected line: what is due, then verdicts and figures."""
        from cellar_tui.tui.screens.wine_figures import figure_items

        line = self.listing.selected
        if not isinstance(line, BoardLine) or line.wine is None:
            return
        parts: list[Working] = []
        for task in line.actions:
            when_due = due_words(task.action.show, task.action.latest, self.service.view.today)
            parts.append((f"{task.action.task}, {when_due}", task.action.because))
            if task.action.dose is not None:
                parts.append((f"{task.action.task}: the dose", task.action.dose.because))
        items = figure_items(self.service.view.wine(line.name))
        parts += [
            (" ".join(f"{item.head} {item.text}".split()), item.because) for item in items if item.because is not None
        ]
        self.explain(joined(("Why", line.name, line.wine)), line.name, *parts)

    def in_the_past(self, past: CellarView) -> ListScreen:
        """Return the cellar as it was known on a past day."""
        return HomeScreen(self.service, self.title_given, invented=self.invented, past=past)

    def leave(self) -> None:
        """Go back from a past day to today; at home there is no step back."""
        if self.past is None:
            super().leave()
        else:
            self.dismiss()

    def action_quit(self) -> None:
        """Leave the program."""
        self.save_draft()
        self.app.exit(0)


def _is(row: HomeRow, number: int | None) -> bool:
    return isinstance(row, BoardLine) and row.number == number
