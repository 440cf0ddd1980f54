"""A wine: its verdicts and figures, free SO2 over time, what is due, the way to bottling, and its ledger."""

from __future__ import annotations

from typing import Any

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.widgets import Static

from cellar_tui.language import days, describe_entry
from cellar_tui.language.layout import column, joined, wrapped
from cellar_tui.ledger.bottle_stock import stock
from cellar_tui.planning.forecast.calibration import scored
from cellar_tui.planning.rules.table import RULE_BY_ID
from cellar_tui.planning.subject import Subject
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.outcomes import task as as_task
from cellar_tui.service.view import CellarView
from cellar_tui.service.views import CellarError, Task, WineView
from cellar_tui.tui import preferences
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens import about
from cellar_tui.tui.screens.chart_screen import ChartScreen
from cellar_tui.tui.screens.entry import entry_page
from cellar_tui.tui.screens.list_screen import ListScreen
from cellar_tui.tui.screens.why import TextScreen
from cellar_tui.tui.screens.wine_chart import below, opening, series, zooms
from cellar_tui.tui.screens.wine_figures import Item, explained, figure_items
from cellar_tui.tui.screens.wine_lines import due_items, entry_items, path_items
from cellar_tui.tui.widgets.cells import label, tinted
from cellar_tui.tui.widgets.chart import draw
from cellar_tui.tui.widgets.chart_marks import BLOCKS, MARKS, Marks, next_marks
from cellar_tui.tui.widgets.form_panel import FormPanel
from cellar_tui.tui.widgets.line_view import LineView
from cellar_tui.tui.widgets.lines import Lines
from cellar_tui.tui.widgets.themes import ROLES
from cellar_tui.tui.widgets.told import Told

ROOMY = 100
"""Width of the terminal [cells] from which the chart takes half of it."""


