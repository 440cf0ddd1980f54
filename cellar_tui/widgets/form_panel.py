"""The form: docked below a list, shown when it opens; everything it would do is shown before Enter."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import ClassVar

from rich.text import Text
from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.message import Message
from textual.timer import Timer
from textual.widgets import Input, Static

from cellar_tui import drafts, say
from cellar_tui.cellar import Service
from cellar_tui.forms import Form
from cellar_tui.ledger.entry import Entry
from cellar_tui.quantities import QuantityError
from cellar_tui.typed import shown_name
from cellar_tui.views import Answer, CellarError
from cellar_tui.widgets import preview
from cellar_tui.widgets.cells import label
from cellar_tui.widgets.field_row import FieldRow
from cellar_tui.widgets.form_fields import DATE, PREFILL, REACH, WAIVE, Slot, bare_units, slots, unit_beside

ROWS = 22
DRAFT_AFTER = 1.0
TONES = {"stop": "bold", "warn": "italic", "quiet": "dim", "head": "bold", "plain": ""}


class FormPanel(Vertical):
    """A form for any kind of entry; it asks the service through a `Form` and posts what was recorded."""

    DEFAULT_CSS = """
    FormPanel { height: 16; border-top: solid $primary; display: none; background: $background; }
    FormPanel.-open { display: block; }
    FormPanel #form-title { height: 1; text-style: bold; }
    FormPanel #form-body { height: 1fr; }
    FormPanel #form-fields { width: 42; padding-right: 1; scrollbar-size-vertical: 1; }
    FormPanel #form-preview { width: 1fr; height: 1fr; }
    FormPanel #form-hint { height: 2; color: $text-warning; }
    FormPanel.-narrow { height: 18; }
    FormPanel.-narrow #form-body { layout: vertical; }
    FormPanel.-narrow #form-fields { width: 1fr; height: 7; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,f9", "close", "back", show=False),
        Binding("ctrl+y", "yesterday", "yesterday", show=False),
        Binding("up", "step(-1)", show=False),
        Binding("down", "step(1)", show=False),
    ]

    class Recorded(Message):
        """An entry was kept."""

        def __init__(self, answer: Answer) -> None:
            super().__init__()
            self.answer = answer

    class Closed(Message):
        """The form was closed without an entry; `kept` says that a draft stays."""

        def __init__(self, kept: bool) -> None:
            super().__init__()
            self.kept = kept

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.form: Form | None = None
        self.kind = ""
        self.fixed: dict[str, str] = {}
        self.begun: dict[str, str] = {}
        self.amending: Entry | None = None
        self.answer: Answer | None = None
        self.busy = False
        self._pending = False
        self._draft_timer: Timer | None = None

    def compose(self) -> ComposeResult:
        """Lay out title, fields, preview and hint."""
        yield Static(id="form-title")
        with Horizontal(id="form-body"):
            with VerticalScroll(id="form-fields", can_focus=False):
                for _ in range(ROWS):
                    yield FieldRow()
            yield Static(id="form-preview")
        yield Static(id="form-hint")

    # -- opening and closing

    @property
    def is_open(self) -> bool:
        """Whether a form is being filled in."""
        return self.has_class("-open")

    @property
    def rows(self) -> list[FieldRow]:
        """The rows in use."""
        return [row for row in self.query(FieldRow) if row.slot is not None]

    def open(
        self, service: Service, target: str, kind: str, *, prefill: Mapping[str, str] | None = None,
        fixed: Mapping[str, str] | None = None, names: tuple[str, ...] | None = None,
        draft: drafts.Draft | None = None, amend: Entry | None = None,
    ) -> None:  # fmt: skip
        """Show a form for a vessel or wine.

        Raises:
            CellarError: there is no such vessel.
        """
        key = bytes.fromhex(draft.key) if draft is not None else None
        self.form = Form(service, target, key=key, bare=bare_units(service.units))
        if draft is not None and draft.heads:
            self.form.heads = {int(vessel): seq for vessel, seq in draft.heads.items()}
        self.kind, self.fixed, self.amending = kind, dict(fixed or {}), amend
        texts = {**PREFILL.get(kind, {}), **(prefill or {})}
        if amend is not None:
            texts = _texts(amend)
        self.begun = dict(texts)
        texts |= draft.fields if draft is not None else {}
        shown = [slot for slot in slots(kind, names, service.units) if slot.name not in self.fixed]
        every = list(self.query(FieldRow))
        for row, slot in zip(every, [*shown, *[None] * (len(every) - len(shown))], strict=False):
            row.give(slot, texts.get(slot.name, "") if slot is not None else "")
        verb = f"Correct entry {amend.seq}" if amend is not None else say.words(kind).capitalize()
        self.query_one("#form-title", Static).update(label(f"{verb} · {target}"))
        self.set_class(self.app.size.width < 72, "-narrow")
        self.add_class("-open")
        self.screen.add_class("-form")
        self.busy = False
        self._units()
        amount = self._row("amount")
        first = amount if amount is not None and amount.entry.value else self._first_empty()
        first.entry.focus()
        first.entry.action_select_all()
        self.update_preview()

    def _first_empty(self) -> FieldRow:
        return next((row for row in self.rows if not row.entry.value), self.rows[0])

    def save_draft(self) -> bool:
        """Keep what is typed in a file; return whether there was anything to keep."""
        if not self.is_open or self.form is None or self.amending is not None or self.fixed:
            return False
        typed = {name: text for name, text in self.texts().items() if text}
        if typed == {name: text for name, text in self.begun.items() if text}:
            return False
        heads = {str(vessel): seq for vessel, seq in self.form.heads.items()}
        draft = drafts.Draft(self.kind, self.form.target, typed, self.form.key.hex(), heads)
        return drafts.save(self._draft_place(), draft)

    def _draft_place(self) -> Path:
        assert self.form is not None
        return drafts.place(self.form.service.path, self.form.service.by)

    def shut(self) -> None:
        """Hide the form."""
        if self._draft_timer is not None:
            self._draft_timer.stop()
        self.remove_class("-open")
        self.screen.remove_class("-form")
        self.form = None

    def action_close(self) -> None:
        """Close the form; typed text stays as a draft."""
        kept = self.save_draft()
        self.shut()
        self.post_message(self.Closed(kept))

    def feed(self, event: events.Key) -> bool:
        """Take a key that was typed ahead of the form's opening."""
        if not self.is_open:
            return False
        row = self._first_empty() if not self._inside() else self._inside()
        if row is None:
            return False
        row.entry.focus()
        if event.key == "enter":
            self.submit()
        elif event.key == "tab":
            self.app.action_focus_next()
        elif event.is_printable and event.character:
            row.entry.insert_text_at_cursor(event.character)
        return True

    def _inside(self) -> FieldRow | None:
        return next((row for row in self.rows if row.entry.has_focus), None)

    # -- typing

    def texts(self) -> dict[str, str]:
        """Return the text of every field in use."""
        return {row.slot.name: row.entry.value.strip() for row in self.rows if row.slot is not None}

    def _typed(self) -> tuple[dict[str, str], str, str]:
        fields = {**self.texts(), **self.fixed}
        at, waive = fields.pop(DATE, ""), fields.pop(WAIVE, "")
        fields.pop(REACH, None)
        return fields, at, waive

    @on(Input.Changed)
    def _changed(self, event: Input.Changed) -> None:
        event.stop()
        row = next((one for one in self.rows if one.entry is event.input), None)
        if row is None or row.slot is None or not row.entry.has_focus:
            return
        if row.slot.name == REACH:
            self._follow_reach(event.value)
        elif row.slot.name == "material":
            self._units()
        if not self._pending:
            self._pending = True
            self.call_later(self.update_preview)
        if self._draft_timer is not None:
            self._draft_timer.stop()
        self._draft_timer = self.set_timer(DRAFT_AFTER, self.save_draft)

    def _row(self, name: str) -> FieldRow | None:
        return next((row for row in self.rows if row.slot is not None and row.slot.name == name), None)

    def _units(self) -> None:
        if self.kind != "addition" or self.form is None:
            return
        stuff = {**self.texts(), **self.fixed}.get("material", "")
        for name in ("amount", REACH, "strength"):
            if (row := self._row(name)) is not None:
                row.beside(unit_beside(self.kind, name, stuff, self.form.service.units))

    def _follow_reach(self, text: str) -> None:
        amount = self._row("amount")
        if amount is None or self.form is None:
            return
        stuff = {**self.texts(), **self.fixed}.get("material", "")
        try:
            amount.entry.value = self.form.amount_for(stuff, text) if text.strip() else ""
        except QuantityError:
            return

    def _show_reach(self) -> None:
        """Let the reach follow the amount while that is typed."""
        reach, amount = self._row(REACH), self._row("amount")
        if reach is None or amount is None or not amount.entry.has_focus or self.answer is None:
            return
        after = self.answer.outcomes[0].after
        reach.entry.value = "" if after is None or after.free_so2 is None else f"{after.free_so2:.0f}"

    def update_preview(self) -> None:
        """Show what Enter would do; a half-typed value keeps the last good preview, marked by a word."""
        self._pending = False
        if not self.is_open or self.form is None:
            return
        fields, at, waive = self._typed()
        hint: str = ""
        wrong: tuple[str, ...] = ()
        try:
            self.answer = self._weigh(fields, at, waive, preview=True)
            self._show_reach()
            self._ask_waiver()
        except CellarError as error:
            hint, wrong = str(error), tuple(name for name, _ in error.details) or (error.field or "",)
        for row in self.rows:
            name = row.slot.name if row.slot is not None else ""
            row.wrong(name in wrong and bool(row.entry.value))
        self._paint(stale=bool(hint))
        self.query_one("#form-hint", Static).update(label(hint))

    def _weigh(self, fields: dict[str, str], at: str, waive: str, *, preview: bool) -> Answer:
        assert self.form is not None
        if self.amending is None:
            weigh = self.form.preview if preview else self.form.record
            return weigh(self.kind, fields, at, waive or None)
        changed = {name: text for name, text in fields.items() if text != self.begun.get(name, "")}
        moved = at if at != self.begun.get(DATE, "") else ""
        return self.form.service.amend(
            self.amending.seq, changed, at=moved, waive=waive or None, preview=preview,
            key=None if preview else self.form.key,
        )  # fmt: skip

    def _ask_waiver(self) -> None:
        """Offer a field for the reason once a stop that a reason can pass is there."""
        assert self.answer is not None
        stops = [stop for outcome in self.answer.outcomes for stop in outcome.stops]
        if stops and all(stop.waivable for stop in stops) and self._row(WAIVE) is None:
            spare = next((row for row in self.query(FieldRow) if row.slot is None), None)
            if spare is not None:
                spare.give(Slot(WAIVE, "waive because", "a reason"))

    def _paint(self, *, stale: bool) -> None:
        area = self.query_one("#form-preview", Static)
        if self.answer is None or self.form is None:
            area.update("")
            return
        width, height = max(20, area.size.width), max(4, area.size.height)
        found = []
        waive = bool(self.texts().get(WAIVE))
        for outcome in self.answer.outcomes:
            found += preview.lines(outcome, self.form.service.units, width, waived=waive)
        if stale:
            found.insert(0, ("as last typed in full:", "quiet"))
        shown = Text()
        for text, tone in preview.padded(found, width, height):
            shown.append(text + "\n", style=TONES[tone])
        area.update(shown)

    # -- keys

    def action_yesterday(self) -> None:
        """Date the entry yesterday."""
        if (row := self._row(DATE)) is not None:
            row.entry.value = "yesterday"
            self.update_preview()

    def action_step(self, step: int) -> None:
        """Go to the next or the previous field."""
        inside = self._inside()
        if inside is not None:
            rows = self.rows
            rows[(rows.index(inside) + step) % len(rows)].entry.focus()

    @on(Input.Submitted)
    def _entered(self, event: Input.Submitted) -> None:
        event.stop()
        self.submit()

    def submit(self) -> None:
        """Record what is typed; what is missing is asked for first, and a second Enter records nothing more."""
        if self.busy or self.form is None:
            return
        self.update_preview()
        fields, at, waive = self._typed()
        try:
            self.busy = True
            answer = self._weigh(fields, at, waive, preview=False)
        except CellarError as error:
            self.busy = False
            self._refused(error)
            return
        if answer.stopped:
            self.busy = False
            self.answer = answer
            self._paint(stale=False)
            row = self._row(WAIVE)
            hint = "Nothing was recorded. A reason passes this stop." if row else "Nothing was recorded."
            self.query_one("#form-hint", Static).update(label(hint))
            if row is not None:
                row.entry.focus()
            return
        if self.amending is None:
            drafts.drop(self._draft_place())
        self.shut()
        self.post_message(self.Recorded(answer))

    def _refused(self, error: CellarError) -> None:
        told = str(error)
        if error.code == "moved" and self.form is not None:
            foreign = self.form.service.ledger(None, 1)
            names = {one.number: one.name for one in self.form.service.vessels()}
            self.form.refresh()
            said = say.entry(foreign[0].entry, names, self.form.service.units) if foreign else ""
            who = foreign[0].entry.by if foreign else "somebody"
            told = f"Nothing was recorded: {who} recorded {said}. Look, then Enter."
            self.update_preview()
        self.query_one("#form-hint", Static).update(label(told))
        names_wrong = [name for name, _ in error.details] or [error.field or ""]
        row = next((one for one in self.rows if one.slot is not None and one.slot.name in names_wrong), None)
        (row or self._first_empty()).entry.focus()

    def refresh_form(self) -> None:
        """Read again what the form can reach, and say so: another person has recorded something."""
        if self.is_open and self.form is not None:
            heads = dict(self.form.heads)
            self.form.refresh()
            if heads != self.form.heads:
                self.form.heads = heads
            self.update_preview()
            told = "The cellar has changed meanwhile; this is the new preview."
            self.query_one("#form-hint", Static).update(label(told))


def _texts(entry: Entry) -> dict[str, str]:
    """Return an entry's fields as they were typed, else as plain values."""
    from cellar_tui.ledger.fields import specs

    found = {DATE: entry.on.isoformat()}
    for name, spec in specs(type(entry.body)):
        value = getattr(entry.body, name)
        if value is None or spec.sort == "vessel":
            continue
        plain = f"{value:g}" if isinstance(value, float) else {True: "yes", False: "no"}.get(value, str(value))
        found[shown_name(name)] = entry.typed.get(shown_name(name), plain)
    return found
