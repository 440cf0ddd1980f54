"""A wine: its figures and verdicts, what is due, the way to bottling, and its ledger."""

from __future__ import annotations

from dataclasses import dataclass

from textual.app import ComposeResult
from textual.binding import Binding
from textual.widgets import Static

from cellar_tui import explain, quantities, say
from cellar_tui.cellar import Service
from cellar_tui.keys import keys_of
from cellar_tui.outcomes import task as as_task
from cellar_tui.planning.plan import Because
from cellar_tui.screens.place import ListScreen
from cellar_tui.screens.why import TextScreen
from cellar_tui.views import Task, WineView, Written
from cellar_tui.widgets import short
from cellar_tui.widgets.cells import column, joined, label
from cellar_tui.widgets.form_panel import FormPanel
from cellar_tui.widgets.lines import Lines


@dataclass(frozen=True, slots=True)
class Item:
    """A line of the wine's page: what it says, what explains it, the entry behind it."""

    text: str
    tone: str = ""
    because: Because | None = None
    written: Written | None = None


class WineScreen(ListScreen):
    """One filling, whole."""

    PLACE = "wine"
    BINDINGS = [
        Binding(one.key, one.action, one.label, show=False, priority=one.id not in ("open", "back"), id=one.id)
        for one in keys_of("wine") if one.action != "find"
    ]  # fmt: skip

    def __init__(self, service: Service, vessel: str) -> None:
        super().__init__(service)
        self.vessel = vessel
        self.view: WineView | None = None

    def compose(self) -> ComposeResult:
        """Lay out head, page, form and keys."""
        yield Static(id="head")
        yield Lines(self.paint, id="main")
        yield FormPanel(id="form")
        yield Static(id="foot")

    def on_mount(self) -> None:
        """Show the wine."""
        self.refresh_from_service()
        self.listing.focus()

    def refresh_from_service(self) -> None:
        """Read the wine again."""
        self.view = self.service.wine(self.vessel)
        plan = self.view.plan
        held = "" if plan is None else quantities.show(plan.volume, "L", system=self.view.units)
        head = joined((f" {self.vessel}", plan.wine if plan else "empty", say.words(plan.style) if plan else "", held,
                       say.words(plan.stage) if plan else ""))  # fmt: skip
        self.query_one("#head", Static).update(label(head))
        self.listing.show_rows(self._items(), self.listing.cursor)
        self.say(short.footer("wine", self.app.size.width - 1, read_only=self.service.read_only))
        if self.panel.is_open:
            self.panel.refresh_form()

    def _items(self) -> list[Item]:
        view, units = self.view, self.service.units
        found: list[Item] = []
        if view is not None and view.plan is not None and view.day is not None:
            readings = [
                say.reading(name, one.value, one.unit, units) + f" ({explain.short_day(one.on)})"
                for name, one in view.plan.readings.items()
            ]
            found += [Item("Last readings", "quiet"), *(Item(f"  {text}") for text in readings)]
            found.append(Item("Stability", "quiet"))
            for kind, one in view.day.verdicts.items():
                until = f" until {explain.short_day(one.until)}" if one.until and one.state == "shown" else ""
                text = f"  {kind:<9} {say.words(one.state)}{until} · {one.because.reason}"
                found.append(Item(text, "good" if one.state in ("shown", "waived") else "", one.because))
            found.append(Item("Due", "quiet"))
            for task in self.due_tasks():
                amount = f": {say.dose(task.action.dose, units)}" if task.action.dose else ""
                when = explain.short_day(task.action.show)
                found.append(Item(f"  {when:<12} {task.action.task}{amount}",
                                  "warn" if task.status == "late" else "", task.action.because))  # fmt: skip
            found.append(Item("Until bottling", "quiet"))
            found += [
                Item(f"  {explain.short_day(step.earliest):<12} {say.words(step.action)}: {step.why}")
                for step in view.day.path
            ]
        found.append(Item("Ledger, newest first", "quiet"))
        names = {one.number: one.name for one in self.service.vessels()}
        for line in self.service.ledger(self.vessel):
            entry = line.entry
            mark = "" if line.state == "standing" else f" [{line.state}]"
            problem = f" PROBLEM: {line.problem}" if line.problem else ""
            said = say.entry(entry, names, units)
            text = f"  {entry.seq:>4}  {explain.short_day(entry.on):<12} {said}{mark}{problem}"
            found.append(Item(text, "quiet" if mark else "", None, line))
        return found

    def paint(self, item: Item, width: int) -> list[tuple[str, str]]:
        """Return one line of the page."""
        return [(" " + column(item.text, width - 1), item.tone)]

    def target(self) -> str | None:
        """Return this vessel."""
        return self.vessel if self.view is not None and self.view.plan is not None else None

    def due_tasks(self) -> list[Task]:
        """Return the due actions of this wine."""
        view = self.view
        if view is None or view.plan is None or view.day is None:
            return []
        return [as_task(one, view.info, view.plan.wine, view.today) for one in view.day.actions]

    def action_open(self) -> None:
        """Open the entry or the working under the cursor."""
        item = self.listing.selected
        if isinstance(item, Item) and item.written is not None:
            self.app.push_screen(TextScreen(f"Entry {item.written.entry.seq}", self._entry(item.written)))
        else:
            self.action_why()

    def _entry(self, line: Written) -> list[str]:
        entry = line.entry
        names = {one.number: one.name for one in self.service.vessels()}
        told = [say.entry(entry, names, self.service.units)]
        told.append(f"{explain.short_day(entry.on)}, by {entry.by}, {line.state}")
        told += [f"as typed: {name} {text}" for name, text in entry.typed.items()]
        told += [f"waived: {entry.waived}"] if entry.waived else []
        return told + [f"caution: {one}" for one in entry.cautions]

    def action_why(self) -> None:
        """Show the working of the line under the cursor."""
        item = self.listing.selected
        if isinstance(item, Item) and item.because is not None:
            self.explain(f"Why · {self.vessel} ·{item.text[:40]}", item.because)

    def action_undo(self) -> None:
        """Withdraw the entry under the cursor, else the last one of this person."""
        item = self.listing.selected
        if isinstance(item, Item) and item.written is not None:
            self.take_back(item.written.entry.seq)
        else:
            super().action_undo()

    def action_back(self) -> None:
        """Go back to the cellar."""
        self.save_draft()
        self.dismiss()
