"""The workbench: every calculation, filled from the selected wine, worked out anew with each letter typed."""

from __future__ import annotations

from collections.abc import Mapping

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import Static

from cellar_tui.enology.calculations import CALCULATIONS, Calculation
from cellar_tui.enology.calculations import Input as Asked
from cellar_tui.entry_form.field import Field, filled
from cellar_tui.entry_form.field_set import FieldSet
from cellar_tui.entry_form.fields import Slot
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.language.describe_entry import words
from cellar_tui.language.layout import column, joined
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError, WineView
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens.bench_trial import BenchTrialScreen
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.field_list import FieldList
from cellar_tui.tui.widgets.field_row import FieldRow, Shape
from cellar_tui.tui.widgets.line_view import LineView
from cellar_tui.tui.widgets.lines import Lines
from cellar_tui.tui.widgets.working import Working
from cellar_tui.workbench.calculate import Unworked, beside, default_of, in_use, label_of, run_typed
from cellar_tui.workbench.prefill import Prefilled, prefill

ROWS = max(len(one.inputs) for one in CALCULATIONS.values())
NAME_WIDTH = 23
SHAPE = Shape(label=16, line=10, word=25)
_SIGNS = {"so2": "SO2", "co2": "CO2", "sg": "SG", "ta": "TA", "brix": "Brix"}


def list_name(found: Calculation) -> str:
    """Return a calculation as it is named in the list."""
    return " ".join(_SIGNS.get(word, word) for word in words(found.name).split())


def head_of(view: WineView | None) -> str:
    """Return whose figures the workbench is filled with."""
    if view is None:
        return "Workbench · no vessel selected: type every figure"
    if view.plan is None:
        return f"Workbench · {view.info.name} is empty: type every figure"
    return joined((f"Workbench · {view.info.name}", view.plan.wine, words(view.plan.style)))


