"""The bench-trial planner: what goes into each glass, what it showed, the chosen dose scaled up, the trial recorded."""

from __future__ import annotations

from collections.abc import Mapping

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import Static

from cellar_tui.entry_form import glasses
from cellar_tui.entry_form.trial_form import KIND, TrialForm
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.language import describe_entry, quantities
from cellar_tui.language.cautions import care
from cellar_tui.language.layout import joined
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import WineView
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.field_list import FieldList
from cellar_tui.tui.widgets.field_row import FieldRow, Shape
from cellar_tui.tui.widgets.working import Working
from cellar_tui.workbench import bench_trial
from cellar_tui.workbench.calculate import Unworked, Worked
from cellar_tui.workbench.prefill import Prefilled, prefill

ABOVE = 5
"""Fields above the glasses."""
SHAPE = Shape(beside=17, fixed=True)
STEPS: Mapping[glasses.Aim, str] = {
    "fining": "Shake the stock, pour it into the glasses, stir, let them stand. Write a word for each, then choose.",
    "sweetness": "Pour the syrup into the glasses, stir, taste from the driest on. Write a word for each, then choose.",
    "acid": "Pour the stock into the glasses, stir, taste them and read the pH. Write a word for each, then choose.",
    "copper": "Pour the stock into the glasses, stir, wait ten minutes, smell. The least that helps is the dose.",
}
"""What to do with the glasses; common practice."""


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
        self.service, self.view = service, view
        self.offered: Mapping[str, Prefilled] = prefill(view, service.view.house, "fining_dose")
        sample = prefill(None, service.view.house, "bench_trial")["sample"].text
        self.form = TrialForm(service, view.info.name, sample)

    def compose(self) -> ComposeResult:
        """Lay out the fields, the glasses, and what the vessel needs."""
        yield Static(id="trial-head")
        with Horizontal(id="trial-body"):
            with FieldList(id="trial-fields", can_focus=False):
                for _ in range(ABOVE):
                    yield FieldRow(SHAPE)
                yield Static(id="trial-glasses")
                for _ in range(glasses.MOST_GLASSES + 1):
                    yield FieldRow(SHAPE)
            with Vertical(id="trial-right"):
                yield Static(id="trial-ask")
                yield Working()
        yield Static(id="trial-hint")
        yield Static(id="trial-foot")

    def on_mount(self) -> None:
        """Show the fields, with what was typed before and not recorded."""
        self.show_form()

    def on_resize(self, event: events.Resize) -> None:
        """Show the result small where there is little height."""
        self.query_one(Working).set_class(event.size.height < 24, "-small")
        self.query_one("#trial-foot", Static).update(
            label(short.footer("trial", event.size.width - 2, read_only=self.service.read_only))
        )
        self.call_after_refresh(self.show_form)

    def save_draft(self) -> bool:
        """Keep what is typed; return whether there was anything to keep."""
        return self.form.keep()

    # -- what is shown

    def show_form(self) -> None:
        """Show what is typed, what goes into the glasses, and what the vessel needs at the chosen dose."""
        if not self.is_mounted:
            return
        form, trial = self.form, self.form.trial
        every, count = list(self.query(FieldRow)), len(form.fields)
        for row, field in zip(every, [*form.fields, *[None] * (len(every) - count)], strict=True):
            row.show(field, here=field is form.field)
        wine = "" if self.view.plan is None else self.view.plan.wine
        wished = f"target {trial.wished:g} g/L" if trial.aim == "sweetness" and trial.wished is not None else ""
        holds = f"holds {trial.held:.0f} g/L" if trial.aim == "sweetness" else ""
        about = joined((f"Bench trial · {self.view.info.name}", wine, trial.aim if trial.stuff else "", wished, holds))
        self.query_one("#trial-head", Static).update(label(about))
        width = max(15, every[0].size.width - 30)
        head = f"{'glass':<14}{'what it showed':<{width}}stock" if form.tried else ""
        self.query_one("#trial-glasses", Static).update(label(head))
        scaled = self._scaled()
        self.query_one(Working).show(scaled)
        self.query_one("#trial-ask", Static).update(label(self._ask(scaled)))
        self.query_one("#trial-hint", Static).update(label(self._told() or next(iter(form.faults.values()), "")))

    def _scaled(self) -> Worked | Unworked | None:
        """Return what the vessel needs, None while no dose is chosen."""
        trial, dose, stock = self.form.trial, self.form.chosen, self.form.texts()["stock"]
        if dose is None:
            return None
        system = self.service.view.units
        return bench_trial.scaled(trial.stuff, dose, stock, self.offered, held=trial.held, system=system)

    def _ask(self, scaled: Worked | Unworked | None) -> str:
        """Return what to do next, in words."""
        trial = self.form.trial
        if isinstance(scaled, Worked):
            volume = self.offered["volume"].text
            stuff = describe_entry.words(trial.stuff) or "fining"
            head = f"{stuff.capitalize()} for {volume} {quantities.shown_unit('L', self.service.view.units)}:"
            return "\n".join((*self._care(poison_alone=True), head))
        if not self.form.tried:
            offers = self.form.offers()
            words = f" {', '.join(offers)}." if offers else ""
            return f"Type the material, then the doses to be tried.{words}"
        return "\n".join((STEPS[trial.aim], *(f"! {caution}" for caution in self.form.cautions), *self._care()))

    def _care(self, *, poison_alone: bool = False) -> list[str]:
        """Return the caution of the material itself; beside the figures for the vessel there is room for a poison's."""
        trial = self.form.trial
        if poison_alone and trial.aim != "copper":
            return []
        return [f"· {one}" for one in care(KIND, {"material": trial.stuff})[:1]]

    def _told(self) -> str:
        """Return what became of the trial, else what is to be said of it."""
        if self.form.recorded is None:
            return self.form.told
        return f"Recorded as entry {self.form.recorded.outcomes[0].entry.seq}. {self._weigh()}".strip()

    def _weigh(self) -> str:
        """Return what to weigh for the vessel and when it may go in, in a sentence."""
        scaled, trial = self._scaled(), self.form.trial
        if not isinstance(scaled, Worked) or self.form.chosen is None:
            return ""
        name, amount, stuff = self.view.info.name, scaled.results[0].text, describe_entry.words(trial.stuff)
        if trial.aim == "sweetness":
            stuff = "sugar, as honey" if trial.stuff == "honey" else stuff
            wished = f"{self.form.chosen:g} g/L is the target sweetness from now on"
            return f"{wished}: {amount} of {stuff} for {name}, once its yeast is held and the plan asks for it."
        if trial.aim == "copper":
            poured = scaled.results[1].text
            return f"Measure {poured} of a 1 % solution of {stuff}, and stir that into {name}; label what is left."
        if trial.aim == "acid":
            return f"Weigh {amount} of {stuff}, dissolve it in a little of the wine, and stir that into {name}."
        slurry = scaled.results[1].text
        return f"Weigh {amount} of {stuff}, make {slurry} of slurry with it, and stir that into {name}."

    # -- keys

    def take(self, press: Press) -> bool:
        """Act on a key that is meant for the fields."""
        if not self.form.press(press):
            return False
        self.show_form()
        return True

    def action_page(self, step: int) -> None:
        """Scroll the working."""
        self.query_one(Working).page(step)

    def action_put_back(self) -> None:
        """Go back to the workbench; what is typed and not recorded is kept."""
        told = self._told() if self.form.recorded is not None else ""
        kept = self.save_draft()
        self.dismiss(told or ("Kept as a draft: it comes back with the bench trial." if kept else ""))
