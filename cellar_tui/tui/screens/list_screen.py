"""What the screens with a list and a form share: opening a form, taking back, finding, keeping drafts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from textual.screen import Screen
from textual.widgets import Static

from cellar_tui.entry_form import drafts
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.language import days
from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import joined
from cellar_tui.ledger.cellar_kinds import KINDS
from cellar_tui.ledger.entry import Entry
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.view import CellarView
from cellar_tui.service.views import CellarError, Outcome, SaveResult, Task
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.keys import Place
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.form_panel import FormPanel
from cellar_tui.tui.widgets.line_view import LineView
from cellar_tui.tui.widgets.lines import Lines

if TYPE_CHECKING:
    from cellar_tui.entry_form.entry_form import Opening
    from cellar_tui.entry_form.work import Work
    from cellar_tui.tui.screens.why import Part

WRITING = ("form", "undo", "round", "amend", "edit", "default", "new", "sheet", "new_vessel", "new_wine", "vessel")
"""Actions that record something."""
ALONE = 0.1
"""Seconds in which no other key may follow the one that takes back: a pasted text must not."""

RECORDED = "What was being typed is already recorded."


class ListScreen(SpeaksErrors, Screen[None]):
    """A screen with a list, a docked form and a line that says what happened."""

    PLACE: Place = "cellar"

    def __init__(self, service: OpenCellar, past: CellarView | None = None) -> None:
        super().__init__()
        self.service, self.past = service, past
        self.told = ""
        self.words = ""
        self.asking = ""
        """Which line is being typed in: find, asof, "" for none."""
        self._narrowed = True
        self._recorded = False
        self._from = 0
        """Where the cursor was when words were first asked for."""

    @property
    def seen(self) -> CellarView:
        """What is shown: the cellar as it is, or as it was known on a past day."""
        return self.past or self.service.view

    @property
    def only_read(self) -> bool:
        """Nothing can be recorded here."""
        return self.service.read_only or self.past is not None

    @property
    def panel(self) -> FormPanel:
        """The docked form."""
        return self.query_one(FormPanel)

    @property
    def listing(self) -> Lines[Any]:
        """The list that the cursor moves in."""
        return self.query_one(Lines)

    @property
    def asker(self) -> LineView:
        """The line in which a word or a day is asked for."""
        return self.query_one(f"#{self.asking or 'find'}", LineView)

    def on_mount(self) -> None:
        """Show what is there."""
        self.panel.on_recorded = self.form_recorded
        self.panel.on_closed = self.form_closed
        self.panel.on_why = self.form_asked_why
        self.refresh_from_service()
        self.set_focus(self.listing)

    def target(self) -> str | None:
        """Return the vessel that the next form is for; None where it holds nothing."""
        raise LookupError(self.PLACE)

    def empty_vessel(self) -> str | None:
        """Return the vessel without wine that is selected."""
        return None

    def due_tasks(self) -> list[Task]:
        """Return the due actions of that vessel."""
        return []

    def refresh_from_service(self) -> None:
        """Show the cellar as it is now."""

    # -- keys

    def take(self, press: Press) -> bool:
        """Act on a key that is meant for the open form, or for the words or the day that are asked for."""
        if self.panel.is_open:
            return self.panel.take(press)
        recorded, self._recorded = self._recorded, False
        if not self.asking:
            # The second Enter of a slip leaves in sight what the first one recorded.
            return press.again and recorded
        if self.asker.line.press(press):
            self.asker.show()
            self._narrow_soon()
            return True
        self._narrow()
        if press.key == "enter":
            self._asked()
        elif press.key in ("escape", "f9"):
            self.action_back()
        return press.key in ("enter", "escape", "f9")

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Let no letter act while it may be typed, and nothing record where the cellar is read only."""
        if self.panel.is_open or self.asking:
            return False
        if self.past is not None and action == "bench":
            return False
        return not (self.only_read and action in WRITING)

    # -- what is told

    def say(self, text: str) -> None:
        """Tell in the last line what happened; with nothing to tell it shows the keys."""
        self.told = text
        self.query_one("#foot", Static).update(label(text or self.keys()))

    def keys(self) -> str:
        """Return the last line: what is looked for, and the keys of this place that fit beside it."""
        mark = self.mark()
        room = self.app.size.width - 2 - (cells(mark) + 3 if mark else 0)
        return joined((mark, short.footer(self.PLACE, room, read_only=self.only_read)))

    def mark(self) -> str:
        """Return what is not as usual in the list."""
        then = "nothing is recorded in the past" if self.past else ""
        return joined((f"only {self.words}" if self.words else "", then))

    def say_entry(self, entry: Entry) -> str:
        """Return an entry in words."""
        from cellar_tui.language import describe_entry

        names = {vessel.number: vessel.name for vessel in self.service.view.vessels()}
        return describe_entry.entry(entry, names, self.service.view.units)

    # -- forms

    def action_form(self, kind: str) -> None:
        """Open the form of a kind of entry as the wine asks for it."""
        from cellar_tui.entry_form import presets

        name = self.target()
        if name is None and kind == "check" and (vessel := self.empty_vessel()) is not None:
            self.open_form(vessel, "cleaning")
            return
        if name is None:
            self.say("This vessel is empty: c records how it was cleaned; all else waits until a wine is started.")
            return
        try:
            kind, opening = presets.opening(self.service, name, kind, self.due_tasks())
        except CellarError as error:
            self.say(str(error))
            return
        self._open(name, kind, opening)

    def open_form(  # noqa: PLR0913 (how a form opens, by name)
        self,
        name: str,
        kind: str,
        *,
        prefill: Mapping[str, str] | None = None,
        fixed: Mapping[str, str] | None = None,
        names: tuple[str, ...] | None = None,
        draft: drafts.Draft | None = None,
        amend: Entry | None = None,
    ) -> None:
        """Open the form of a kind of entry for a vessel."""
        from cellar_tui.entry_form.entry_form import Opening

        self._open(name, kind, Opening(prefill or {}, fixed or {}, names, draft=draft, amend=amend))

    def _open(self, name: str, kind: str, opening: Opening) -> None:
        self.say("")
        try:
            self.panel.open(self.service, name, kind, opening)
        except CellarError as error:
            self.say(str(error))

    def reopen_draft(self) -> None:
        """Bring back the form that a dropped line cut off, unless it was recorded."""
        place = drafts.draft_file(self.service.path, self.service.by)
        draft = None if self.service.read_only else drafts.load(place)
        if draft is None:
            return
        from cellar_tui.entry_form.sheet import KIND as SHEET

        if draft.kind not in KINDS and draft.kind != SHEET:
            self.say("A draft of a newer version of this program is kept; it does not open in this one.")
            return
        if draft.kind == SHEET:
            if self.service.recorded(bytes.fromhex(draft.key)):
                drafts.drop(place, draft)
                self.say(RECORDED)
            else:
                self.open_sheet()
            return
        self.open_form(draft.target, draft.kind, draft=draft)
        if self.panel.is_open and not self.panel.texts_typed():
            self.panel.shut()
            self.set_focus(self.listing)
            self.say(RECORDED)

    def save_draft(self) -> None:
        """Keep what is typed."""
        self.panel.save_draft()

    def form_recorded(self, answer: SaveResult) -> None:
        """Say what was kept and which dates moved."""
        self._recorded = True
        self.set_focus(self.listing)
        self.refresh_from_service()
        found = answer.outcomes
        word = "Already recorded" if found[0].already else "Recorded"
        if len(found) == 1:
            self.say(
                f"{word} as entry {found[0].entry.seq}: {self.say_entry(found[0].entry)}, {_where(found)}."
                + short.moved(found[0].changes)
            )
            return
        said = "; ".join(f"{self.say_entry(one.entry)} in {one.vessel}" for one in found)
        self.say(f"{word} as entries {found[0].entry.seq} to {found[-1].entry.seq}: {said}. u takes all of them back.")

    def form_asked_why(self, work: Work) -> None:
        """Open the working of what the form shows; the form stays as it is."""
        from cellar_tui.tui.screens import form_why

        if parts := form_why.parts(work):
            self.explain(joined(("Why", work.title, work.target)), None, *parts)
        else:
            self.panel.tell("Nothing is worked out yet: type what was done first.")

    def form_closed(self, kept: bool) -> None:
        """Say whether a draft stays."""
        self.set_focus(self.listing)
        self.say("Kept as a draft: it comes back with this form." if kept else "")

    # -- taking back

    def action_undo(self) -> None:
        """Take back the last entry of this person, unless other keys come in the same moment."""
        seen = self._keys_seen()
        self.set_timer(ALONE, lambda: self._undo_alone(seen))

    def _keys_seen(self) -> int:
        return int(getattr(self.app, "keys_seen", 0))

    def _undo_alone(self, seen: int) -> None:
        if self._keys_seen() == seen:
            self.undo()
        elif not self.panel.is_open:
            self.say("Nothing was taken back: u came among other keys; press it alone.")

    def undo(self) -> None:
        """Take back the last entry of this person."""
        last = self.service.last_by(self.service.by)
        if last is None:
            self.say("There is no entry of yours to take back.")
        else:
            self.take_back(last)

    def take_back(self, entry: Entry) -> None:
        """Withdraw an entry of this person, and say which and what follows."""
        if entry.by != self.service.by:
            self.say(f"Entry {entry.seq} is by {entry.by}: u takes back only your own.")
            return
        try:
            answer = self.service.recorder.undo(entry.seq)
        except CellarError as error:
            self.say(str(error))
            return
        self.refresh_from_service()
        count = len(answer.outcomes)
        word = "Brought back" if entry.supersedes is not None and entry.body.kind == "void" else "Taken back"
        said = self.say_entry(entry) if count == 1 else f"{count} entries made together"
        self.say(
            f"{word}: {said}, {_where(answer.outcomes)} (entry {entry.seq})."
            + short.moved(answer.outcomes[0].changes if count == 1 else ())
        )

    # -- finding

    @property
    def find_open(self) -> bool:
        """Whether words to look for are being typed."""
        return self.asking == "find"

    def _ask(self, name: str) -> None:
        """Open the line in which words or a day are typed."""
        self.asking = name
        self.asker.add_class("-open")
        self.asker.line.put("")
        self.asker.activate(True)
        self.set_focus(None)

    def _close_asker(self) -> None:
        self.asker.activate(False)
        self.asker.remove_class("-open")
        self.asking = ""
        self.set_focus(self.listing)

    def action_find(self) -> None:
        """Type words to look for."""
        self.say("")
        self.words = ""
        self.narrow()
        self._from = self.listing.cursor
        self._ask("find")

    def action_back(self) -> None:
        """Show everything again where words were looked for, else leave this place."""
        if self.asking == "asof":
            self._close_asker()
            self.say("")
        elif self.find_open or self.words:
            if self.find_open:
                self._close_asker()
            self.words = ""
            self.narrow()
            self.say("")
        else:
            self.leave()

    def leave(self) -> None:
        """Go back one step; at home there is none, and only the message goes."""
        self.say("")

    def _narrow_soon(self) -> None:
        """Narrow the list once the letters of this burst are in."""
        if self._narrowed:
            self._narrowed = False
            self.call_later(self._narrow)

    def _narrow(self) -> None:
        if not self._narrowed and self.find_open:
            # From the whole list each time: the row chosen depends on the words, not on the way they were typed.
            self.words = ""
            self.narrow()
            self.listing.select(self._from)
            self.words = self.asker.line.text.strip().casefold()
            self.narrow()
        self._narrowed = True

    def narrow(self) -> None:
        """Show only what holds the words looked for."""
        self.refresh_from_service()

    def _asked(self) -> None:
        """Take the words that are typed, or show this place as it was on the day; what is no day stays."""
        if self.find_open:
            self._close_asker()
            self.say("")
            return
        try:
            past = self.service.known_as_typed(self.asker.line.text)
            screen = self.in_the_past(past)
        except CellarError as error:
            self.say(str(error))
            return
        self._close_asker()
        self.say("")
        self.app.push_screen(screen)

    # -- a past day

    def action_past(self) -> None:
        """Type the day as of which everything is to be shown."""
        self.say(f"As it was known at the end of a day: {days.FORMS}. Enter shows it, Esc does not.")
        self._ask("asof")

    def in_the_past(self, past: CellarView) -> ListScreen:
        """Return this place as it was known on a past day.

        Raises:
            CellarError: it was not there yet.
        """
        raise LookupError(self.PLACE)

    # -- other screens

    def explain(self, title: str, vessel: str | None, *parts: Part) -> None:
        """Open the working of one or more numbers of a vessel, or of the whole cellar."""
        from cellar_tui.tui.screens.why import WhyScreen

        self.app.push_screen(WhyScreen(self.service, title, vessel, parts))

    def action_bench(self) -> None:
        """Open the workbench, filled from the selected wine."""
        # Loaded when it is opened: the first screen need not wait for every calculation.
        from cellar_tui.tui.screens.workbench import WorkbenchScreen

        self.app.push_screen(WorkbenchScreen(self.service, self.target()))

    def action_sheet(self) -> None:
        """Open the sheet of readings of many vessels."""
        self.open_sheet(self.wine())

    def wine(self) -> str | None:
        """Return the wine whose vessels a sheet begins with; None for those on which a reading is due."""
        return None

    def open_sheet(self, wine: str | None = None) -> None:
        """Type the readings of many vessels, and tell afterwards what became of them."""
        from cellar_tui.tui.screens.sheet import SheetScreen

        self.say("")
        self.app.push_screen(SheetScreen(self.service, wine), self._sheet_closed)

    def _sheet_closed(self, told: str | None) -> None:
        self.refresh_from_service()
        self.say(told or "")

    def action_release(self) -> None:
        """Open the bottling gate of the selected wine."""
        # Loaded when it is opened, as the workbench is.
        from cellar_tui.tui.screens.release import ReleaseScreen

        name = self.target()
        if name is None:
            self.say("This vessel is empty: there is nothing to bottle.")
            return
        self.say("")
        self.app.push_screen(ReleaseScreen(self.service, name), lambda _: self.refresh_from_service())

    def traced(self) -> str | None:
        """Return what can be traced here: a vessel or store, or the lot of a material; None where nothing can."""
        return self.target()

    def action_trace(self) -> None:
        """Show what the selected wine is made of, or where the selected lot of a material went."""
        # Loaded when it is opened, as the workbench is.
        from cellar_tui.exchange import trace_text
        from cellar_tui.service import tracing
        from cellar_tui.tui.screens.why import TextScreen

        name = self.traced()
        if name is None:
            self.say("There is nothing to trace: a wine is traced back, a material that has a lot number forward.")
            return
        try:
            found = tracing.trace_of(name, self.seen.source.ledger(None).entries)
        except CellarError as error:
            self.say(str(error))
            return
        self.say("")
        told = list(trace_text.lines(found, self.seen.units, self.seen.today))
        self.app.push_screen(TextScreen(f"Trace · {name}", told))

    def action_help(self) -> None:
        """Show the keys of this place."""
        from cellar_tui.tui.screens.help import help_page
        from cellar_tui.tui.screens.why import TextScreen

        self.app.push_screen(TextScreen("Keys", help_page(self.PLACE, self.app.size.width - 6)))


def _where(outcomes: Sequence[Outcome]) -> str:
    return ", ".join(dict.fromkeys(outcome.vessel for outcome in outcomes if outcome.vessel)) or "the cellar"
