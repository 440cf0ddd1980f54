"""The bench-trial planner: what goes into each glass, what it showed, the chosen dose scaled up, the trial recorded."""

from __future__ import annotations

from collections.abc import Mapping

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import Static

from cellar_tui.entry_form import drafts
from cellar_tui.entry_form.fields import DATE, Slot
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.entry_form.work import Work
from cellar_tui.language import describe_entry, quantities
from cellar_tui.language.layout import joined
from cellar_tui.ledger.materials import MATERIALS
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError, WineView
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.field_list import FieldList
from cellar_tui.tui.widgets.field_row import FieldRow
from cellar_tui.tui.widgets.working import Working
from cellar_tui.workbench import bench_trial
from cellar_tui.workbench.calculate import Unworked, Worked
from cellar_tui.workbench.prefill import Prefilled, prefill

KIND = "trial"
GLASS = "glass "
STUFF = (*(name for name, one in MATERIALS.items() if one.sort == "fining"), "copper_sulfate", "tartaric_acid")
"""Materials offered by name; any other can be typed."""


class BenchTrialScreen(SpeaksErrors, Screen[str]):
    """Doses, sample and stock above, a line for each glass below them; beside it what the vessel needs.

    It hands back what became of the trial, in a sentence.
    """

    CSS = """
    BenchTrialScreen #trial-head { height: 1; padding: 0 1; text-style: bold; }
    BenchTrialScreen #trial-body { height: 1fr; }
    BenchTrialScreen #trial-fields { width: 46; padding-left: 1; }
    BenchTrialScreen #trial-glasses { height: 1; margin-top: 1; color: $text-muted; }
    BenchTrialScreen #trial-right { width: 1fr; padding: 0 1; }
    BenchTrialScreen #trial-ask { height: auto; }
    BenchTrialScreen #trial-hint { height: auto; max-height: 3; padding: 0 1; }
    BenchTrialScreen #trial-foot { height: 1; padding: 0 1; color: $text-muted; }
    BenchTrialScreen FieldRow > .field-beside { width: 17; }
    BenchTrialScreen.-wide #trial-fields { width: 70; }
    BenchTrialScreen.-narrow #trial-body { layout: vertical; }
    BenchTrialScreen.-narrow #trial-fields { width: 1fr; height: 2fr; }
    BenchTrialScreen.-narrow #trial-right { height: 1fr; }
    BenchTrialScreen.-narrow #trial-glasses { margin-top: 0; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (76, "-plain"), (120, "-wide")]
    BINDINGS = [
        Binding("escape,f9", "put_back", "back", show=False),
        Binding("pageup", "page(-1)", show=False),
        Binding("pagedown", "page(1)", show=False),
    ]

    def __init__(self, service: OpenCellar, view: WineView) -> None:
        super().__init__()
        self.service = service
        self.view = view
        self.offered: Mapping[str, Prefilled] = prefill(view, service.view.house, "fining_dose")
        self.work = Work(service, view.info.name, KIND)
        self.said: dict[str, str] = {}
        """What each glass showed, by its dose: it stays while the doses are changed."""
        self.tried: tuple[bench_trial.Glass, ...] = ()
        self.told = ""
        self._recorded: dict[str, str] = {}
        self._usual = ("", "")
        self._faults: dict[str, str] = {}
        self._asked = False
        self.row: FieldRow | None = None
        """The row that the cursor is in."""

    def compose(self) -> ComposeResult:
        """Lay out the fields, the glasses, and what the vessel needs."""
        yield Static(id="trial-head")
        with Horizontal(id="trial-body"):
            with FieldList(id="trial-fields", can_focus=False):
                for _ in range(5):
                    yield FieldRow()
                yield Static(id="trial-glasses")
                for _ in range(bench_trial.MOST_GLASSES + 1):
                    yield FieldRow()
            with Vertical(id="trial-right"):
                yield Static(id="trial-ask")
                yield Working()
        yield Static(id="trial-hint")
        yield Static(id="trial-foot")

    def on_mount(self) -> None:
        """Show the fields, with what was typed before and not recorded."""
        wine = "" if self.view.plan is None else self.view.plan.wine
        self.query_one("#trial-head", Static).update(label(joined((f"Bench trial · {self.view.info.name}", wine))))
        sample = prefill(None, self.service.view.house, "bench_trial")["sample"].text
        texts = {"sample": sample, **self._left()}
        fields = (
            Slot("material", "material", "", STUFF),
            Slot("doses", "doses", "g/hL"),
            Slot("sample", "in a glass", "mL"),
            Slot("stock", "stock", "% w/v"),
            Slot(DATE, "day", "today, -3d"),
        )
        every = list(self.query(FieldRow))
        for row, slot in zip(every, [*fields, *[None] * (len(every) - len(fields))], strict=True):
            row.give(slot, "" if slot is None else texts.get(slot.name, ""))
        every[-1].give(Slot("chosen", "chosen", "g/hL"), texts.get("chosen", ""))
        self._fill_usual()
        self.update_trial()
        self._enter(every[0])

    def on_resize(self, event: events.Resize) -> None:
        """Show the result small where there is little height."""
        self.query_one(Working).set_class(event.size.height < 24, "-small")
        self.query_one("#trial-foot", Static).update(
            label(short.footer("trial", event.size.width - 2, read_only=self.service.read_only))
        )
        self.call_after_refresh(self.update_trial)

    # -- the draft

    def _left(self) -> dict[str, str]:
        """Take up what was typed before and not recorded; return it by field."""
        draft = self.work.left()
        if draft is None:
            return {}
        self.work.take_up(draft)
        self.said = bench_trial.said_of(draft.fields.get("results", ""))
        return dict(draft.fields)

    def save_draft(self) -> bool:
        """Keep what is typed; return whether there was anything to keep."""
        texts = self.texts()
        if self.told or not (texts["material"] or texts["chosen"] or texts["results"]):
            drafts.drop(self.work.shelf, self.work.draft({}))
            return False
        return self.work.keep(texts)

    # -- what is shown

    @property
    def rows(self) -> list[FieldRow]:
        """The rows in use."""
        return [row for row in self.query(FieldRow) if row.slot is not None]

    def _text(self, name: str) -> str:
        row = next((one for one in self.rows if one.slot is not None and one.slot.name == name), None)
        return "" if row is None else row.text.strip()

    def texts(self) -> dict[str, str]:
        """Return the fields of the entry as typed."""
        said = {glass.dose: self.said.get(glass.dose, "") for glass in self.tried}
        typed = {name: self._text(name) for name in ("material", "doses", "chosen", DATE)}
        return {**typed, "results": bench_trial.results(said)}

    def _fill_usual(self) -> None:
        """Offer the usual doses and stock of the material, where nothing else was typed."""
        usual = bench_trial.USUAL.get(self._text("material").casefold().replace(" ", "_"), ("", ""))
        for row, name, old, new in zip(
            (self.rows[1], self.rows[3]), ("doses", "stock"), self._usual, usual, strict=True
        ):
            if self._text(name) == old or not self._text(name):
                row.write(new)
        self._usual = usual

    def update_trial(self) -> None:
        """Work out anew what goes into the glasses, and what the vessel needs at the chosen dose."""
        if not self.rows:
            return
        system = self.service.view.units
        found = bench_trial.glasses(self._text("doses"), self._text("sample"), self._text("stock"), system=system)
        if not found.faults:
            self.tried = found.glasses
        self._show_glasses()
        scaled = bench_trial.scaled(self._text("chosen"), self._text("stock"), self.offered, system=system)
        self.query_one(Working).show(scaled)
        faults = dict(found.faults)
        if isinstance(scaled, Unworked):
            faults |= {"chosen": "; ".join((*scaled.faults.values(), *scaled.missing.values()))}
        for row in self.rows:
            row.wrong(row.slot is not None and bool(faults.get(row.slot.name)) and bool(row.text))
        self._faults = {name: fault for name, fault in faults.items() if self._text(name)}
        self._hint(self.told or next(iter(self._faults.values()), ""))
        self.query_one("#trial-ask", Static).update(label(self._ask(found, scaled)))

    def _ask(self, found: bench_trial.Glasses, scaled: Worked | Unworked | None) -> str:
        """Return what to do next, in words."""
        if isinstance(scaled, Worked):
            volume = self.offered["volume"].text
            stuff = describe_entry.words(self._text("material")) or "fining"
            return f"{stuff.capitalize()} for {volume} {quantities.shown_unit('L', self.service.view.units)}:"
        if not self.tried:
            return "Type the material, then the doses to be tried."
        careful = dict.fromkeys(one.caution for one in found.glasses if one.caution)
        steps = "Shake the stock, pour it into the glasses, stir, let them stand. Write a word for each, then choose."
        return "\n".join((steps, *(f"! {one}" for one in careful)))

    def _show_glasses(self) -> None:
        """Give each glass its row; one that is being written in is left alone."""
        rows = list(self.query(FieldRow))[5:-1]
        for row, glass in zip(rows, [*self.tried, *[None] * (len(rows) - len(self.tried))], strict=True):
            slot = None if glass is None else Slot(f"{GLASS}{glass.dose}", f"{glass.dose} g/hL", glass.stock)
            if slot != row.slot:
                row.give(slot, "" if glass is None else self.said.get(glass.dose, ""))
        width = max(15, self.rows[0].entry.size.width + 1)
        head = f"{'glass':<14}{'what it showed':<{width}}stock" if self.tried else ""
        self.query_one("#trial-glasses", Static).update(label(head))

    def _hint(self, text: str) -> None:
        self.query_one("#trial-hint", Static).update(label(text))

    # -- typing

    def take(self, press: Press) -> bool:
        """Act on a key: type in a field, go to another one, at the chosen dose record."""
        row = self.row
        if row is None or row.slot is None:
            return False
        if row.entry.line.press(press):
            row.entry.show()
            self._typed(row, row.slot.name)
            return True
        steps = {"enter": 1, "down": 1, "tab": 1, "up": -1, "shift+tab": -1}
        if press.key == "enter" and row is self.rows[-1]:
            self.record(again=press.again)
        elif press.key in steps:
            rows = self.rows
            self._enter(rows[(rows.index(row) + steps[press.key]) % len(rows)])
        return press.key in steps

    def _typed(self, row: FieldRow, name: str) -> None:
        if name.startswith(GLASS):
            self.said[name.removeprefix(GLASS)] = row.text
        elif name == "material":
            self._fill_usual()
        if self.texts() != self._recorded:
            self._asked = False
            if self.told:
                self.told, self.work = "", Work(self.service, self.view.info.name, KIND)
        self.update_trial()

    def _enter(self, row: FieldRow) -> None:
        """Put the cursor into a row; what stands there is selected, and the row that is left is complete."""
        if self.row is not None:
            self.row.activate(False)
            if self.row is self.rows[0]:
                self._complete()
        self.row = row
        row.select()
        row.activate(True)

    def _complete(self) -> None:
        """Finish the name of a material, now that it is left, where its beginning leaves no choice."""
        row = self.rows[0]
        begun = row.text.strip().casefold().replace(" ", "_")
        fitting = [name for name in STUFF if begun and name.startswith(begun)]
        if len(fitting) == 1 and row.text != fitting[0]:
            row.write(fitting[0])
            self._fill_usual()
            self.update_trial()

    # -- keys

    def action_page(self, step: int) -> None:
        """Scroll the working."""
        self.query_one(Working).page(step)

    def record(self, *, again: bool = False) -> None:
        """Record the trial; without a chosen dose a second Enter is asked for."""
        if self.told or again:
            return
        if self.service.read_only:
            self._hint("This cellar is open for reading only: nothing can be recorded.")
            return
        texts = self.texts()
        if self._faults:
            self._hint("Nothing was recorded: " + next(iter(self._faults.values())))
            return
        if not texts["chosen"] and not self._asked:
            self._asked, self._recorded = True, texts
            self._hint("No dose is chosen. Enter once more records the trial without one.")
            return
        try:
            answer = self.work.record({name: text for name, text in texts.items() if text})
        except CellarError as error:
            self._hint(f"Nothing was recorded: {error}")
            if error.code == "moved":
                self.work.refresh(accept=True)
            return
        if answer.stopped:
            self._hint("Nothing was recorded: " + " ".join(one.why for one in answer.outcomes[0].stops))
            return
        self._recorded = texts
        self.told = f"Recorded as entry {answer.outcomes[0].entry.seq}. {self._weigh()}".strip()
        self._hint(self.told)

    def _weigh(self) -> str:
        """Return what to weigh for the vessel, in a sentence."""
        scaled = bench_trial.scaled(
            self._text("chosen"), self._text("stock"), self.offered, system=self.service.view.units
        )
        if not isinstance(scaled, Worked):
            return ""
        grams, slurry = (one.text for one in scaled.results[:2])
        stuff = describe_entry.words(self._text("material"))
        return f"Weigh {grams} of {stuff}, make {slurry} of slurry with it, and stir that into {self.view.info.name}."

    def action_put_back(self) -> None:
        """Go back to the workbench; what is typed and not recorded is kept."""
        kept = self.save_draft()
        self.dismiss(self.told or ("Kept as a draft: it comes back with the bench trial." if kept else ""))
