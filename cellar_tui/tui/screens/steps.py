"""Step by step: a page of a few questions, what each decides, the words to choose from, and what will be due first."""

from __future__ import annotations

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import Screen
from textual.timer import Timer
from textual.widgets import Static

from cellar_tui.entry_form.questions import Question
from cellar_tui.entry_form.step_form import StepForm
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.language.layout import joined
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import SaveResult
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens import steps_text
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.field_row import FieldRow, Shape
from cellar_tui.tui.widgets.form_panel import DRAFT_AFTER
from cellar_tui.tui.widgets.told import Told

ROWS = 7
SHAPE = Shape(label=17, line=26)
KEPT = "Kept as a draft: it comes back with these questions."


class StepScreen(SpeaksErrors, Screen[SaveResult]):
    """Questions on pages, drawn; it hands back what was recorded, nothing where it was left."""

    AUTO_FOCUS = ""
    DEFAULT_CSS = """
    StepScreen #rows { height: auto; padding: 1 0 1 1; }
    StepScreen.-short #rows { padding: 0 0 0 1; }
    """
    VERTICAL_BREAKPOINTS = [(0, "-short"), (22, "-tall")]
    BINDINGS = [
        *(
            Binding(one.key, one.action, one.label, show=False, priority=True, id=f"step.{one.id}")
            for one in keys_of("step")
        ),
        Binding("up", "choose(-1)", show=False, priority=True),
        Binding("down", "choose(1)", show=False, priority=True),
    ]

    def __init__(self, service: OpenCellar, form: StepForm) -> None:
        super().__init__()
        self.service, self.form = service, form
        self._again = False
        self._pending = False
        self._timer: Timer | None = None

    def compose(self) -> ComposeResult:
        """Lay out head, questions, what they decide, and the keys."""
        yield Static(id="head")
        with Vertical(id="rows"):
            for _ in range(ROWS):
                yield FieldRow(SHAPE)
        yield Told(id="main")
        yield Static(id="foot")

    def on_mount(self) -> None:
        """Ask the first page, or what was left of it."""
        self.show_form()

    def take(self, press: Press) -> bool:
        """Act on a key that edits the answer; every other key is a command of the page."""
        self._again = press.again
        if not self.form.press(press):
            return False
        if not self._pending:
            self._pending = True
            self.call_later(self._settle)
        if self._timer is not None:
            self._timer.stop()
        self._timer = self.set_timer(DRAFT_AFTER, self.save_draft)
        return True

    def on_resize(self, event: events.Resize) -> None:
        """Break the lines for the room there is."""
        self.call_after_refresh(self.show_form)

    @property
    def rows(self) -> list[FieldRow]:
        """The fields in use."""
        return [one for one in self.query(FieldRow) if one.slot is not None]

    @property
    def asked(self) -> tuple[Question, ...]:
        """The questions of this page."""
        return self.form.asked

    # -- what is shown

    def _settle(self) -> None:
        """Weigh what is typed once the keys of this burst are in."""
        self._pending = False
        self.form.settle()
        self.show_form()

    def show_form(self) -> None:
        """Write head and fields, what the question decides, what will be due first, and the keys."""
        if not self.is_mounted:
            return
        form, width = self.form, self.size.width
        rows = list(self.query(FieldRow))
        for row, field in zip(rows, [*form.fields, *[None] * (len(rows) - len(form.fields))], strict=True):
            row.show(field, here=field is form.field)
        pages = form.pages
        count = f"{form.page + 1} of {len(pages)}" if len(pages) > 1 else ""
        head = joined((f" {form.newcomer.title}", count, pages[form.page].title))
        self.query_one("#head", Static).update(label(head))
        told = steps_text.choices(form.question, form.field.line.text, width - 4)
        told += ["", *steps_text.due_first(form.result, self.service.view.today, self.service.view.units, width - 4)]
        if form.is_last:
            told += ["", "Enter records it."]
        self.query_one("#main", Told).show([f" {one}" for one in told])
        foot = form.told or form.fault() or short.footer("step", width - 2)
        self.query_one("#foot", Static).update(label(foot))

    # -- keys

    def action_choose(self, step: int) -> None:
        """Take the next word of a choice; where there is none to choose, go to the next field."""
        self.form.choose(step)
        self.show_form()

    def action_field(self, step: int) -> None:
        """Go to the next or the previous field of the page."""
        self.form.move(step)
        self.show_form()

    def action_advance(self) -> None:
        """Go on: to the next field, the next page, at last record."""
        self.form.advance(again=self._again)
        if self.form.state == "recorded":
            self._leave(self.form.recorded)
        else:
            self.show_form()

    def action_step_back(self) -> None:
        """Go back a page; from the first one leave, with what is typed kept."""
        self.form.back()
        if self.form.state != "closed":
            self.show_form()
            return
        if self.form.kept:
            self.notify(KEPT, markup=False)
        self._leave(None)

    def _leave(self, recorded: SaveResult | None) -> None:
        if self._timer is not None:
            self._timer.stop()
        self.dismiss(recorded)

    def save_draft(self) -> bool:
        """Keep what is typed in a file; return whether there was anything to keep."""
        return self.form.keep()

    def refresh_from_service(self) -> None:
        """Another program has recorded something: ask and weigh again."""
        self.form.refresh()
        self.show_form()
