"""What the screens with a list and a form share: opening a form, taking back, keeping drafts."""

from __future__ import annotations

from typing import Any

from textual import on
from textual.screen import Screen
from textual.widgets import Static

from cellar_tui import drafts, explain, say
from cellar_tui.cellar import Service
from cellar_tui.keys import Place, help_lines
from cellar_tui.planning.plan import Because
from cellar_tui.screens.why import TextScreen
from cellar_tui.screens.workbench import WorkbenchScreen
from cellar_tui.views import CellarError, Task
from cellar_tui.widgets.cells import label
from cellar_tui.widgets.form_panel import FormPanel
from cellar_tui.widgets.lines import Lines

TYPING = ("form", "undo", "why", "sort", "find", "help", "quit", "open", "back", "round", "bench")
"""Actions that wait while a form is open, so that their letters can be typed."""


class ListScreen(Screen[None]):
    """A screen with a list, a docked form and a line that says what happened."""

    PLACE: Place = "cellar"

    def __init__(self, service: Service) -> None:
        super().__init__()
        self.service = service

    @property
    def panel(self) -> FormPanel:
        """The docked form."""
        return self.query_one(FormPanel)

    @property
    def listing(self) -> Lines[Any]:
        """The list that the cursor moves in."""
        return self.query_one(Lines)

    def target(self) -> str | None:
        """Return the vessel that the next form is for."""
        raise LookupError(self.PLACE)

    def due_tasks(self) -> list[Task]:
        """Return the due actions of that vessel."""
        return []

    def refresh_from_service(self) -> None:
        """Show the cellar as it is now."""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Let no letter act while it may be typed, and nothing record where the cellar is read only."""
        if action in TYPING and (self.panel.is_open or self.find_open):
            return False
        return not (self.service.read_only and action in ("form", "undo", "round"))

    @property
    def find_open(self) -> bool:
        """Whether words to look for are being typed."""
        return False

    def say(self, text: str) -> None:
        """Tell in the last line what happened."""
        self.query_one("#foot", Static).update(label(text))

    def action_form(self, kind: str) -> None:
        """Open the form of a kind of entry, filled with the dose that is due."""
        name = self.target()
        if name is None:
            return
        prefill: dict[str, str] = {}
        for task in self.due_tasks():
            dose = task.action.dose
            if kind == "addition" and dose is not None and task.status != "ahead":
                prefill = {"material": dose.material, "amount": f"{dose.amount:.2f}".rstrip("0").rstrip(".")}
                break
        self.open_form(name, kind, prefill)

    def open_form(self, name: str, kind: str, prefill: dict[str, str], draft: drafts.Draft | None = None) -> None:
        """Open the form and give it the keys typed ahead."""
        try:
            self.panel.open(self.service, name, kind, prefill=prefill, draft=draft)
        except CellarError as error:
            self.say(str(error))
            return
        self.listing.sink = self.panel.feed

    def reopen_draft(self) -> None:
        """Bring back the form that a dropped line cut off, unless it was recorded."""
        place = drafts.place(self.service.path, self.service.by)
        draft = None if self.service.read_only else drafts.load(place)
        if draft is None:
            return
        if self.service.recorded(bytes.fromhex(draft.key)):
            drafts.drop(place)
            self.say("What was being typed is already recorded.")
            return
        self.open_form(draft.target, draft.kind, {}, draft)

    def save_draft(self) -> None:
        """Keep what is typed."""
        self.panel.save_draft()

    @on(FormPanel.Recorded)
    def form_recorded(self, event: FormPanel.Recorded) -> None:
        self.listing.sink = None
        self.listing.focus()
        self.refresh_from_service()
        first = event.answer.outcomes[0]
        names = {one.number: one.name for one in self.service.vessels()}
        word = "Already recorded" if first.already else "Recorded"
        moved = "; ".join(
            f"{say.words(one.action)} {explain.short_day(one.now.action.show)}" for one in first.changes if one.now
        )
        said = say.entry(first.entry, names, self.service.units)
        self.say(f"{word} as entry {first.entry.seq}: {said}. Now: {moved}")

    @on(FormPanel.Closed)
    def form_closed(self, event: FormPanel.Closed) -> None:
        self.listing.sink = None
        self.listing.focus()
        self.say("Kept as a draft: it comes back with the program." if event.kept else "")

    def take_back(self, seq: int) -> None:
        """Withdraw an entry and say which."""
        try:
            answer = self.service.undo(seq)
        except CellarError as error:
            self.say(str(error))
            return
        self.refresh_from_service()
        self.say(f"Entry {seq} is withdrawn by entry {answer.outcomes[0].entry.seq}.")

    def action_undo(self) -> None:
        """Take back the last entry of this person."""
        last = self.service.last_by(self.service.by)
        if last is None:
            self.say("There is no entry of yours to take back.")
        else:
            self.take_back(last.seq)

    def explain(self, title: str, because: Because) -> None:
        """Open the working of an explanation."""
        self.app.push_screen(TextScreen(title, explain.lines(because, units=self.service.units)))

    def action_bench(self) -> None:
        """Open the workbench, filled from the selected wine."""
        self.app.push_screen(WorkbenchScreen(self.service, self.target()))

    def action_help(self) -> None:
        """Show the keys of this place."""
        self.app.push_screen(TextScreen("Keys", [*help_lines(self.PLACE), "", *help_lines("form")]))
