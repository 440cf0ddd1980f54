"""Step by step: a page of a few questions, what each decides, the words to choose from, and what will be due first."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import Screen
from textual.timer import Timer
from textual.widgets import Static

from cellar_tui.entry_form import drafts
from cellar_tui.entry_form.choices import chosen
from cellar_tui.entry_form.fields import Slot
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.entry_form.work import typed_wrong
from cellar_tui.language.layout import joined
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError, SaveResult
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens import questions, steps_text
from cellar_tui.tui.screens.questions import Page, Question
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.field_row import FieldRow
from cellar_tui.tui.widgets.form_panel import DRAFT_AFTER
from cellar_tui.tui.widgets.told import Told

ROWS = 7


class StepScreen(SpeaksErrors, Screen[SaveResult]):
    """Questions on pages; it hands back what was recorded, nothing where it was left."""

    KIND: ClassVar[str] = ""
    TITLE: ClassVar[str] = ""
    AUTO_FOCUS = ""
    DEFAULT_CSS = """
    StepScreen #rows { height: auto; padding: 1 0 1 1; }
    StepScreen FieldRow > .field-label { width: 17; }
    StepScreen FieldRow > LineView { width: 26; }
    StepScreen FieldRow > .field-beside { width: 1fr; max-width: 100%; height: 1; }
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

    def __init__(self, service: OpenCellar, texts: Mapping[str, str] | None = None) -> None:
        super().__init__()
        self.service = service
        self.texts: dict[str, str] = dict(texts or {})
        """What stands in every field that was shown or is known beforehand."""
        self.begun = dict(self.texts)
        self.lines = service.view.board().lines
        self.key = uuid.uuid4().bytes
        self.page = 0
        self.at = 0
        self.told = ""
        self.answer: SaveResult | None = None
        self._offered: dict[str, str] = {}
        self._wrong: dict[str, str] = {}
        self._again = False
        self._pending = False
        self._timer: Timer | None = None

    # -- what each kind of newcomer says

    def pages(self) -> tuple[Page, ...]:
        """Return what is asked, as far as it follows from what is answered."""
        raise NotImplementedError

    def weigh(self) -> SaveResult:
        """Return what Enter would record.

        Raises:
            CellarError: what is answered so far cannot be an entry.
        """
        raise NotImplementedError

    def keep(self) -> SaveResult:
        """Record it.

        Raises:
            CellarError: it cannot be an entry.
        """
        raise NotImplementedError

    # -- layout

    def compose(self) -> ComposeResult:
        """Lay out head, questions, what they decide, and the keys."""
        yield Static(id="head")
        with Vertical(id="rows"):
            for _ in range(ROWS):
                yield FieldRow()
        yield Told(id="main")
        yield Static(id="foot")

    def on_mount(self) -> None:
        """Take up what was once typed here, and ask the first page."""
        draft = self._left()
        if draft is not None:
            self.texts |= draft.fields
            self.key = bytes.fromhex(draft.key)
        self._turn(0)
        if draft is not None:
            self._tell("As you left it; nothing of it is recorded yet.")

    def take(self, press: Press) -> bool:
        """Act on a key that edits the answer; every other key is a command of the page."""
        self._again = press.again
        if not self.row.entry.line.press(press):
            return False
        self.row.entry.show()
        self._typed()
        return True

    def on_resize(self, event: events.Resize) -> None:
        """Break the lines anew."""
        self.call_after_refresh(self._paint)

    @property
    def rows(self) -> list[FieldRow]:
        """The fields in use."""
        return [one for one in self.query(FieldRow) if one.slot is not None]

    @property
    def row(self) -> FieldRow:
        """The field that is being answered."""
        return self.rows[self.at]

    @property
    def asked(self) -> tuple[Question, ...]:
        """The questions of this page."""
        return self.pages()[self.page].questions

    @property
    def question(self) -> Question:
        """What is being answered."""
        return self.asked[self.at]

    # -- pages and fields

    def _turn(self, page: int, at: int = 0) -> None:
        """Show a page."""
        self.page = page
        self._lay_out()
        self._go(at)
        self._weigh()

    def _lay_out(self) -> None:
        """Show the questions of the page; an offered answer that nobody changed follows what is answered."""
        asked = self.asked
        for row, question in zip(self.query(FieldRow), [*asked, *[None] * (ROWS - len(asked))], strict=True):
            self._give(row, question)

    def _give(self, row: FieldRow, question: Question | None) -> None:
        if question is None:
            row.give(None)
            return
        name = question.name
        shown = self.texts.get(name)
        if shown is None or shown == self._offered.get(name):
            self.texts[name] = shown = question.offered
        self._offered[name] = question.offered
        if row.slot is None or row.slot.name != name:
            row.give(Slot(name, question.label, question.beside), shown)
        elif row.text != shown:
            row.write(shown)

    def _go(self, at: int) -> None:
        """Go to a field; what stands there is selected, so that typing replaces it."""
        self.at = min(max(at, 0), len(self.rows) - 1)
        for place, row in enumerate(self.rows):
            row.activate(place == self.at)
        self.row.select()
        self._paint()

    def _settle(self) -> None:
        """Take what stands in the field, a choice in full: it may be there before it was told."""
        question, typed = self.question, self.row.text
        self._answer(chosen(typed, question.choices) if question.choices else typed)

    def _answer(self, text: str) -> None:
        """Put an answer into the field."""
        if text != self.row.text:
            self.row.write(text)
        if text != self.texts.get(self.question.name):
            self.texts[self.question.name] = text
            self._lay_out()

    def _typed(self) -> None:
        """Keep what is typed under the question that is asked here, and weigh it once the keys of this burst are in."""
        self.texts[self.question.name], self.told = self.row.text, ""
        self._lay_out()
        if not self._pending:
            self._pending = True
            self.call_later(self._weigh)
        if self._timer is not None:
            self._timer.stop()
        self._timer = self.set_timer(DRAFT_AFTER, self.save_draft)

    # -- what it would do

    def _weigh(self) -> None:
        """Weigh what is answered, and say beside each field what is wrong with it."""
        self._pending = False
        self.answer, self._wrong = None, questions.misfits(self.texts, self.pages())
        try:
            if not self._wrong:
                self.answer = self.weigh()
        except CellarError as error:
            told, names = typed_wrong(error, {**self.texts, "": ""})
            self._wrong = dict(error.details) or ({error.field: told} if error.field in names and error.field else {})
            self._wrong = {name: said for name, said in self._wrong.items() if name in names}
        for row, question in zip(self.rows, self.asked, strict=False):
            said = self._wrong.get(question.name, "")
            row.wrong(bool(said))
            row.beside(said or question.beside)
        self._paint()

    def _paint(self) -> None:
        """Write head, what the question decides, what will be due first, and the keys."""
        if not self.is_mounted or not self.rows:
            return
        pages, width = self.pages(), self.size.width
        count = f"{self.page + 1} of {len(pages)}" if len(pages) > 1 else ""
        self.query_one("#head", Static).update(label(joined((f" {self.TITLE}", count, pages[self.page].title))))
        area = self.query_one("#main", Told)
        told = steps_text.choices(self.question, self.row.text, width - 4)
        told += ["", *steps_text.due_first(self.answer, self.service.view.today, self.service.view.units, width - 4)]
        if self.page + 1 == len(pages) and self.at + 1 == len(self.rows):
            told += ["", "Enter records it."]
        area.show([f" {one}" for one in told])
        self._tell(self.told)

    def _tell(self, text: str) -> None:
        """Tell in the last line what happened; with nothing to tell it shows the keys."""
        self.told = text
        wrong = self._wrong.get(self.question.name, "")
        self.query_one("#foot", Static).update(label(text or wrong or short.footer("step", self.size.width - 2)))

    # -- keys

    def action_choose(self, step: int) -> None:
        """Take the next word of a choice; where there is none to choose, go to the next field."""
        words: Sequence[str] = self.question.choices
        if len(words) < 2:
            self.action_field(step)
            return
        now = chosen(self.row.text, words)
        at = words.index(now) + step if now in words else 0
        self._answer(words[at % len(words)])
        self.row.select()
        self.told = ""
        self._weigh()

    def action_field(self, step: int) -> None:
        """Go to the next or the previous field of the page."""
        self._settle()
        self.told = ""
        self._go((self.at + step) % len(self.rows))
        self._weigh()

    def action_advance(self) -> None:
        """Go on: to the next field, the next page, at last record."""
        self._settle()
        self.told = ""
        self._weigh()
        if self._wrong.get(self.question.name):
            self._go(self.at)
            return
        if self.at + 1 < len(self.rows):
            self._go(self.at + 1)
            return
        pages = self.pages()
        lacking = questions.missing(self.texts, pages[self.page])
        wrong = [one.name for one in self.asked if one.name in self._wrong or one.name == lacking]
        if wrong:
            self._go([one.name for one in self.asked].index(wrong[0]))
            self._tell(self._wrong.get(wrong[0]) or f"{self.question.label} is missing.")
        elif self.page + 1 < len(pages):
            self._turn(self.page + 1)
        elif not self._again:
            self._record()

    def _record(self) -> None:
        try:
            answer = self.keep()
        except CellarError as error:
            self._refused(error)
            return
        if answer.stopped:
            self._tell(f"Nothing was recorded. {answer.outcomes[0].stops[0].why}")
            return
        drafts.drop(self._shelf, self._draft())
        if self._timer is not None:
            self._timer.stop()
        self.dismiss(answer)

    def _refused(self, error: CellarError) -> None:
        """Go to the answer at fault, on whichever page it was given."""
        for number, page in enumerate(self.pages()):
            names = [one.name for one in page.questions]
            if error.field in names:
                self._turn(number, names.index(error.field))
                break
        self._tell(f"Nothing was recorded: {error}")

    def action_step_back(self) -> None:
        """Go back a page; from the first one leave, with what is typed kept."""
        self._settle()
        if self.page:
            self._turn(self.page - 1)
            return
        if self.save_draft():
            self.notify("Kept as a draft: it comes back with these questions.", markup=False)
        self.dismiss(None)

    # -- the draft

    @property
    def _shelf(self) -> Path:
        return drafts.draft_file(self.service.path, self.service.by)

    def _draft(self) -> drafts.Draft:
        typed = {
            name: text
            for name, text in self.texts.items()
            if text and text not in (self._offered.get(name), self.begun.get(name))
        }
        return drafts.Draft(self.KIND, "", typed, self.key.hex())

    def _left(self) -> drafts.Draft | None:
        """Return what was once answered here and not recorded."""
        own = self._draft().form
        found = next((one for one in drafts.kept(self._shelf) if one.form == own), None)
        if found is not None and self.service.recorded(bytes.fromhex(found.key)):
            drafts.drop(self._shelf, found)
            return None
        return found

    def save_draft(self) -> bool:
        """Keep what is typed in a file; return whether there was anything to keep."""
        draft = self._draft()
        if not draft.fields:
            drafts.drop(self._shelf, draft)
            return False
        return drafts.save(self._shelf, draft)

    def refresh_from_service(self) -> None:
        """Another program has recorded something: ask and weigh anew."""
        self.lines = self.service.view.board().lines
        self._lay_out()
        self._weigh()