class WineScreen(ListScreen):
    """One filling, whole."""

    PLACE = "wine"
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (72, "-plain"), (ROOMY, "-roomy")]
    VERTICAL_BREAKPOINTS = [(0, "-short"), (24, "-medium"), (34, "-tall"), (44, "-high")]
    BINDINGS = [
        Binding(one.key, one.action, one.label, show=False, priority=True, id=one.id) for one in keys_of("wine")
    ]

    def __init__(self, service: OpenCellar, vessel: str, past: CellarView | None = None) -> None:
        super().__init__(service, past)
        self.vessel = vessel
        self.view: WineView | None = None
        self.drawn = ""
        """The reading that is drawn, "" until the wine is known."""
        self.zoom = ""
        """Name of the days that the chart shows, "" for those that the stage makes worth looking at."""
        self.marks = MARKS.get(preferences.marks(service.by), BLOCKS)
        self.at_figures = False
        """The cursor is in the figures, not in the lines below them."""

    def compose(self) -> ComposeResult:
        """Lay out head, figures beside the chart, the lines below, form and keys."""
        yield Static(id="head")
        with Horizontal(id="top"):
            yield Lines(self.paint, id="figures")
            yield Static(id="chart")
        yield Lines(self.paint, id="lines")
        yield Told(id="full")
        yield LineView(id="find", offered="words to look for in the lines")
        yield LineView(id="asof", offered="a past day: yesterday, -30d, 2026-08-01")
        yield FormPanel(id="form")
        yield Static(id="foot")

    @property
    def listing(self) -> Lines[Any]:
        """The list that the cursor moves in."""
        return self.query_one("#figures" if self.at_figures else "#lines", Lines)

    def on_resize(self, event: events.Resize) -> None:
        """Draw anew for the room there is."""
        self.call_after_refresh(self._draw)

    def refresh_from_service(self) -> None:
        """Read the wine again."""
        try:
            self.view = self.seen.wine(self.vessel)
            found = self._items(self.view)
        except CellarError as error:
            self.say(str(error))
            return
        self.drawn = self.drawn or opening(self.view)
        for name, items in (("#figures", figure_items(self.view)), ("#lines", found)):
            lines = self.query_one(name, Lines)
            lines.show_rows(items, lines.cursor)
        self._draw()
        self.say(self.told)
        if self.panel.is_open:
            self.panel.refresh_form()

    def _items(self, view: WineView) -> list[Item]:
        held = view.contents
        seen = () if held is None else (held.filling, *held.parents, *(event.entry for event in held.log))
        ledger = self.seen.ledger(self.vessel, also=seen)
        names = {vessel.number: vessel.name for vessel in self.seen.vessels()}
        found = [*due_items(self.due_tasks(), view), *path_items(view), *entry_items(ledger, names, view)]
        words = self.words.split()
        return [one for one in found if all(word in f"{one.head} {one.text}".casefold() for word in words)]

    def _draw(self) -> None:
        """Write the head and draw the chart in the room there is."""
        if self.view is None or not self.is_mounted:
            return
        self.query_one("#head", Static).update(label(column(self._head(self.view), self.app.size.width - 1)))
        area = self.query_one("#chart", Static)
        width, height = area.content_size
        if width > 0 and self.view.plan is not None and self.drawn:
            above = series(self.view, self.drawn, self.zoom, width)
            lines = draw(above, width, height, self.marks, below(self.view, above, self.drawn, width))
            area.update(tinted((text, ROLES[tone]) for line in lines for text, tone in (*line, ("\n", "plain"))))
        self._show_full()

    def _head(self, view: WineView) -> str:
        plan, units = view.plan, view.units
        held = "" if plan is None else about.held(plan.volume, view.info.capacity, units)
        style = describe_entry.words(plan.style) if plan else ""
        if view.contents is not None and view.contents.store:
            held = f"{held}, {stock(view.contents).total} bottles"
        place = ", ".join(one for one in (view.info.material, view.info.place) if one)
        stage = describe_entry.words(plan.stage) if plan else ""
        then = "" if self.past is None else f"As known at the end of {days.echo(self.past.today)}"
        return " " + joined((then, self.vessel, plan.wine if plan else "empty", style, held, place, stage))

    def paint(self, item: Item, width: int) -> list[tuple[str, str]]:
        """Return one line of the page."""
        return item.parts(width)

    @on(Lines.Moved)
    def _moved(self) -> None:
        self._show_full()

    def _show_full(self) -> None:
        """Say the line under the cursor in full."""
        item, text = self.listing.selected, ""
        if isinstance(item, Item):
            text = explained(item, self.service.view.units)
        elif self.view is not None and self.view.plan is None:
            text = about.BEGIN if self.past is None else "It was empty on that day."
        area = self.query_one("#full", Told)
        area.show([f" {one}" for one in wrapped(text, max(20, area.size.width - 2))])

    def target(self) -> str | None:
        """Return this vessel."""
        return self.vessel if self.view is not None and self.view.plan is not None else None

    def empty_vessel(self) -> str | None:
        """Return this vessel where it is empty."""
        return self.vessel if self.view is not None and self.view.plan is None else None

    def wine(self) -> str | None:
        """Return this wine."""
        return None if self.view is None or self.view.plan is None else self.view.plan.wine

    def due_tasks(self) -> list[Task]:
        """Return the due actions of this wine."""
        view = self.view
        if view is None or view.plan is None or view.day is None:
            return []
        found = [as_task(action, view.info, view.plan.wine, view.today) for action in view.day.actions]
        return sorted(found, key=lambda one: (one.action.show, one.action.rule))

    # -- keys

    def action_other(self) -> None:
        """Go to the other list."""
        self.at_figures = not self.at_figures
        self.set_focus(self.listing)
        self._show_full()

    def action_chart(self, name: str) -> None:
        """Draw a reading over time; where there is no room for both the chart takes the place of the figures."""
        self.set_class(not (self.has_class("-charted") and self.drawn == name), "-charted")
        self.drawn = name
        self.call_after_refresh(self._draw)

    def action_whole_chart(self) -> None:
        """Show the chart on the whole screen."""
        if self.view is not None and self.view.plan is not None:
            self.say("")
            drawn = self.drawn or opening(self.view)
            self.app.push_screen(ChartScreen(self.service, self.seen, self.view, drawn, self.marks), self._charted)

    def _charted(self, marks: Marks | None) -> None:
        self.marks = marks or self.marks
        self._draw()

    def action_zoom(self) -> None:
        """Show other days on the chart."""
        if self.view is None or self.view.plan is None:
            return
        width = self.query_one("#chart", Static).content_size.width
        names = zooms(self.view, self.drawn or opening(self.view), width)
        at = names.index(self.zoom) if self.zoom in names else 0
        self.zoom = names[(at + 1) % len(names)]
        self._draw()

    def action_marks(self) -> None:
        """Draw the chart in another way, for the eye to choose: no terminal says which letters it has."""
        self.marks = next_marks(self.marks)
        preferences.keep(self.service.by, "marks", self.marks.name)
        self._draw()
        self.say(f"The chart is drawn in {self.marks.name}: x takes the next of {', '.join(MARKS)}.")

    def action_open(self) -> None:
        """Open the entry, the form for the result of the action, or the working under the cursor."""
        item = self.listing.selected
        if not isinstance(item, Item):
            return
        if item.written is not None:
            names = {vessel.number: vessel.name for vessel in self.seen.vessels()}
            page = entry_page(item.written, names, self.service.view.units)
            self.app.push_screen(TextScreen(f"Entry {item.written.entry.seq}", page))
        elif item.task is not None and not self.only_read:
            self._result(item.task)
        else:
            self.action_why()

    def _result(self, task: Task) -> None:
        """Open the form that records the result of an action in its usual way."""
        view = self.view
        if view is None or view.contents is None:
            return
        dose, s = task.action.dose, Subject(view.contents, view.info, self.service.view.house)
        way = RULE_BY_ID[task.action.rule].open_answers(s, dose)[0]
        prefill = {} if dose is None or "amount" not in way.fields else {"amount": f"{dose.amount:.2f}"}
        self.open_form(self.vessel, way.kind, prefill=prefill, fixed=dict(way.fixed), names=way.fields)

    def action_why(self) -> None:
        """Show the working of the line under the cursor."""
        item = self.listing.selected
        if isinstance(item, Item) and item.because is not None:
            said = " ".join(f"{item.head} {item.text}".split())
            because = item.because
            if because.rule == "so2_recheck":
                because = scored(because, self.service.view.calibration())
            parts = [(said, because)]
            if item.task is not None and item.task.action.dose is not None:
                parts.append(("the dose", item.task.action.dose.because))
            self.explain(joined(("Why", self.vessel, said)), self.vessel, *parts)
        else:
            self.say("A date, a figure or a verdict has a why; an entry opens with Enter.")

    def undo(self) -> None:
        """Withdraw the entry under the cursor, else the last one of this person."""
        item = self.listing.selected
        if isinstance(item, Item) and item.written is not None:
            self.take_back(item.written.entry)
        else:
            super().undo()

    def action_amend(self) -> None:
        """Correct the entry under the cursor."""
        item = self.listing.selected
        written = item.written if isinstance(item, Item) else None
        if written is None or written.state != "standing":
            self.say("Choose an entry that stands: e corrects the one under the cursor.")
            return
        kind = written.entry.body.kind
        self.open_form(written.vessel or self.vessel, kind, amend=written.entry)

    def in_the_past(self, past: CellarView) -> ListScreen:
        """Return this vessel as it was known on a past day."""
        past.wine(self.vessel)
        return WineScreen(self.service, self.vessel, past)

    def leave(self) -> None:
        """Go back one step."""
        self.save_draft()
        self.dismiss()
