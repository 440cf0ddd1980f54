"""Step by step: a page of a few questions, what each decides, the words to choose from, and what will be due first."""

from __future__ import annotations

import asyncio
import time
import uuid
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Vertical
from textual.screen import Screen
from textual.timer import Timer
from textual.widgets import Input, Static

from cellar_tui.entry_form import drafts
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Answer, CellarError
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens import questions, steps_text
from cellar_tui.tui.screens.questions import Page, Question
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import joined, label
from cellar_tui.tui.widgets.field_row import FieldRow
from cellar_tui.tui.widgets.form_fields import Slot
from cellar_tui.tui.widgets.form_panel import DRAFT_AFTER
from cellar_tui.tui.widgets.form_work import typed_wrong
from cellar_tui.tui.widgets.told import Told

ROWS = 7
SETTLE = 0.2
"""Seconds after a page has opened in which Enter records nothing: a second Enter meant for the page before."""


class StepScreen(SpeaksErrors, Screen[Answer]):
    """Questions on pages; it hands back what was recorded, nothing where it was left."""

    KIND: ClassVar[str] = ""
    TITLE: ClassVar[str] = ""
    AUTO_FOCUS = ""
    DEFAULT_CSS = """
    StepScreen #rows { height: auto; padding: 1 0 1 1; }
    StepScreen FieldRow > .field-label { width: 17; }
    StepScreen FieldRow > Input { width: 26; }
    StepScreen FieldRow > .field-beside { width: 1fr; max-width: 100%; height: 1; }
    StepScreen.-short #rows { padding: 0 0 0 1; }
    """
    VERTICAL_BREAKPOINTS = [(0, "-short"), (22, "-tall")]
    BINDINGS = [
        *(
            # With priority the next key of the same burst already finds the next field.
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
        self.answer: Answer | None = None
        self._ahead: list[str] = []
        self._offered: dict[str, str] = {}
        self._wrong: dict[str, str] = {}
        self._turned = 0.0
        self._busy = False
        self._timer: Timer | None = None

    # -- what each kind of newcomer says

    def pages(self) -> tuple[Page, ...]:
        """Return what is asked, as far as it follows from what is answered."""
        raise NotImplementedError

    def weigh(self) -> Answer:
        """Return what Enter would record.

        Raises:
            CellarError: what is answered so far cannot be an entry.
        """
        raise NotImplementedError

    def keep(self) -> Answer:
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
        for text in self._ahead:
            self.row.entry.insert_text_at_cursor(text)

    def on_key(self, event: events.Key) -> None:
        """Keep what is typed before the first field is there."""
        if self.focused is None and event.is_printable and event.character:
            self._ahead.append(event.character)

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
        self.page, self._turned = page, time.monotonic()
        self._lay_out()
        self._go(at)
        self._weigh()

    def _lay_out(self) -> None:
        """Show the questions of the page; an offered answer that nobody changed follows what is answered."""
        asked = self.asked
        with self.prevent(Input.Changed):
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
        elif row.entry.value != shown:
            row.entry.value = shown

    def _go(self, at: int) -> None:
        """Go to a field; what stands there is selected, so that typing replaces it."""
        self.at = min(max(at, 0), len(self.rows) - 1)
        self.set_focus(self.row.entry)
        self.row.entry.action_select_all()
        self._paint()

    def _settle(self) -> None:
        """Take what stands in the field, a choice in full: it may be there before it was told."""
        question, typed = self.question, self.row.entry.value
        self._answer(questions.chosen(typed, question.choices) if question.choices else typed)

    def _answer(self, text: str) -> None:
        """Put an answer into the field."""
        if text != self.row.entry.value:
            with self.prevent(Input.Changed):
                self.row.entry.value = text
        if text != self.texts.get(self.question.name):
            self.texts[self.question.name] = text
            self._lay_out()

    @on(Input.Changed)
    def _typed(self, event: Input.Changed) -> None:
        event.stop()
        row = next((one for one in self.rows if one.entry is event.input), None)
        if row is None or row.slot is None or self.texts.get(row.slot.name) == event.value:
            return
        self.texts[row.slot.name], self.told, self._turned = event.value, "", 0.0
        self._lay_out()
        self._weigh()
        if self._timer is not None:
            self._timer.stop()
        self._timer = self.set_timer(DRAFT_AFTER, self.save_draft)

    # -- what it would do

    def _weigh(self) -> None:
        """Weigh what is answered, and say beside each field what is wrong with it."""
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
        told = steps_text.choices(self.question, self.row.entry.value, width - 4)
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

    async def _caught_up(self) -> None:
        """Wait until the field has taken every letter of this burst: a key with priority comes before them."""
        done = asyncio.Event()
        if self.row.entry.call_later(done.set):
            await done.wait()

    async def action_choose(self, step: int) -> None:
        """Take the next word of a choice; where there is none to choose, go to the next field."""
        await self._caught_up()
        words: Sequence[str] = self.question.choices
        if len(words) < 2:
            await self.action_field(step)
            return
        now = questions.chosen(self.row.entry.value, words)
        at = words.index(now) + step if now in words else 0
        self._answer(words[at % len(words)])
        self.row.entry.action_select_all()
        self.told = ""
        self._weigh()

    async def action_field(self, step: int) -> None:
        """Go to the next or the previous field of the page."""
        await self._caught_up()
        self._settle()
        self.told = ""
        self._go((self.at + step) % len(self.rows))
        self._weigh()

    async def action_advance(self) -> None:
        """Go on: to the next field, the next page, at last record."""
        await self._caught_up()
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
        elif time.monotonic() - self._turned >= SETTLE:
            self._record()

    def _record(self) -> None:
        if self._busy:
            return
        self._busy = True
        try:
            answer = self.keep()
        except CellarError as error:
            self._busy = False
            self._refused(error)
            return
        if answer.stopped:
            self._busy = False
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

    async def action_step_back(self) -> None:
        """Go back a page; from the first one leave, with what is typed kept."""
        await self._caught_up()
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
        return drafts.place(self.service.path, self.service.by)

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
