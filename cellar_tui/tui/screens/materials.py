"""The shelf: materials on hand, what the wines will need of each in the next 90 days, and what is to be got."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.widgets import Static

from cellar_tui.language import describe_entry, describe_supply, explain, quantities
from cellar_tui.language.layout import column, joined, wrapped
from cellar_tui.ledger.materials import material
from cellar_tui.planning.day_text import short_day
from cellar_tui.planning.shopping import WITHIN, Supply
from cellar_tui.service.open import OpenCellar
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens.list_screen import ListScreen
from cellar_tui.tui.screens.why import TextScreen
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.form_panel import FormPanel
from cellar_tui.tui.widgets.line_view import LineView
from cellar_tui.tui.widgets.lines import Lines
from cellar_tui.tui.widgets.told import Told

OLD = "old"
NAME, AMOUNT, STRENGTH, OPENED = 23, 9, 8, 11
FULL, WIDE = 76, 110
"""Width [cells] from which strength and opening stand in the list, and from which what needs it does."""


def _row(mark: str, name: str, texts: tuple[str, str, str, str, str], needs: str, width: int) -> str:
    """Return the columns that fit a width."""
    hand, strength, opened, need, get = texts
    left = f" {mark:<3} {column(name, NAME)} {column(hand, AMOUNT, 'right')}"
    right = f"{column(need, AMOUNT, 'right')} {column(get, AMOUNT, 'right')}"
    middle = f" {column(strength, STRENGTH, 'right')} {column(opened, OPENED, 'right')}" if width >= FULL else ""
    text = f"{left}{middle} {right}"
    return f"{text}  {column(needs, width - len(text) - 3)}" if width >= WIDE else text


class MaterialsScreen(ListScreen):
    """What is on hand and what is needed; each line can be counted anew."""

    PLACE = "materials"
    CSS = """
    MaterialsScreen #about { height: 45%; }
    MaterialsScreen #shopping { height: auto; max-height: 2; padding: 0 1; text-style: bold; }
    MaterialsScreen.-form #shopping { display: none; }
    """
    BINDINGS = [
        Binding(one.key, one.action, one.label, show=False, priority=True, id=f"materials.{one.id}")
        for one in keys_of("materials")
    ]

    def __init__(self, service: OpenCellar) -> None:
        super().__init__(service)
        self.supplies: tuple[Supply, ...] = ()

    def compose(self) -> ComposeResult:
        """Lay out head, list, what needs the selected material, the shopping list, form and keys."""
        yield Static(id="head")
        yield Static(id="columns")
        yield Lines[Supply](self.paint, id="lines")
        yield Told(id="about")
        yield Static(id="shopping")
        yield LineView(id="find", offered="words to look for: material, wine, vessel, old")
        yield FormPanel(id="form")
        yield Static(id="foot")

    def on_resize(self, event: events.Resize) -> None:
        """Use the room there is."""
        self.call_after_refresh(self._lay_out)

    @property
    def supply(self) -> Supply | None:
        """The material under the cursor."""
        row: Any = self.listing.selected
        return row if isinstance(row, Supply) else None

    def refresh_from_service(self) -> None:
        """Read the shelf again; the cursor stays on its material."""
        self.supplies = self.service.view.supplies()
        last = self.service.view.today + timedelta(days=WITHIN)
        head = joined((" Materials on hand", f"needs of the next {WITHIN} days, to {short_day(last)}"))
        self.query_one("#head", Static).update(label(column(head, self.app.size.width - 1)))
        told = describe_supply.shopping(self.supplies, last, self.service.view.units)
        self.query_one("#shopping", Static).update(label(told))
        self.narrow()
        if self.panel.is_open:
            self.panel.refresh_form()

    def narrow(self) -> None:
        """Show the materials that hold the words looked for; the cursor stays on its own."""
        name = None if self.supply is None else self.supply.material
        found = [supply for supply in self.supplies if self._found(supply)]
        place = next((i for i, one in enumerate(found) if one.material == name), 0)
        self.listing.show_rows(found, place)
        self._lay_out()

    def _found(self, one: Supply) -> bool:
        wines = " ".join(f"{need.wine} {need.vessel}" for need in one.needs)
        text = f"{describe_entry.words(one.material)} {one.material} {wines} {OLD if one.old else ''}".casefold()
        return all(word in text for word in self.words.split())

    def _lay_out(self) -> None:
        width = self.listing.scrollable_content_region.width or self.app.size.width
        names = ("On hand", "Strength", "Opened", "Need", "To get")
        self.query_one("#columns", Static).update(label(_row("", "Material", names, "For", width)))
        self.listing.refresh()
        self._selected()
        self.say(self.told)

    def paint(self, one: Supply, width: int) -> list[tuple[str, str]]:
        """Return one line of the list: what is to be got stands out."""
        units, stock = self.service.view.units, one.stock
        strength = material(one.material).strength if stock is None or stock.strength is None else stock.strength
        opened = None if stock is None or stock.opened is None else date.fromisoformat(stock.opened)
        need = describe_entry.amount(one.need, one.unit, units) if one.need > 0 else "?" if one.unknown else "-"
        texts = (
            "-" if one.left is None else describe_entry.amount(one.left, one.unit, units),
            f"{strength:g}" if stock else "-",
            "-" if opened is None else short_day(opened),
            f"{need}+?" if one.need > 0 and one.unknown else need,
            describe_entry.amount(one.to_get, one.unit, units) if one.to_get > 0 else "-",
        )
        wines = ", ".join(dict.fromkeys(need.vessel for need in one.needs))
        text = _row(OLD if one.old else "", describe_entry.words(one.material), texts, wines, width)
        return [(text, "late" if one.old else "accent" if one.to_get > 0 else "")]

    @on(Lines.Moved)
    def _selected(self) -> None:
        """Show what is left of the selected material, and which wine needs how much of it, when."""
        area, one = self.query_one("#about", Told), self.supply
        width, height = (area.size.width or self.app.size.width) - 2, area.size.height or 8
        empty = "Nothing is on hand and nothing is needed: a enters the first material."
        told = ["No material holds these words." if self.words else empty]
        if one is not None:
            head = joined(
                (
                    describe_entry.words(one.material),
                    describe_supply.on_hand(one, self.service.view.units),
                    describe_supply.needed(one, self.service.view.units),
                )
            )
            told = [*wrapped(head, width), *(f"  {line}" for line in self._needs(one, width - 2))]
        if len(told) > height - 1:
            told = [*told[: height - 2], f"  … {len(told) - height + 2} more lines: w"]
        area.show(["", *(f" {line}" for line in told)])

    def _needs(self, one: Supply, width: int) -> Iterator[str]:
        for need in one.needs:
            yield from wrapped(describe_supply.need(need, one.unit, self.service.view.units), width)

    # -- keys

    def traced(self) -> str | None:
        """Return the lot number of the selected material."""
        return None if self.supply is None or self.supply.stock is None else self.supply.stock.lot

    def action_edit(self) -> None:
        """Count the selected material anew."""
        one = self.supply
        if one is None:
            return
        stock, left = one.stock, "" if one.left is None else quantities.number(one.left, one.unit)
        strength = "" if stock is None or stock.strength is None else f"{stock.strength:g}"
        opened = "" if stock is None else stock.opened or ""
        texts = {"amount": left, "strength": strength, "opened": opened}
        self.open_form(one.material, "material", prefill=texts, fixed={"name": one.material})

    def action_new(self) -> None:
        """Enter a material that is not in the list."""
        self.open_form("", "material", names=("name", "amount", "strength", "opened"))

    def action_why(self) -> None:
        """Show the working of every need of the selected material."""
        one, units = self.supply, self.service.view.units
        if one is None:
            return
        told = [f"On hand: {describe_supply.on_hand(one, units)}.", f"Of it: {describe_supply.needed(one, units)}."]
        if one.stock is not None:
            told.append(f"Counted by entry {one.stock.entry}; what went into the wines since is taken off.")
        if one.old:
            days, source = self.service.view.house.days("bag_days"), self.service.view.house.source("bag_days")
            by = f"entry {source[0]}" if source else "the default"
            told.append(f"Old: an opened bag of sulfite is trusted for {days} d (house rule bag days, {by}).")
        for need in one.needs:
            told += ["", describe_supply.need(need, one.unit, units)]
            told += [f"  {line}" for line in explain.lines(need.because, units=units)[1:]]
        self.app.push_screen(TextScreen(f"Why · {describe_entry.words(one.material)}", told))

    def undo(self) -> None:
        """Withdraw the entry that counted the selected material: the count before it holds again."""
        one = self.supply
        if one is None or one.stock is None:
            self.say("It was not counted yet: there is nothing to take back.")
        else:
            self.take_back(self.service.view.house_entries()[one.stock.entry])

    def leave(self) -> None:
        """Go back to the cellar."""
        self.save_draft()
        self.dismiss()
