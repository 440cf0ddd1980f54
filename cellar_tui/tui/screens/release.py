"""Ready to bottle? Whether a wine may be bottled, on what evidence, and what is still missing."""

from __future__ import annotations

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.widgets import Static

from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import column, joined, wrapped
from cellar_tui.planning.release import SIZES, bottled
from cellar_tui.planning.subject import Subject
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError, Outcome, Request, WineView
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens import release_lines
from cellar_tui.tui.screens.list_screen import ListScreen
from cellar_tui.tui.screens.wine_figures import Item, explained
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.form_panel import FormPanel
from cellar_tui.tui.widgets.line_view import LineView
from cellar_tui.tui.widgets.lines import Lines
from cellar_tui.tui.widgets.told import Told


class ReleaseScreen(ListScreen):
    """The bottling gate of one wine."""

    PLACE = "release"
    BINDINGS = [
        Binding(one.key, one.action, one.label, show=False, priority=True, id=f"release.{one.id}")
        for one in keys_of("release")
    ]

    def __init__(self, service: OpenCellar, vessel: str) -> None:
        super().__init__(service)
        self.vessel = vessel
        self.view: WineView | None = None
        self.size_ml = 750
        self.sections: list[release_lines.Section] = []

    def compose(self) -> ComposeResult:
        """Lay out head, lines, the selected line in full, the form and the keys."""
        yield Static(id="head")
        yield Lines(self.paint, id="lines")
        yield Told(id="full")
        yield LineView(id="find")
        yield FormPanel(id="form")
        yield Static(id="foot")

    def on_resize(self, event: events.Resize) -> None:
        """Draw again for the room there is."""
        self.call_after_refresh(self._draw)

    def refresh_from_service(self) -> None:
        """Read the wine again."""
        try:
            self.view = self.service.view.wine(self.vessel)
            self.sections = self._sections(self.view)
        except CellarError as error:
            self.say(str(error))
            return
        self._draw()
        self.say(self.told)
        if self.panel.is_open:
            self.panel.refresh_form()

    def _sections(self, view: WineView) -> list[release_lines.Section]:
        if view.contents is None:
            return []
        s = Subject(view.contents, view.info, view.house)
        return release_lines.sections(view, s, view.entries, self._would_say(s), self.size_ml)

    @property
    def items(self) -> list[Item]:
        """Every line of the page in full, in the order of its sections."""
        return [item for section in self.sections for item in section.items]

    def select_line(self, part: str) -> None:
        """Put the cursor on the first line that says a text."""
        rows = enumerate(self.listing.rows)
        found = (i for i, row in rows if any(part in f"{item.head}{item.text}" for item in row.items))
        self.listing.select(next(found, 0))

    def _filling(self, s: Subject) -> dict[str, str]:
        """Return the fields of the bottling that this page speaks of."""
        most, _ = bottled(s.volume, self.size_ml)
        fields = {"count": str(most), "size": str(self.size_ml)}
        return fields | ({"filter": "sterile"} if s.intents.sterile_filtration else {})

    def _would_say(self, s: Subject) -> Outcome | None:
        """Return what recording the bottling today would say."""
        if s.c.store:
            return None
        request = Request(self.vessel, "bottle", self._filling(s))
        try:
            return self.service.recorder.record(request, preview=True).outcomes[0]
        except CellarError:
            return None

    def _draw(self) -> None:
        """Write head and the selected line in the room there is."""
        if self.view is None or not self.is_mounted:
            return
        wine = self.view.plan.wine if self.view.plan is not None else "empty"
        width = self.app.size.width - 1
        head = joined((" Ready to bottle?", self.vessel, wine))
        answer = release_lines.gate(self.view)
        told = f"{column(head, max(10, width - cells(answer) - 1))} {answer}"
        self.query_one("#head", Static).update(label(column(told, width)))
        self.listing.show_rows(release_lines.rows(self.sections, width), max(1, self.listing.cursor))
        self._show_full()

    def paint(self, row: release_lines.Row, width: int) -> list[tuple[str, str]]:
        """Return one line of the page."""
        return row.parts(width)

    @property
    def chosen(self) -> list[Item]:
        """What the line under the cursor says."""
        row = self.listing.selected
        return row.items if isinstance(row, release_lines.Row) else []

    @on(Lines.Moved)
    def _show_full(self) -> None:
        """Say the line under the cursor in full."""
        text = " · ".join(explained(item, self.service.view.units) for item in self.chosen)
        area = self.query_one("#full", Told)
        area.show([f" {one}" for one in wrapped(text, max(20, area.size.width - 2))])

    def target(self) -> str | None:
        """Return this vessel."""
        return self.vessel if self.view is not None and self.view.plan is not None else None

    # -- keys

    def action_size(self) -> None:
        """Calculate with the next size of bottle."""
        sizes = SIZES
        self.size_ml = sizes[(sizes.index(self.size_ml) + 1) % len(sizes)]
        self.refresh_from_service()
        self.select_line(" bottles of ")

    def action_form(self, kind: str) -> None:
        """Open the bottling form, filled with what this page says."""
        view = self.view
        if view is None or view.contents is None or view.contents.store:
            self.say("There is nothing in it to bottle.")
            return
        s = Subject(view.contents, view.info, view.house)
        self.open_form(self.vessel, kind, prefill=self._filling(s))

    def action_why(self) -> None:
        """Show the working of the line under the cursor."""
        said = [(" ".join(f"{one.head} {one.text}".split()), one.because) for one in self.chosen]
        parts = [(text, because) for text, because in said if because is not None]
        if parts:
            self.explain(joined(("Why", self.vessel, parts[0][0])), self.vessel, *parts)
        else:
            self.say("A verdict, a sum or a word for the label has a why.")

    def leave(self) -> None:
        """Go back to where it was opened."""
        self.save_draft()
        self.dismiss()