class WorkbenchScreen(SpeaksErrors, Screen[None]):
    """The list of calculations; the inputs of the selected one, and its result with its working."""

    CSS = """
    WorkbenchScreen #bench-head, WorkbenchScreen #bench-title { height: 1; text-style: bold; }
    WorkbenchScreen #bench-head { padding: 0 1; }
    WorkbenchScreen #bench-body { height: 1fr; }
    WorkbenchScreen #bench-left { width: 26; padding-left: 1; }
    WorkbenchScreen #bench-find { height: 1; display: none; background: $surface; }
    WorkbenchScreen #bench-find.-open { display: block; }
    WorkbenchScreen #bench-list { height: 1fr; }
    WorkbenchScreen #bench-right { width: 1fr; padding: 0 1; }
    WorkbenchScreen #bench-fields { height: auto; max-height: 45%; margin-bottom: 1; }
    WorkbenchScreen #bench-foot { height: 1; padding: 0 1; color: $text-muted; }
    WorkbenchScreen.-wide #bench-left { width: 66; }
    WorkbenchScreen.-narrow #bench-body { layout: vertical; }
    WorkbenchScreen.-narrow #bench-left { width: 1fr; height: 4; }
    WorkbenchScreen.-narrow #bench-fields { max-height: 5; margin-bottom: 0; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (72, "-plain"), (120, "-wide")]
    BINDINGS = [
        *(Binding(one.key, one.action, one.label, id=f"bench.{one.id}", show=False) for one in keys_of("bench")),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
    ]

    def __init__(self, service: OpenCellar, vessel: str | None = None) -> None:
        super().__init__()
        self.service = service
        self.vessel = vessel
        self.view: WineView | None = None
        self.found = next(iter(CALCULATIONS.values()))
        self.offered: Mapping[str, Prefilled] = {}
        self.kept: dict[str, dict[str, str]] = {}
        """What was typed, by calculation: it is there again when one comes back to it."""
        self.inputs = FieldSet()
        self.typing = False
        """The cursor is in an input; else it is in the list or the filter."""
        self.finding = False
        """Words to filter the list by are being typed."""
        self._pending = False

    def compose(self) -> ComposeResult:
        """Lay out list, inputs and result."""
        yield Static(id="bench-head")
        with Horizontal(id="bench-body"):
            with Vertical(id="bench-left"):
                yield LineView(id="bench-find", offered="find")
                yield Lines[Calculation](self._paint, id="bench-list")
            with Vertical(id="bench-right"):
                yield Static(id="bench-title")
                with FieldList(id="bench-fields", can_focus=False):
                    for _ in range(ROWS):
                        yield FieldRow(SHAPE)
                yield Working()
        yield Static(id="bench-foot")

    def on_mount(self) -> None:
        """Fill in what the selected wine offers."""
        self.lines.on_moved = self._selected
        self._look()
        self.lines.show_rows(tuple(CALCULATIONS.values()))
        self.set_focus(self.lines)

    def on_resize(self, event: events.Resize) -> None:
        """Show results small where there is little height, and anew where lines break otherwise."""
        self.query_one(Working).set_class(event.size.height < 24, "-small")
        self._foot("")
        self.call_after_refresh(self._work)

    # -- what is shown

    def _foot(self, told: str | None) -> None:
        """Tell in the last line what happened; with nothing to tell it shows the keys."""
        keys = f"/ find  {short.footer('bench', self.size.width - 10, read_only=self.service.read_only)}"
        self.query_one("#bench-foot", Static).update(label(told or keys))

    @property
    def lines(self) -> Lines[Calculation]:
        """The list of calculations."""
        return self.query_one("#bench-list", Lines)

    @property
    def rows(self) -> list[FieldRow]:
        """The input rows in use."""
        return [row for row in self.query(FieldRow) if row.slot is not None]

    def _paint(self, found: Calculation, width: int) -> list[tuple[str, str]]:
        name = column(list_name(found), min(width, NAME_WIDTH))
        return [(name, "")] if width <= NAME_WIDTH + 4 else [(name, ""), (f" {found.title}", "quiet")]

    def _look(self) -> None:
        """Read the selected wine."""
        try:
            self.view = None if self.vessel is None else self.service.view.wine(self.vessel)
        except CellarError:
            self.view = None
        self.query_one("#bench-head", Static).update(label(head_of(self.view)))

    def refresh_from_service(self) -> None:
        """Fill in anew what the wine offers; what was typed stays."""
        typed = self._typed()
        self._look()
        self._fill(typed)

    def _selected(self) -> None:
        found = self.lines.selected
        if found is not None and (found is not self.found or not self.offered):
            self._keep()
            self.found = found
            self._fill(self.kept.get(found.name, {}))

    def _fill(self, typed: Mapping[str, str]) -> None:
        """Show the inputs of the selected calculation: what was typed, else what the wine offers."""
        system = self.service.view.units
        self.offered = prefill(self.view, self.service.view.house, self.found.name)
        self.query_one("#bench-title", Static).update(label(self.found.title))
        self.inputs.fields = [self._input(asked, typed, system) for asked in self.found.inputs]
        self.inputs.at = min(self.inputs.at, len(self.inputs.fields) - 1)
        self._work()

    def _input(self, asked: Asked, typed: Mapping[str, str], system: str) -> Field:
        """Return the field of an input: what was typed, what the wine offers, else what is taken while it is empty."""
        slot = Slot(asked.name, label_of(asked.name), beside(asked, system), asked.choices)
        found, offer = filled(slot, typed.get(asked.name, "")), self.offered.get(asked.name)
        if offer is not None:
            found.offered = found.shown(offer.text) if offer.text in slot.choices else offer.text
            if asked.name not in typed:
                found.write(offer.text)
        else:
            found.offered = default_of(asked, system)
        return found

    def _typed(self) -> dict[str, str]:
        """Return what is typed over what is offered, by input."""
        found = {}
        for field in self.inputs.fields:
            offer = self.offered.get(field.name)
            if field.text != (offer.text if offer is not None else ""):
                found[field.name] = field.text
        return found

    def _keep(self) -> None:
        if self.inputs.fields:
            self.kept[self.found.name] = self._typed()

    def _work(self) -> None:
        """Work it out anew, and say beside each input where it is from or what is wrong with it."""
        self._pending = False
        typed = self._typed()
        result = run_typed(self.found.name, typed, self.offered, system=self.service.view.units)
        self.query_one(Working).show(result)
        used = in_use(self.found.name, typed, self.offered)
        for one, asked in zip(self.inputs.fields, self.found.inputs, strict=True):
            fault = result.faults.get(asked.name, "") if isinstance(result, Unworked) else ""
            one.wrong = bool(fault)
            one.beside = f"! {fault}" if fault else self._where(asked, typed, used, result)
        self._show_inputs()

    def _show_inputs(self) -> None:
        fields = self.inputs.fields
        for row, field in zip(self.query(FieldRow), [*fields, *[None] * (ROWS - len(fields))], strict=True):
            row.show(field, here=self.typing and field is self.inputs.field)

    def _where(self, asked: Asked, typed: Mapping[str, str], used: Mapping[str, Prefilled], result: object) -> str:
        unit = beside(asked, self.service.view.units) or "/".join(words(choice) for choice in asked.choices)
        if asked.name in used:
            return joined((unit, used[asked.name].source), " ")
        if asked.name in self.offered and asked.name not in typed:
            return joined((unit, "stands aside"), " ")
        if isinstance(result, Unworked) and asked.name in result.missing:
            return joined((unit, "type this"), " ")
        return unit

    # -- typing

    @property
    def finder(self) -> LineView:
        """The line of words to filter the list by."""
        return self.query_one("#bench-find", LineView)

    def take(self, press: Press) -> bool:
        """Act on a key that is meant for an input or for the words of the filter."""
        if self.finding:
            return self._take_found(press)
        if not self.typing:
            return False
        if self.inputs.edit(press):
            self._show_inputs()
            if not self._pending:
                self._pending = True
                self.call_later(self._work)
            return True
        steps = {"enter": 1, "down": 1, "tab": 1, "up": -1, "shift+tab": -1}
        if press.key in steps:
            self.inputs.field.complete()
            self.inputs.step(steps[press.key])
            self._work()
        return press.key in steps

    def _take_found(self, press: Press) -> bool:
        if self.finder.line.press(press):
            self.finder.show()
            self._filter(self.finder.line.text)
            return True
        if press.key in ("enter", "up", "down", "tab", "shift+tab"):
            self._to_list()
            return True
        return False

    def _to_list(self) -> None:
        """Put the cursor into the list."""
        self._leave_input()
        self.finding = False
        self.finder.activate(False)
        self.set_focus(self.lines)

    def _leave_input(self) -> None:
        if self.typing:
            self.inputs.field.complete()
        self.typing = False
        self._show_inputs()

    def _enter(self, place: int) -> None:
        """Put the cursor into an input; what stands there is selected."""
        self.typing = True
        self.set_focus(None)
        self.inputs.go(place)
        self._show_inputs()

    def _filter(self, text: str) -> None:
        parts = text.casefold().split()
        kept = [
            one
            for one in CALCULATIONS.values()
            if all(part in f"{list_name(one)} {one.title}".casefold() for part in parts)
        ]
        self.lines.show_rows(kept, kept.index(self.found) if self.found in kept else 0)

    # -- keys

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Let no letter act while it may be typed."""
        typing = self.finding or self.typing
        return not (action in ("trial", "find", "inputs") and typing)

    def action_find(self) -> None:
        """Filter the list by words typed."""
        self.finding = True
        self.finder.add_class("-open")
        self.finder.activate(True)
        self.set_focus(None)

    def action_inputs(self) -> None:
        """Go to the first input that is still to be typed, else to the first of all."""
        fields = self.inputs.fields
        if fields:
            self._enter(next((i for i, one in enumerate(fields) if not one.text and not one.offered), 0))

    def action_page(self, step: int) -> None:
        """Scroll the working."""
        self.query_one(Working).page(step)

    def action_offered(self) -> None:
        """Put back what the wine offers."""
        self.kept.pop(self.found.name, None)
        self._look()
        self._fill({})

    def action_trial(self) -> None:
        """Plan a bench trial for the selected wine."""
        if self.view is None or self.view.plan is None:
            self._foot("A bench trial needs a wine: go back and select one.")
            return
        self.app.push_screen(BenchTrialScreen(self.service, self.view), self._tried)

    def _tried(self, told: str | None) -> None:
        """Say what became of a bench trial; the dose it chose is offered from now on."""
        self.refresh_from_service()
        self._foot(told)

    def action_put_back(self) -> None:
        """One step back: out of an input or the filter to the list, from the list to where one came from."""
        if not self.typing and not self.finder.has_class("-open"):
            self.dismiss(None)
            return
        if not self.typing:
            self.finder.remove_class("-open")
            self.finder.line.put("")
            self._filter("")
        self._to_list()
