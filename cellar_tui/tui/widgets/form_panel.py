"""The form: docked below a list, shown when it opens; everything it would do is shown before Enter."""

from __future__ import annotations

import time
from collections.abc import Mapping
from typing import ClassVar

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.timer import Timer
from textual.widgets import Input, Static

from cellar_tui.entry_form import drafts
from cellar_tui.ledger import titrated
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.materials import named
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.records import WINE
from cellar_tui.service.views import Answer, CellarError
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.widgets import form_ahead, form_messages, form_reach, form_turn, short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.field_row import FieldRow
from cellar_tui.tui.widgets.form_fields import DATE, PREFILL, REACH, WAIVE, Slot, slots, titration_asked, unit_beside
from cellar_tui.tui.widgets.form_work import Work, as_typed, typed_wrong
from cellar_tui.tui.widgets.preview_pane import PreviewPane

ROWS = 22
DRAFT_AFTER = 1.0
NAMING = ("material", "name")
"""Fields that name the material, which the units of the others follow."""
NARROW = 72
"""Width of the terminal [cells] under which the preview stands below the fields."""


def _stop(*timers: Timer | None) -> None:
    for timer in timers:
        if timer is not None:
            timer.stop()


class FormPanel(SpeaksErrors, Vertical):
    """A form for any kind of entry; it asks the service through a `Work` and posts what was recorded.

    Attributes:
        settle: seconds after opening in which Enter is not taken unless something was typed: a second Enter meant for
            the form before.
        careful: whether the cautions of the work stand below the figures.
    """

    DEFAULT_CSS = """
    FormPanel { height: 16; border-top: solid $primary; display: none; background: $background; }
    FormPanel.-open { display: block; }
    FormPanel #form-title { height: 1; text-style: bold; }
    FormPanel #form-title, FormPanel #form-body, FormPanel #form-hint { padding-left: 1; }
    FormPanel #form-body { height: 1fr; }
    FormPanel #form-fields { width: 42; padding-right: 1; scrollbar-size-vertical: 1; }
    FormPanel #form-hint { height: auto; max-height: 3; color: $text-warning; }
    FormPanel.-narrow { height: 17; }
    FormPanel.-narrow #form-body { layout: vertical; }
    FormPanel.-narrow #form-fields { width: 1fr; height: auto; max-height: 6; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f9", "close", "back", show=False),
        Binding("ctrl+y", "yesterday", "yesterday", show=False),
        Binding("ctrl+o", "kind", show=False),
        Binding("f7", "whole", show=False),
        Binding("f2", "why", show=False),
        Binding("up", "step(-1)", show=False),
        Binding("down", "step(1)", show=False),
        # With priority the next key of the same burst already finds the next field.
        Binding("tab", "step(1)", show=False, priority=True),
        Binding("shift+tab", "step(-1)", show=False, priority=True),
        Binding("pageup", "turn(-1)", show=False),
        Binding("pagedown", "turn(1)", show=False),
    ]

    def __init__(self, *, id: str | None = None, settle: float = 0.0) -> None:
        super().__init__(id=id)
        self.settle = settle
        self.careful = True
        self.work: Work | None = None
        self.busy, self._opened = False, 0.0
        self._told, self._twice = "", ""
        self._at: FieldRow | None = None
        self._last: FieldRow | None = None
        self._pending, self._stale = False, False
        self._vessel = ""
        self._given: tuple[str, ...] | None = None
        self._typed: dict[tuple[str, str], dict[str, str]] = {}
        self._draft_timer: Timer | None = None
        self._weigher: Timer | None = None

    def compose(self) -> ComposeResult:
        """Lay out title, fields, preview and hint."""
        yield Static(id="form-title")
        with Horizontal(id="form-body"):
            with VerticalScroll(id="form-fields", can_focus=False):
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
        return self.has_class("-open")

    @property
    def rows(self) -> list[FieldRow]:
        """The rows in use."""
        return [row for row in self.query(FieldRow) if row.slot is not None]

    @property
    def answer(self) -> Answer | None:
        """What Enter would do with what was last typed in full."""
        return None if self.work is None else self.work.answer

    def open(
        self,
        service: OpenCellar,
        target: str,
        kind: str,
        *,
        prefill: Mapping[str, str] | None = None,
        fixed: Mapping[str, str] | None = None,
        names: tuple[str, ...] | None = None,
        draft: drafts.Draft | None = None,
        amend: Entry | None = None,
        carried: Mapping[str, str] | None = None,
    ) -> None:
        """Show a form for a vessel or wine; what was once typed into it and not recorded comes back.

        `carried` is what was typed before the form turned to another kind or to other vessels.

        Raises:
            CellarError: there is no such vessel.
        """
        self._twice = ""
        if draft is not None and draft.amends is not None:
            lines = service.view.ledger(None)
            amend = next((line.entry for line in lines if line.entry.seq == draft.amends), None)
        given = draft.fixed if draft is not None else fixed
        work = Work(service, target, kind, fixed=given, amending=amend)
        texts = as_typed(amend) if amend is not None else {**PREFILL.get(kind, {}), **(prefill or {})}
        work.begun = dict(texts)
        draft = draft or work.left()
        if draft is not None:
            work.take_up(draft)
            texts = {**dict.fromkeys(texts, ""), **draft.fields}
        if carried is None:
            self._vessel, self._given, self._typed = target, names, {}
        else:
            texts |= carried
        self.work, self._last = work, None
        with self.prevent(Input.Changed):
            self._lay_out(form_turn.names(kind, target, names), texts)
        self.query_one("#form-title", Static).update(label(form_turn.title(work)))
        self.set_class(self.app.size.width < NARROW, "-narrow")
        self.add_class("-open")
        self.screen.add_class("-form")
        self.busy, self.pane.top, self._opened = False, 0, time.monotonic()
        amount = self._row("amount")
        self._go_to(amount if amount is not None and amount.entry.value else self._first_empty())
        self.update_preview()
        # Only a form that has been laid out knows how wide its lines may be.
        self.call_after_refresh(self._paint)
        if draft is not None:
            self.tell("As you left it; nothing of it is recorded yet.")

    def _turn(self, kind: str, target: str) -> None:
        """Turn to another kind or to other vessels; what is typed goes along, and comes back with the way back."""
        assert self.work is not None
        old, texts = self.work, self.texts()
        self._typed[old.kind, old.target] = texts
        drafts.drop(old.shelf, old.draft({}))
        took = form_turn.carried(texts, other_kind=kind != old.kind) | self._typed.get((kind, target), {})
        self.open(old.service, target, kind, fixed=old.fixed, names=self._given, carried=took)

    def action_kind(self) -> None:
        """Turn to the next kind of the same work."""
        if self.work is not None and self.work.amending is None and not self.work.fixed:
            for kind in form_turn.beside(self.work.kind)[:1]:
                self._turn(kind, self.work.target)

    def action_whole(self) -> None:
        """Turn from this vessel to every vessel of its wine, or back."""
        wine, found = ("", ()) if self.work is None else form_turn.vessels(self.work)
        if self.work is None or not found:
            self.tell("This work is of one vessel, or the wine lies in no other.")
        elif form_turn.in_all(self.work.target):
            self._turn(self.work.kind, self._vessel if self._vessel in found else found[0])
        else:
            self._turn(self.work.kind, f"{WINE}{wine}")
            told = " The amount is for all of them, shared by volume; a dose is what each gets."
            self.tell(f"For {', '.join(found)}.{told if self.work.kind == 'addition' else ''}")

    def _lay_out(self, names: tuple[str, ...] | None, texts: Mapping[str, str]) -> None:
        assert self.work is not None
        also, stuff = [name for name in texts if texts[name]], self.work.fixed.get("name", "")
        shown = slots(self.work.kind, names, self.work.service.view.units, also, stuff)
        used = [slot for slot in shown if slot.name not in self.work.fixed]
        every = list(self.query(FieldRow))
        for row, slot in zip(every, [*used, *[None] * (len(every) - len(used))], strict=False):
            row.give(slot, texts.get(slot.name, "") if slot is not None else "")
        if texts.get(WAIVE):
            self._offer_waiver(texts[WAIVE])
        self._units()

    def _go_to(self, row: FieldRow) -> None:
        self._at = row
        self.screen.set_focus(row.entry)
        row.entry.action_select_all()

    def _first_empty(self) -> FieldRow:
        return next((row for row in self.rows if not row.entry.value), self.rows[0])

    def save_draft(self) -> bool:
        """Keep what is typed in a file; return whether there was anything to keep."""
        return self.is_open and self.work is not None and self.work.keep(self.texts())

    def shut(self) -> None:
        """Hide the form."""
        _stop(self._draft_timer, self._weigher)
        self.remove_class("-open")
        self.screen.remove_class("-form")
        self.work = None

    def action_close(self) -> None:
        """Close the form; typed text stays as a draft."""
        kept = self.save_draft()
        self.shut()
        self.post_message(form_messages.Closed(kept))

    def feed(self, event: events.Key) -> bool:
        """Take a key that was typed ahead of the form's opening: it goes where the cursor is to be."""
        if not self.is_open or self._at is None:
            return False
        form_ahead.take(self, self._at, event)
        return True

    # -- typing

    def texts(self) -> dict[str, str]:
        """Return the text of every field in use."""
        return {row.slot.name: row.entry.value.strip() for row in self.rows if row.slot is not None}

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        row = next((one for one in self.rows if one.entry is event.input), None)
        if row is not None:
            self.typed_into(row)

    def typed_into(self, row: FieldRow) -> None:
        """Weigh what is typed anew once the keys of this burst are in, and keep it a moment later."""
        assert row.slot is not None
        self._last, self.pane.top, self._opened = row, 0, 0.0
        if row.slot.name in NAMING:
            self._units()
        self._weigh_soon()
        _stop(self._draft_timer)
        self._draft_timer = self.set_timer(DRAFT_AFTER, self.save_draft)

    def _weigh_soon(self) -> None:
        """Weigh what is typed at once; what takes the whole cellar waits until typing rests."""
        if self.work is not None and self.work.form.pause:
            _stop(self._weigher)
            self._weigher, self._stale = self.set_timer(self.work.form.pause, self.update_preview), True
            self._paint()
        elif not self._pending:
            self._pending = True
            self.call_later(self.update_preview)

    @on(events.DescendantFocus)
    def _arrived(self, event: events.DescendantFocus) -> None:
        self._at = next((row for row in self.rows if row.entry is event.widget), self._at)

    def _row(self, name: str) -> FieldRow | None:
        return next((row for row in self.rows if row.slot is not None and row.slot.name == name), None)

    def _stuff(self) -> str:
        assert self.work is not None
        said = {**self.texts(), **self.work.fixed}
        return named(next((said[name] for name in NAMING if said.get(name)), ""))

    def _units(self) -> None:
        if self.work is None or self.work.kind not in ("addition", "material"):
            return
        for name in ("amount", REACH, "strength"):
            if (row := self._row(name)) is not None:
                row.beside(unit_beside(self.work.kind, name, self._stuff(), self.work.service.view.units))

    def _follow_reach(self) -> None:
        """Let the amount follow what it should reach while that is typed, and the other way round."""
        reach, amount = self._row(REACH), self._row("amount")
        if reach is not None and amount is not None and self.work is not None:
            form_reach.follow(self.work, reach, amount, self._stuff(), aimed=self._last is reach)

    def put(self, name: str, text: str) -> None:
        """Write into a field as if it were typed."""
        if (row := self._row(name)) is not None:
            row.entry.value = text

    def update_preview(self) -> None:
        """Show what Enter would do; a half-typed value keeps the last good preview, marked by a word."""
        self._pending = False
        if not self.is_open or self.work is None:
            return
        told, wrong, self._stale = "", set[str](), False
        try:
            aims = self._last is not None and self._last is self._row(REACH)
            if aims:
                self._follow_reach()
            self.work.preview(self.texts())
            if not aims:
                self._follow_reach()
            self._offer_titration()
            if self.work.asks_waiver and self._row(WAIVE) is None:
                self._offer_waiver("")
        except CellarError as error:
            self._stale = True
            told, wrong = typed_wrong(error, self.texts())
        for row in self.rows:
            row.wrong(row.slot is not None and row.slot.name in wrong)
        self._paint()
        self.tell(told)

    def tell(self, text: str) -> None:
        """Say something below the fields; nothing to say shows the keys."""
        self._told = text
        shown = text or short.footer("form", self.app.size.width - 1)
        self.query_one("#form-hint", Static).update(label(shown))

    def _offer_titration(self) -> None:
        """Ask for normality and sample once a reading is by titration or typed in millilitres."""
        if self.work is None or not titration_asked(self.work.kind, self.texts()):
            return
        for slot in slots(self.work.kind, titrated.WITH, self.work.service.view.units)[: len(titrated.WITH)]:
            spare = next((row for row in self.query(FieldRow) if row.slot is None), None)
            if spare is not None and self._row(slot.name) is None:
                spare.give(slot, "")

    def _offer_waiver(self, text: str) -> None:
        """Offer a field for the reason that passes a stop."""
        spare = next((row for row in self.query(FieldRow) if row.slot is None), None)
        if spare is not None:
            spare.give(Slot(WAIVE, "waive because", "a reason"), text)

    def _paint(self, turn: int = 0) -> None:
        if (work := self.work) is not None:
            said = {"stale": self._stale, "careful": self.careful, "brief": self.has_class("-narrow")}
            self.pane.show(lambda width: work.told(self.texts(), width, **said), turn)

    # -- keys

    def action_why(self) -> None:
        """Ask for the working of what is shown."""
        if self.work is not None:
            self.post_message(form_messages.Why(self.work))

    def action_yesterday(self) -> None:
        """Date the entry yesterday."""
        if (row := self._row(DATE)) is not None:
            row.entry.value = "yesterday"

    def action_step(self, step: int) -> None:
        """Go to the next or the previous field."""
        rows = self.rows
        if self._at in rows:
            self._at = rows[(rows.index(self._at) + step) % len(rows)]
            self.screen.set_focus(self._at.entry)
            if self._at is self._row(REACH):
                self._at.entry.action_select_all()

    def action_turn(self, step: int) -> None:
        """Show the rest of the preview."""
        self._paint(step)

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        self.submit()

    def submit(self) -> None:
        """Record what is typed; what is missing is asked for first, and a second Enter records nothing more."""
        if self.busy or self.work is None or time.monotonic() - self._opened < self.settle:
            return
        if idle := self.work.idle(self.texts()):
            self.tell(idle)
            self._go_to(self.rows[0])
            return
        _stop(self._weigher)
        if not self.work.form.pause:
            self.update_preview()
        if (twice := self.work.twice()) and twice != self._twice:
            self._twice = twice
            self.tell(f"{twice} Enter again records it all the same.")
            return
        try:
            self.busy = True
            answer = self.work.record(self.texts())
        except CellarError as error:
            self.busy = False
            self._refused(error)
            return
        if answer.stopped:
            self.busy = False
            row = self._row(WAIVE)
            self.tell("Nothing was recorded. A reason passes this stop." if row else "Nothing was recorded.")
            if row is not None:
                row.entry.focus()
            return
        self.shut()
        self.post_message(form_messages.Recorded(answer))

    def _refused(self, error: CellarError) -> None:
        told = str(error)
        if error.code == "moved" and self.work is not None:
            told = f"Nothing was recorded: {self.work.foreign()}. Look, then Enter."
            self.work.refresh(accept=True)
            self.update_preview()
        self.tell(told)
        wrong = [name for name, _ in error.details] or [error.field or ""]
        (next((row for row in map(self._row, wrong) if row), None) or self._first_empty()).entry.focus()

    def refresh_form(self) -> None:
        """Weigh anew what is typed: another program has recorded something; say so where it concerns this form."""
        if self.is_open and self.work is not None:
            told, foreign = self._told, self.work.foreign()
            self.work.refresh(accept=False)
            self.update_preview()
            self.tell(f"{foreign}. This is the new preview." if foreign else told)
