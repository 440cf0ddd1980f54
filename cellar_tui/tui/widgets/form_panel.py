"""The form docked below a list: a view of an entry under way; everything it would do is shown before Enter."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.timer import Timer
from textual.widgets import Static

from cellar_tui.entry_form.typed_line import Press
from cellar_tui.language.clean_text import shown
from cellar_tui.language.layout import wrapped
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import SaveResult
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.field_list import FieldList
from cellar_tui.tui.widgets.field_row import FieldRow
from cellar_tui.tui.widgets.preview_pane import PreviewPane

if TYPE_CHECKING:
    from cellar_tui.entry_form.entry_form import EntryForm, Opening
    from cellar_tui.entry_form.work import Work

ROWS = 22
DRAFT_AFTER = 1.0
LOW = 30
"""Height of the terminal [lines] under which figures that stay as they are give way to the dates that move."""
NARROW = 72
"""Width of the terminal [cells] under which the preview stands below the fields."""


def _nothing(*_: object) -> None:
    """Do nothing."""


class FormPanel(SpeaksErrors, Vertical):
    """A form for any kind of entry. It draws an `EntryForm`, and tells its screen at once how that ended.

    Attributes:
        form: the entry under way, None while no form is open.
        careful: whether the cautions of the work stand below the figures.
        keyed: whether its keys stand under it; a screen with a footer of its own says them there.
        on_recorded, on_closed, on_why: told of what was recorded, of a form that was left (and whether its draft
            stays), and of the wish for the working.
    """

    DEFAULT_CSS = """
    /* Head and columns of the screen stay, and error and keys stay in sight however low the terminal is. */
    FormPanel { height: 16; max-height: 78vh; border-top: solid $primary; display: none; background: $background; }
    FormPanel.-open { display: block; }
    FormPanel #form-title { height: 1; text-style: bold; }
    FormPanel #form-title, FormPanel #form-body, FormPanel #form-hint { padding-left: 1; }
    FormPanel #form-body { height: 1fr; }
    FormPanel #form-fields { width: 42; padding-right: 1; }
    FormPanel #form-hint { height: auto; max-height: 4; color: $text-primary; }
    FormPanel #form-hint.-said { color: $foreground; text-style: bold; }
    FormPanel.-narrow { height: 17; }
    FormPanel.-narrow #form-body { layout: vertical; }
    FormPanel.-narrow #form-fields { width: 1fr; height: auto; max-height: 6; }
    """

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.careful, self.keyed = True, True
        self.form: EntryForm | None = None
        self.on_recorded: Callable[[SaveResult], None] = _nothing
        self.on_closed: Callable[[bool], None] = _nothing
        self.on_why: Callable[[Work], None] = _nothing
        self._pending = False
        self._draft_timer: Timer | None = None
        self._weigher: Timer | None = None

    def compose(self) -> ComposeResult:
        """Lay out title, fields, preview and hint."""
        yield Static(id="form-title")
        with Horizontal(id="form-body"):
            with FieldList(id="form-fields", can_focus=False):
                for _ in range(ROWS):
                    yield FieldRow()
            yield PreviewPane(id="form-preview")
        yield Static(id="form-hint")

    # -- opening and closing

    @property
    def pane(self) -> PreviewPane:
        """Where the form shows what it would do."""
        return self.query_one(PreviewPane)

    @property
    def is_open(self) -> bool:
        """Whether a form is being filled in."""
        return self.form is not None

    @property
    def work(self) -> Work | None:
        """What weighs and records what is typed."""
        return None if self.form is None else self.form.work

    @property
    def rows(self) -> list[FieldRow]:
        """The rows in use."""
        return [row for row in self.query(FieldRow) if row.slot is not None]

    @property
    def answer(self) -> SaveResult | None:
        """What Enter would do with what was last typed in full."""
        return None if self.form is None else self.form.work.answer

    def open(self, service: OpenCellar, target: str, kind: str, opening: Opening) -> None:
        """Show a form for a vessel or wine; what was once typed into it and not recorded comes back.

        Raises:
            CellarError: there is no such vessel.
        """
        from cellar_tui.entry_form.entry_form import EntryForm

        self.form = EntryForm(service, target, kind, opening)
        # Styles are worked out once, for the whole screen.
        self.set_class(self.app.size.width < NARROW, "-narrow", update=False)
        self.add_class("-open", update=False)
        self.screen.add_class("-form")
        self.screen.set_focus(None)
        self.pane.top = 0
        self.show_form()
        # Only a form that has been laid out knows how wide its lines may be.
        self.call_after_refresh(self._paint)

    def on_resize(self) -> None:
        """Lay an open form out for the room there is now."""
        if self.is_open:
            self.set_class(self.app.size.width < NARROW, "-narrow")
            self.call_after_refresh(self.show_form)

    def save_draft(self) -> bool:
        """Keep what is typed in a file; return whether there was anything to keep."""
        return self.form is not None and self.form.keep()

    def shut(self) -> None:
        """Hide the form."""
        for timer in (self._draft_timer, self._weigher):
            if timer is not None:
                timer.stop()
        self.remove_class("-open", update=False)
        self.screen.remove_class("-form")
        self.form = None

    # -- keys

    def take(self, press: Press) -> bool:
        """Act on a key; return whether it is one of the form."""
        form = self.form
        if form is None:
            return False
        if press.key in ("pageup", "pagedown"):
            self._paint(-1 if press.key == "pageup" else 1)
            return True
        if press.key == "f2":
            form.settle()
            self.on_why(form.work)
            return True
        if not form.press(press):
            return False
        if form.state == "recorded" and form.recorded is not None:
            self.shut()
            self.on_recorded(form.recorded)
        elif form.state == "closed":
            self.shut()
            self.on_closed(form.kept)
        else:
            self._pressed(form)
        return True

    def _pressed(self, form: EntryForm) -> None:
        """Show what a key has changed; what follows from it once the keys of this burst are in."""
        self.pane.top = 0
        if form.unsettled:
            self._weigh_soon(form)
            if self._draft_timer is not None:
                self._draft_timer.stop()
            self._draft_timer = self.set_timer(DRAFT_AFTER, self.save_draft)
        self._soon()

    def _weigh_soon(self, form: EntryForm) -> None:
        """Weigh what is typed; what takes the whole cellar waits until typing rests."""
        if form.work.form.pause:
            if self._weigher is not None:
                self._weigher.stop()
            self._weigher = self.set_timer(form.work.form.pause, self.update_preview)
            form.stale = True

    def _soon(self) -> None:
        if not self._pending:
            self._pending = True
            self.call_later(self._show_pressed)

    def _show_pressed(self) -> None:
        self._pending = False
        if self.form is not None and not self.form.work.form.pause:
            self.form.settle()
        self.show_form()

    def put(self, name: str, text: str) -> None:
        """Write into a field as if it were typed."""
        if self.form is not None:
            self.form.put(name, text)
            self.show_form()

    def texts(self) -> dict[str, str]:
        """Return the text of every field in use."""
        return {} if self.form is None else self.form.texts()

    def texts_typed(self) -> bool:
        """Whether something stands in the form that did not stand there when it opened."""
        return self.form is not None and self.form.is_changed

    # -- what is shown

    def update_preview(self) -> None:
        """Show what Enter would do; a half-typed value keeps the last good preview, marked by a word."""
        if self.form is not None:
            self.form.settle()
            self.show_form()

    def show_form(self) -> None:
        """Draw the fields, what they would do, and what is told."""
        form = self.form
        if form is None:
            return
        self.query_one("#form-title", Static).update(label(form.title))
        rows = list(self.query(FieldRow))
        for row, field in zip(rows, [*form.fields, *[None] * (len(rows) - len(form.fields))], strict=True):
            row.show(field, here=field is form.field)
        self._paint()
        self.tell(form.told)

    def tell(self, text: str) -> None:
        """Say something below the fields; the keys stay under it."""
        if self.form is not None:
            self.form.told = text
        keys = short.footer("form", self.app.size.width - 1) if self.keyed else ""
        said = "\n".join(filter(None, (text or self._offers(), keys)))
        hint = self.query_one("#form-hint", Static)
        hint.set_class(bool(text), "-said")
        hint.update(label(said))

    def _offers(self) -> str:
        """Return the words that the field takes, on a line or two, where they are too many to stand beside it."""
        form = self.form
        words = [] if form is None else form.offers()
        if form is None or not words:
            return ""
        width = self.app.size.width - 2
        lines = wrapped(f"{form.field.slot.label}: {', '.join(words)}", width)
        most = 1 if self.has_class("-narrow") else 2
        if len(lines) > most:
            lines = [*lines[: most - 1], shown(f"{lines[most - 1]}, {lines[most]}", width)]
        return "\n".join(lines)

    def _paint(self, turn: int = 0) -> None:
        form = self.form
        if form is not None:
            said = {"stale": form.stale, "careful": self.careful, "brief": self._brief}
            self.pane.show(lambda width: form.work.told(form.texts(), width, **said), turn)

    @property
    def _brief(self) -> bool:
        """Whether figures that stay as they are make room for the dates that move."""
        return self.has_class("-narrow") or self.app.size.height < LOW

    def refresh_form(self) -> None:
        """Weigh anew what is typed: another program has recorded something; say so where it concerns this form."""
        if self.form is not None:
            self.form.look_again()
            self.show_form()
