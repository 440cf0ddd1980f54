"""Something new under way, page by page: answers under the questions that asked for them, and what they record."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

from cellar_tui.entry_form import questions
from cellar_tui.entry_form.choices import chosen
from cellar_tui.entry_form.drafts import Draft
from cellar_tui.entry_form.entry_form import AS_LEFT, spoken
from cellar_tui.entry_form.field import Field, filled
from cellar_tui.entry_form.field_set import FieldSet
from cellar_tui.entry_form.fields import Slot
from cellar_tui.entry_form.newcomer import Newcomer
from cellar_tui.entry_form.questions import Page, Question
from cellar_tui.entry_form.shelf import Shelf
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.entry_form.work import typed_wrong
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError, SaveResult


class StepForm(FieldSet):
    """Questions on pages; the fields are those of the page that is asked.

    Attributes:
        newcomer: what is asked for, and how it is recorded.
        answers: what stands in every field that was shown or is known beforehand.
        page: the page that is asked, counted from 0.
        told: what is to be said, "" where there is nothing.
        result: what Enter would record.
        state: whether it is open, was left, or was recorded.
        kept: on leaving, whether a draft stays.
        recorded: what was recorded.
    """

    def __init__(self, service: OpenCellar, newcomer: Newcomer, known: Mapping[str, str] | None = None) -> None:
        super().__init__()
        self.newcomer, self.shelf = newcomer, Shelf(service)
        self.answers: dict[str, str] = dict(known or {})
        self.key = uuid.uuid4().bytes
        self.page = 0
        self.told = ""
        self.result: SaveResult | None = None
        self.state: Literal["open", "closed", "recorded"] = "open"
        self.kept = False
        self.recorded: SaveResult | None = None
        self._known = dict(self.answers)
        self._fields: dict[str, Field] = {}
        self._wrong: dict[str, str] = {}
        self._dirty = False
        draft = self.shelf.unrecorded(self.draft())
        if draft is not None:
            self.answers |= draft.fields
            self.key = bytes.fromhex(draft.key)
            self.shelf.claim(draft)
        self._turn(0)
        if draft is not None:
            self._go_back_to(draft)
            self.told = AS_LEFT

    @property
    def pages(self) -> tuple[Page, ...]:
        """What is asked, as far as it follows from what is answered."""
        return self.newcomer.pages(self.answers)

    @property
    def asked(self) -> tuple[Question, ...]:
        """The questions of this page."""
        return self.pages[self.page].questions

    @property
    def question(self) -> Question:
        """What is being answered."""
        return self.asked[self.at]

    @property
    def is_last(self) -> bool:
        """Whether Enter records it."""
        return self.page + 1 == len(self.pages) and self.at + 1 == len(self.fields)

    def fault(self) -> str:
        """Return what is wrong with the answer that the cursor is in, "" where nothing is."""
        return self._wrong.get(self.field.name, "")

    # -- pages and fields

    def _turn(self, page: int, at: int = 0) -> None:
        self.page = page
        self._lay_out()
        self.go(min(at, len(self.fields) - 1))
        self.weigh()

    def _go_back_to(self, draft: Draft) -> None:
        """Put the cursor where it was when the questions were left, where that is still asked."""
        for number, page in enumerate(self.pages):
            names = [question.name for question in page.questions]
            if draft.at in names:
                self._turn(number, names.index(draft.at))
                self.field.line.put_cursor(draft.cursor)

    def _lay_out(self) -> None:
        """Give every question of the page its field; an offered answer that nobody changed follows what is answered."""
        self.fields = [self._field(one) for one in self.asked]
        self.at = min(self.at, len(self.fields) - 1)

    def _field(self, question: Question) -> Field:
        name, said = question.name, self.answers.get(question.name)
        slot = Slot(name, question.label, question.beside, question.choices, names=question.names)
        field = self._fields.get(name) or self._fields.setdefault(name, filled(slot, said or ""))
        was, field.slot = field.offered, slot
        if said is None or said == was:
            if field.line.text != field.shown(question.offered):
                field.line.put(field.shown(question.offered))
            self.answers[name] = field.line.text
        elif field.line.text != said:
            field.write(said)
        field.offered = field.shown(question.offered)
        return field

    def press(self, press: Press) -> bool:
        """Type in the answer; return whether the key is one that edits it. Every other key is a command of the page."""
        if not self.edit(press):
            return False
        self.told, self._dirty = "", True
        self._take()
        return True

    def _take(self) -> None:
        """Keep what stands in the field under its question; what else is asked may follow from it."""
        name, text = self.field.name, self.field.line.text
        if text != self.answers.get(name):
            self.answers[name] = text
            here = self.field
            self._lay_out()
            self.at = self.fields.index(here) if here in self.fields else self.at

    def _complete(self) -> None:
        self.field.complete()
        self._take()

    # -- what it would do

    def settle(self) -> None:
        """Weigh what is typed, where that was not done yet."""
        if self._dirty:
            self.weigh()

    def weigh(self) -> None:
        """Weigh what is answered, and say beside each field what is wrong with it."""
        self._dirty, self.result = False, None
        self._wrong = questions.misfits(self.answers, self.pages)
        try:
            if not self._wrong:
                self.result = self._save(preview=True)
        except CellarError as error:
            told, names = typed_wrong(error, {**self.answers, "": ""})
            found = dict(error.details) or ({error.field: told} if error.field else {})
            self._wrong = {name: self._spoken(said) for name, said in found.items() if name in names}
        for one, question in zip(self.fields, self.asked, strict=True):
            said = self._wrong.get(one.name, "")
            one.wrong, one.beside = bool(said), said or question.beside

    def _save(self, *, preview: bool) -> SaveResult:
        return self.newcomer.save(questions.fields_of(self.answers, self.pages), self.key, preview=preview)

    def _spoken(self, said: str) -> str:
        labels = {one.name: one.label for page in self.pages for one in page.questions}
        return spoken(said, labels)

    # -- keys

    def choose(self, step: int) -> None:
        """Take the next word of a choice; where there is none to choose, go to the next field."""
        words = self.question.choices
        if len(words) < 2:
            self.move(step)
            return
        now = chosen(self.field.line.text, words)
        at = words.index(now) + step if now in words else 0
        self.field.write(words[at % len(words)])
        self._take()
        self.field.line.select_all()
        self.told = ""
        self.weigh()

    def move(self, step: int) -> None:
        """Go to the next or the previous field of the page."""
        self._complete()
        self.told = ""
        self.step(step)
        self.weigh()

    def advance(self, *, again: bool = False) -> None:
        """Go on: to the next field, the next page, at last record; a second Enter right after the first records not."""
        self._complete()
        self.told = ""
        self.weigh()
        if self.fault():
            self.go(self.at)
        elif self.at + 1 < len(self.fields):
            self.go(self.at + 1)
        elif lacking := self._lacking():
            self.go([field.name for field in self.fields].index(lacking))
            self.told = self.fault() or f"{self.question.label} is missing."
        elif not self.is_last:
            self._turn(self.page + 1)
        elif not again:
            self._record()

    def _lacking(self) -> str:
        """Return the first question of the page that keeps it from going on, "" where none does."""
        missing = questions.missing(self.answers, self.pages[self.page])
        return next((one.name for one in self.asked if one.name in self._wrong or one.name == missing), "")

    def _record(self) -> None:
        try:
            found = self._save(preview=False)
        except CellarError as error:
            self._refused(error)
            return
        if found.stopped:
            self.told = f"Nothing was recorded. {found.outcomes[0].stops[0].why}"
            return
        self.shelf.drop(self.draft())
        self.state, self.recorded = "recorded", found

    def _refused(self, error: CellarError) -> None:
        """Go to the answer at fault, on whichever page it was given."""
        for number, page in enumerate(self.pages):
            names = [question.name for question in page.questions]
            if error.field in names:
                self._turn(number, names.index(error.field))
                break
        self.told = f"Nothing was recorded: {self._spoken(str(error))}"

    def back(self) -> None:
        """Go back a page; from the first one leave, with what is typed kept."""
        self._complete()
        if self.page:
            self._turn(self.page - 1)
            return
        self.kept = self.keep()
        self.state = "closed"

    def refresh(self) -> None:
        """Another program has recorded something: ask and weigh again."""
        self.newcomer.refresh()
        self._lay_out()
        self.weigh()

    # -- the draft

    def draft(self) -> Draft:
        """Return what is answered and was neither offered nor known beforehand."""
        offered = {name: one.offered for name, one in self._fields.items()}
        typed = {
            name: text
            for name, text in self.answers.items()
            if text and text not in (offered.get(name), self._known.get(name))
        }
        draft = Draft(self.newcomer.kind, "", typed, self.key.hex())
        return draft if not self.fields else replace(draft, at=self.field.name, cursor=self.field.line.cursor)

    def keep(self) -> bool:
        """Keep what is typed in a file; return whether there was anything to keep."""
        draft = self.draft()
        return self.state == "open" and self.shelf.keep(draft, changed=bool(draft.fields))
