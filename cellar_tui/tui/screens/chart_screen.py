"""A chart on the whole screen: a day to look at, other wines laid over it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import Screen
from textual.widgets import Static

from cellar_tui.language.layout import column, joined, wrapped
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.view import CellarView
from cellar_tui.service.views import CellarError, WineView
from cellar_tui.tui import preferences
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens import chart_days
from cellar_tui.tui.screens.help import help_page
from cellar_tui.tui.screens.why import TextScreen
from cellar_tui.tui.screens.wine_chart import CHARTS, FERMENT, below, series, zooms
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.chart import Series, draw
from cellar_tui.tui.widgets.chart_marks import Marks, next_marks
from cellar_tui.tui.widgets.told import Told

STORY = 3
"""Lines in which the chosen day is told."""


class ChartScreen(SpeaksErrors, Screen[Marks]):
    """One reading of a wine over time."""

    DEFAULT_CSS = f"ChartScreen #story {{ height: {STORY}; }}"
    BINDINGS = [Binding(one.key, one.action, one.label, show=False, id=f"chart.{one.id}") for one in keys_of("chart")]

    def __init__(self, service: OpenCellar, seen: CellarView, view: WineView, drawn: str, marks: Marks) -> None:
        super().__init__()
        self.service, self.seen, self.view = service, seen, view
        self.drawn, self.marks, self.zoom = drawn, marks, ""
        self.day: date | None = None
        self.others: list[WineView] = []
        self.counted = False
        """Wines are laid over each other by day since the yeast."""
        self._choices: Iterator[list[WineView]] = iter(())

    def compose(self) -> ComposeResult:
        """Lay out head, chart, the chosen day in words and the keys."""
        yield Static(id="head")
        yield Told(id="field")
        yield Told(id="story")
        yield Static(id="foot")

    def on_resize(self, event: events.Resize) -> None:
        """Draw again for the room there is."""
        self.call_after_refresh(self._draw)

    def refresh_from_service(self) -> None:
        """Read the wine again: another program has recorded something."""
        self.view = self.seen.wine(self.view.info.name)
        self._draw()

    @property
    def vessel(self) -> str:
        """Name of the vessel."""
        return self.view.info.name

    def _series(self, width: int) -> Series:
        shown = series(self.view, self.drawn, self.zoom, width)
        return chart_days.laid_over(shown, self.view, self.others, self.drawn, counted=self.counted)

    def _draw(self) -> None:
        """Draw the chart, and tell the chosen day."""
        area = self.query_one("#field", Told)
        width, height = area.size.width - 1, area.size.height
        if width <= 0 or height <= 0:
            return
        above = replace(self._series(width), chosen=self.day)
        under = None if self.others else below(self.view, above, self.drawn, width)
        lines = draw(above, width, height, self.marks, under)
        area.show([[(" ", ""), *line] for line in lines])
        plan = self.view.plan
        over = chart_days.named(self.view, self.others, self.marks, counted=self.counted)
        head = over or joined((self.vessel, "" if plan is None else plan.wine, CHARTS[self.drawn][0]))
        self.query_one("#head", Static).update(label(column(f" {head}", self.size.width - 1)))
        self._tell(width)
        self.say("")

    def _tell(self, width: int) -> None:
        text = "Left and Right choose a day on which something was measured or done."
        if self.day is not None:
            names = {vessel.number: vessel.name for vessel in self.seen.vessels()}
            text = chart_days.story(self.view, self.day, names)
        self.query_one("#story", Told).show([f" {one}" for one in wrapped(text, max(20, width - 1))])

    def say(self, text: str) -> None:
        """Tell in the last line what happened; with nothing to tell it shows the keys."""
        self.query_one("#foot", Static).update(label(text or short.footer("chart", self.size.width - 2)))

    # -- keys

    def action_day(self, step: int) -> None:
        """Go to the next day, or the one before, on which something was read or done."""
        found = chart_days.days(self._series(self.size.width))
        if not found:
            return
        if self.day not in found:
            self.day = found[-1] if step < 0 else found[0]
        else:
            self.day = found[min(max(found.index(self.day) + step, 0), len(found) - 1)]
        self._draw()

    def action_chart(self, name: str) -> None:
        """Draw another reading."""
        self.drawn, self.day, self.others, self._choices = name, None, [], iter(())
        self._draw()

    def action_zoom(self) -> None:
        """Show other days."""
        names = zooms(self.view, self.drawn, self.size.width)
        at = names.index(self.zoom) if self.zoom in names else 0
        self.zoom, self.day = names[(at + 1) % len(names)], None
        self._draw()

    def action_marks(self) -> None:
        """Draw with other marks."""
        self.marks = next_marks(self.marks)
        preferences.keep(self.service.by, "marks", self.marks.name)
        self._draw()

    def action_over(self) -> None:
        """Lay over the other vessels of the wine, then one other wine after the other, then none."""
        before = self.others
        self.others = next(self._choices, [])
        if not self.others and not before:
            self._choices = self._over()
            self.others = next(self._choices, [])
        shown = series(self.view, self.drawn, self.zoom, self.size.width).zooms[1]
        self.counted = bool(self.others) and (self.counted if before else shown == FERMENT)
        self._draw()
        if not self.others and not before:
            self.say("No other wine has this reading.")

    def _over(self) -> Iterator[list[WineView]]:
        """Yield what can be laid over: of the same wine all of it, of the others one by one."""
        plan = self.view.plan
        lines = [line for line in self.seen.board().lines if line.wine is not None and line.name != self.vessel]
        same = [line.name for line in lines if plan is not None and line.wine == plan.wine][: len(self.marks.others)]
        for names in (same, *([line.name] for line in lines if line.name not in same)):
            found = [one for one in map(self._read, names) if one is not None]
            if found:
                yield found

    def _read(self, name: str) -> WineView | None:
        """Return a wine that has the reading, None for one that does not."""
        try:
            view = self.seen.wine(name)
        except CellarError:
            return None
        return view if series(view, self.drawn, "", 0).points else None

    def action_counted(self) -> None:
        """Lay wines over each other by day since the yeast, or by date."""
        if not self.others:
            self.say("o lays another wine over this one; d then goes by date or by day since the yeast.")
            return
        self.counted = not self.counted
        self._draw()

    def action_help(self) -> None:
        """Show the keys of this place."""
        self.app.push_screen(TextScreen("Keys", help_page("chart", self.app.size.width - 6)))

    def action_back(self) -> None:
        """Go back to the wine."""
        self.dismiss(self.marks)
