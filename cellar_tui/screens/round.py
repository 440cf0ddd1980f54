"""The due round: the actions that are due, one after the other, each completed by typing its result."""

from __future__ import annotations

from textual import on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from cellar_tui import explain, say
from cellar_tui.cellar import Service
from cellar_tui.keys import keys_of
from cellar_tui.planning.rules.base import Answer as Way
from cellar_tui.planning.rules.table import RULE_BY_ID
from cellar_tui.planning.subject import Subject
from cellar_tui.views import Task
from cellar_tui.widgets import short
from cellar_tui.widgets.cells import joined, label
from cellar_tui.widgets.form_panel import FormPanel


def walking_order(task: Task) -> tuple[str, str, str, str]:
    """Return the order of a walk: by place, what shares a kit together."""
    return task.place.casefold(), task.action.kit, task.vessel.casefold(), task.action.rule


class RoundScreen(Screen[None]):
    """One action fills the screen; Enter records its result and goes on."""

    BINDINGS = [
        Binding(one.key, one.action, one.label, show=False, priority=True, id=f"round.{one.id}")
        for one in keys_of("round")
    ]  # fmt: skip

    def __init__(self, service: Service) -> None:
        super().__init__()
        self.service = service
        self.left: set[tuple[str, str]] = set()
        self.done: list[str] = []
        self.asked: Task | None = None
        self.way = 0

    def compose(self) -> ComposeResult:
        """Lay out what to do, the form for its result, and the keys."""
        yield Static(id="head")
        with VerticalScroll(id="main", can_focus=False):
            yield Static(id="told")
        yield FormPanel(id="form")
        yield Static(id="foot")

    def on_mount(self) -> None:
        """Begin with the first action."""
        self.go_on()

    @property
    def panel(self) -> FormPanel:
        """The form for the result."""
        return self.query_one(FormPanel)

    def open_tasks(self) -> list[Task]:
        """Return what is due and not yet left for later, in walking order."""
        due = [one for one in self.service.tasks() if one.status != "ahead"]
        return sorted((one for one in due if (one.vessel, one.action.key) not in self.left), key=walking_order)

    def ways(self, task: Task) -> tuple[Way, ...]:
        """Return the ways in which this wine's result may be recorded."""
        base = self.service.standing(self.service.store, (task.action.vessel,))
        held = base.cellar.holds[task.action.vessel]
        s = Subject(held, base.cellar.vessels[held.vessel], base.cellar.house)
        return RULE_BY_ID[task.action.rule].open_answers(s)

    def go_on(self) -> None:
        """Show the next action, or the end of the round."""
        tasks = self.open_tasks()
        self.way = 0
        self.asked = tasks[0] if tasks else None
        if self.asked is None:
            self._end()
            return
        self._show(len(tasks))

    def _show(self, count: int) -> None:
        assert self.asked is not None
        task, units = self.asked, self.service.units
        rule = RULE_BY_ID[task.action.rule]
        found = self.ways(task)
        way = found[self.way % len(found)]
        head = joined((f" Due round · {count} left", task.vessel, task.wine, task.place))
        dose = [f"Add   {say.dose(task.action.dose, units)} · {task.action.dose.note}"] if task.action.dose else []
        told = [task.action.task.capitalize(), *dose, f"Why   {explain.because(task.action.because, units=units)}",
                *(f"!     {caution}" for caution in rule.cautions)]  # fmt: skip
        self.query_one("#head", Static).update(label(head))
        self.query_one("#told", Static).update(label("\n".join(told)))
        self.query_one("#foot", Static).update(label(short.footer("round", self.app.size.width - 1)))
        prefill = {}
        if way.kind == "addition" and task.action.dose is not None:
            prefill = {"amount": f"{task.action.dose.amount:.2f}".rstrip("0").rstrip(".")}
        self.panel.open(self.service, task.vessel, way.kind, names=way.fields, fixed=dict(way.fixed), prefill=prefill)

    def _end(self) -> None:
        self.panel.shut()
        ahead = [one for one in self.service.tasks() if one.status == "ahead"]
        again = f"Come back on {explain.short_day(ahead[0].action.show)}." if ahead else ""
        counts = f"{len(self.done)} recorded, {len(self.left)} left for later."
        told = ["The round is done.", "", counts, *self.done, again]
        self.query_one("#head", Static).update(label(" Due round"))
        self.query_one("#told", Static).update(label("\n".join(told)))
        self.query_one("#foot", Static).update(label("Esc back"))

    @on(FormPanel.Recorded)
    def result_recorded(self, event: FormPanel.Recorded) -> None:
        """Note what was done and go on."""
        names = {one.number: one.name for one in self.service.vessels()}
        first = event.answer.outcomes[0]
        self.done.append(f"  {first.vessel} · {say.entry(first.entry, names, self.service.units)}")
        self.go_on()

    def action_way(self) -> None:
        """Record the result in another way."""
        if self.asked is not None:
            self.way += 1
            self._show(len(self.open_tasks()))

    def action_later(self) -> None:
        """Go on without an entry."""
        if self.asked is not None:
            self.left.add((self.asked.vessel, self.asked.action.key))
            self.go_on()

    def action_override(self, kind: str) -> None:
        """Skip or postpone, with a reason."""
        if self.asked is not None:
            names = ("reason",) if kind == "skip" else ("until", "reason")
            fixed = {"action": self.asked.action.rule}
            self.panel.open(self.service, self.asked.vessel, kind, names=names, fixed=fixed)

    def action_leave(self) -> None:
        """End the round."""
        self.dismiss()

    def refresh_from_service(self) -> None:
        """Another person has recorded something: the form weighs it anew."""
        self.panel.refresh_form()
