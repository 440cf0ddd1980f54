"""The house rules: every interval, threshold and unit of this cellar, changed in place and put back by a key."""

from __future__ import annotations

from typing import Any

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.widgets import Static

from cellar_tui.language.describe_setting import shown_value
from cellar_tui.language.layout import column, joined
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.house import SETTINGS
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Task
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens.house_lines import MARK, Rule, below, heads, page, parts, rules
from cellar_tui.tui.screens.list_screen import ListScreen
from cellar_tui.tui.screens.why import TextScreen
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.form_panel import FormPanel
from cellar_tui.tui.widgets.line_view import LineView
from cellar_tui.tui.widgets.lines import Lines
from cellar_tui.tui.widgets.sections import Sections
from cellar_tui.tui.widgets.told import Told


class HouseScreen(ListScreen):
    """Every house rule, by topic."""

    PLACE = "house"
    BINDINGS = [
        Binding(one.key, one.action, one.label, show=False, priority=True, id=f"house.{one.id}")
        for one in keys_of("house")
    ]

    def __init__(self, service: OpenCellar) -> None:
        super().__init__(service)
        self.house = service.view.house
        self.entries: dict[int, Entry] = {}
        self.tasks: list[Task] = []

    def compose(self) -> ComposeResult:
        """Lay out head, list, the selected house rule in words, form and keys."""
        yield Static(id="head")
        yield Static(id="columns")
        yield Sections[Rule](self.paint, lambda row: row.setting is None, id="lines")
        yield Told(id="about")
        yield LineView(id="find", offered="words to look for: name, topic, source, changed")
        yield FormPanel(id="form")
        yield Static(id="foot")

    def on_resize(self, event: events.Resize) -> None:
        """Use the room there is."""
        self.call_after_refresh(self._lay_out)

    @property
    def rule(self) -> Rule | None:
        """The house rule under the cursor."""
        row: Any = self.listing.selected
        return row if isinstance(row, Rule) and row.setting is not None else None

    def refresh_from_service(self) -> None:
        """Read the house rules again; the cursor stays on its own."""
        self.house, self.entries = self.service.view.house, self.service.view.house_entries()
        self.tasks = self.service.view.tasks()
        changed = len(self.house.values)
        head = joined((" House rules", f"{len(SETTINGS)} of them", f"{changed} changed, marked {MARK}"))
        self.query_one("#head", Static).update(label(column(head, self.app.size.width - 1)))
        self.narrow()
        if self.panel.is_open:
            self.panel.refresh_form()

    def narrow(self) -> None:
        """Show the house rules that hold the words looked for."""
        kept = self.rule
        found = rules(self.house, self.entries, self.words.split())
        name = None if kept is None or kept.setting is None else kept.setting.name
        place = next((i for i, one in enumerate(found) if one.setting is not None and one.setting.name == name), 0)
        self.listing.show_rows(found, place)
        self._lay_out()

    def _lay_out(self) -> None:
        width = self.listing.scrollable_content_region.width or self.app.size.width
        self.query_one("#columns", Static).update(label(heads(width)))
        self.listing.refresh()
        self._selected()
        self.say(self.told)

    def paint(self, rule: Rule, width: int) -> list[tuple[str, str]]:
        """Return one line of the list."""
        return parts(rule, self.listing.scrollable_content_region.width or width, self.service.view.units)

    @on(Lines.Moved)
    def _selected(self) -> None:
        """Show the selected house rule in words."""
        area, rule = self.query_one("#about", Told), self.rule
        width = (area.size.width or self.app.size.width) - 2
        told = ["No house rule holds these words."] if self.words else []
        if rule is not None:
            told = below(rule, self.tasks, self.service.view.units, width)
        area.show(["", *(f" {one}" for one in told)])

    # -- keys

    def action_edit(self, empty: str = "") -> None:
        """Open the field of the selected house rule; with `empty` what it was is taken out, for the default."""
        rule = self.rule
        if rule is None or rule.setting is None:
            return
        name = rule.setting.name
        value = shown_value(rule.setting, rule.value, self.service.view.units)
        self.open_form(name, "rule", prefill={"value": value}, fixed={"name": name})
        if empty:
            self.panel.put("value", "")

    def action_default(self) -> None:
        """Put the selected house rule back to its default, once its field, now empty, is entered."""
        rule = self.rule
        if rule is not None and rule.entry is None:
            self.say("It stands at its default already.")
        else:
            self.action_edit("empty")

    def action_why(self) -> None:
        """Say where the selected house rule is from, and which entry changed it."""
        rule = self.rule
        if rule is not None and rule.setting is not None:
            written = self.service.view.house_ledger("rule", rule.setting.name)
            told = list(page(rule, written, self.tasks, self.service.view.units))
            self.app.push_screen(TextScreen(f"Why · {rule.setting.name}", told))

    def undo(self) -> None:
        """Withdraw the entry that set the selected house rule: the value before it holds again."""
        rule = self.rule
        if rule is None or rule.entry is None:
            self.say("It stands at its default: there is nothing to take back.")
        else:
            self.take_back(rule.entry)

    def leave(self) -> None:
        """Go back to the cellar."""
        self.save_draft()
        self.dismiss()
