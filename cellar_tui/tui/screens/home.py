"""The cellar: every vessel on one line, what is due first, and the selected one in plain words."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.timer import Timer
from textual.widgets import Static

from cellar_tui.entry_form import drafts
from cellar_tui.entry_form.questions import empty_vessels
from cellar_tui.language import days
from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import column, due_words, joined
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.view import CellarView
from cellar_tui.service.views import Board, BoardLine, CellarError, SaveResult, Task, WineView
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens import about
from cellar_tui.tui.screens.board_table import Table, table
from cellar_tui.tui.screens.first_page import first_page
from cellar_tui.tui.screens.house import HouseScreen
from cellar_tui.tui.screens.list_screen import ListScreen
from cellar_tui.tui.screens.materials import MaterialsScreen
from cellar_tui.tui.screens.newcomer import NewVesselScreen, NewWineScreen
from cellar_tui.tui.screens.round import RoundScreen
from cellar_tui.tui.screens.why import Part
from cellar_tui.tui.screens.wine import WineScreen
from cellar_tui.tui.screens.wine_figures import figure_items
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.form_panel import FormPanel
from cellar_tui.tui.widgets.line_view import LineView
from cellar_tui.tui.widgets.lines import Lines
from cellar_tui.tui.widgets.told import Told

SORTS: dict[str, Callable[[BoardLine], tuple[object, ...]]] = {
    "place": lambda one: (one.place.casefold(), one.name.casefold()),
    "name": lambda one: (one.name.casefold(),),
    "wine": lambda one: (one.wine is None, (one.wine or "").casefold(), one.name.casefold()),
}
ORDERS = ("due", *SORTS)
REST = 0.15
"""Seconds that the cursor rests on a wine before it is worked out in full: passing it by must cost nothing."""
WIDE = 120
"""Width of the terminal [cells] from which the selected vessel stands beside the list."""


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
        self._views: dict[int, WineView] = {}
        """Wines worked out in full since the board was read."""
        self._resting: Timer | None = None
        self.table: Table | None = None

    def compose(self) -> ComposeResult:
        """Lay out head, list, the selected vessel in words, the form and the keys."""
        yield Static(id="head")
        with Horizontal(id="main"):
            with Vertical():
                yield Static(id="columns")
                yield Lines(self.paint, id="vessels")
            yield Told(id="side")
        yield Static(id="first")
        yield Told(id="about")
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
        self.set_class(event.size.width >= WIDE, "-wide")
        # The list has its new width only when this has gone through the layout.
        self.call_after_refresh(self._lay_out)

    def refresh_from_service(self) -> None:
        """Read the board again; the cursor stays on its vessel."""
        kept = self.listing.selected
        self.board = self.seen.board()
        self._views.clear()
        lines = list(self.board.lines)
        if self.order in SORTS:
            lines.sort(key=SORTS[self.order])
        lines = [one for one in lines if self._found(one)]
        number = kept.number if isinstance(kept, BoardLine) else None
        self.set_class(not self.board.lines, "-first")
        told = first_page(self.service.path, read_only=self.service.read_only)
        self.query_one("#first", Static).update(label("\n".join(told)))
        self.listing.show_rows(lines, next((i for i, one in enumerate(lines) if one.number == number), 0))
        self._lay_out()
        if self.panel.is_open:
            self.panel.refresh_form()

    def _found(self, line: BoardLine) -> bool:
        due = " ".join(f"{one.action.rule} {one.action.task} {one.status}" for one in line.actions)
        known = (line.name, line.wine, line.style, line.stage, line.place, line.material, line.summary, due)
        text = " ".join(one for one in known if one).replace("_", " ").casefold()
        return all(word in text for word in self.words.split())

    def _lay_out(self) -> None:
        """Write head and columns for the width there is."""
        if self.board is None or not self.is_mounted:
            return
        width = self.listing.scrollable_content_region.width or self.app.size.width
        self.table = table(self.board.lines, self.board.today, self.service.view.units, width)
        self.query_one("#columns", Static).update(label(self.table.heads()))
        self.query_one("#head", Static).update(label(self._head()))
        self.listing.refresh()
        self._selected()
        self.say(self.told)

    def _head(self) -> str:
        assert self.board is not None
        today, width = self.board.today, self.app.size.width
        left = joined((" Cellar", self.heading, self.service.by))
        counts = [f"{self.board.late} late", f"{self.board.due_today} today", f"{self.board.week} this week"]
        if self.board.problems:
            counts.append(f"{len(self.board.problems)} in the ledger to put right")
        if self.past is not None:
            return column(joined((f" Cellar as known at the end of {days.echo(today)}", self.heading)), width - 1)
        full, brief = days.echo(today), f"{today:%a} {today.day} {today:%b}"
        for right in (joined((full, *counts)), joined((brief, *counts)), joined((brief, *counts[:2]))):
            if cells(left) + cells(right) + 2 < width:
                break
        return f"{column(left, max(0, width - cells(right) - 2))} {right}"

    def keys(self) -> str:
        """Return the last line; an empty cellar has nothing to record on."""
        if self.board is None or self.board.lines:
            return super().keys()
        return joined(("" if self.service.read_only else "Enter begin", "q quit", "? keys"), "  ")

    def mark(self) -> str:
        """Return the order and the words looked for, where they are not the usual ones."""
        return joined((f"by {self.order}" if self.order != "due" else "", super().mark()))

    def paint(self, line: BoardLine, width: int) -> list[tuple[str, str]]:
        """Return one vessel as parts of text."""
        if self.table is None or self.board is None:
            return []
        return self.table.parts(line, self.board.today)

    @on(Lines.Moved)
    def _moved(self) -> None:
        self._selected()

    def _selected(self) -> None:
        """Show the selected vessel in words: below the list, or beside it where there is room."""
        line = self.listing.selected
        if self.board is None:
            return
        wide = self.has_class("-wide")
        area = self.query_one("#side" if wide else "#about", Told)
        told = ["Nothing here holds these words."] if self.words else []
        if isinstance(line, BoardLine):
            width = (area.size.width or self.app.size.width) - 2
            known = (line, self.board.problems, self.board.today, self.service.view.units, width)
            told = about.beside(*known, self._seen(line)) if wide else about.below(*known)
        area.show(["", *(f" {one}" for one in told)])

    def _seen(self, line: BoardLine) -> WineView | None:
        """Return a wine worked out in full; where it is not yet, it is once the cursor rests on it."""
        if line.number not in self._views and line.wine is not None:
            if self._resting is not None:
                self._resting.stop()
            self._resting = self.set_timer(REST, self._look)
        return self._views.get(line.number)

    def _look(self) -> None:
        """Work out the selected wine in full."""
        line = self.listing.selected
        if isinstance(line, BoardLine) and line.wine is not None and self.has_class("-wide"):
            with suppress(CellarError):
                self._views[line.number] = self.service.view.wine(line.name)
                self._selected()

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
        self.say("")
        self.app.push_screen(NewVesselScreen(self.service), self._vessel_entered)

    def action_new_wine(self) -> None:
        """Begin a wine in the selected vessel, else in another that is empty."""
        assert self.board is not None
        line = self.listing.selected
        free = [one.name for one in empty_vessels(self.board.lines)]
        if not free:
            self.say("No vessel is empty: v enters a new one.")
            return
        self.say("")
        chosen = line.name if isinstance(line, BoardLine) and line.name in free else free[0]
        self.app.push_screen(NewWineScreen(self.service, chosen), self._landed)

    def _vessel_entered(self, answer: SaveResult | None) -> None:
        """Show the new vessel; the first one of a cellar is there for a wine."""
        self._landed(answer)
        if answer is not None and self.board is not None and not any(one.wine for one in self.board.lines):
            self.action_new_wine()

    def _landed(self, answer: SaveResult | None) -> None:
        """Put the cursor on what was entered, and say so."""
        self.refresh_from_service()
        if answer is None:
            return
        first = answer.outcomes[0]
        number = first.entry.vessel
        self.listing.select(next((i for i, one in enumerate(self.listing.rows) if one.number == number), 0))
        self.say(f"Recorded as entry {first.entry.seq}: {self.say_entry(first.entry)}.")

    def action_vessel(self) -> None:
        """Correct the entry of the selected vessel: its name, place or capacity, or that it is retired."""
        line = self.listing.selected
        if not isinstance(line, BoardLine):
            return
        entries = (one.entry for one in self.service.view.ledger(line.name) if one.state == "standing")
        found = next((one for one in entries if one.body.kind == "vessel" and one.vessel == line.number), None)
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
        self.say("")
        self.app.push_screen(RoundScreen(self.service), lambda _: self.refresh_from_service())

    def action_house(self) -> None:
        """Show and change the house rules."""
        self.say("")
        self.app.push_screen(HouseScreen(self.service), lambda _: self.refresh_from_service())

    def action_materials(self) -> None:
        """Show what is on hand and what the wines will need."""
        self.say("")
        self.app.push_screen(MaterialsScreen(self.service), lambda _: self.refresh_from_service())

    def action_why(self) -> None:
        """Show the working of every number of the selected line: what is due, then verdicts and figures."""
        line = self.listing.selected
        if not isinstance(line, BoardLine) or line.wine is None:
            return
        parts: list[Part] = []
        for task in line.actions:
            when_due = due_words(task.action.show, task.action.latest, self.service.view.today)
            parts.append((f"{task.action.task}, {when_due}", task.action.because))
            if task.action.dose is not None:
                parts.append((f"{task.action.task}: the dose", task.action.dose.because))
        items = figure_items(self.service.view.wine(line.name))
        parts += [(" ".join(f"{one.head} {one.text}".split()), one.because) for one in items if one.because is not None]
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
