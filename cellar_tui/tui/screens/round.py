"""Today's round: the actions that are due, one after the other, each completed by typing its result."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from cellar_tui.entry_form.entry_form import Opening
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.entry_form.work import Work
from cellar_tui.language import describe_entry
from cellar_tui.language.check_words import CHORES, OF_TEST, CheckWord
from cellar_tui.language.layout import due_words, joined
from cellar_tui.planning.rules.base import ResponseForm as Way
from cellar_tui.planning.rules.table import RULE_BY_ID
from cellar_tui.planning.subject import Subject
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.round_list import walking_order
from cellar_tui.service.views import CellarError, SaveResult, Task
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens import form_why, round_text
from cellar_tui.tui.screens.why import WhyScreen
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label
from cellar_tui.tui.widgets.form_panel import NARROW, FormPanel

SHORT = 24
"""Height of the terminal [lines] under which an action's page may not fit."""
OWN = frozenset(key for one in keys_of("round") if one.id != "begin" for key in one.key.split(","))
"""Keys that are the round's, and not those of the form in it."""
CHOOSING = ("left", "right")
"""Keys that choose a word where there are words, and move in the text where there are none."""
CHOOSE = "Choose what you found: Left and Right, or its number."
KEPT = "What you typed is kept: it comes back with this action."


class RoundScreen(SpeaksErrors, Screen[None]):
    """A page of what to carry, then one action fills the screen; Enter records its result and goes on."""

    AUTO_FOCUS = ""
    DEFAULT_CSS = """
    RoundScreen FormPanel { height: 12; }
    RoundScreen FormPanel.-narrow { height: 12; }
    RoundScreen FormPanel.-narrow #form-fields { max-height: 4; }
    """
    BINDINGS = [
        Binding(one.key, one.action, one.label, show=False, priority=one.id != "begin", id=f"round.{one.id}")
        for one in keys_of("round")
    ]

    def __init__(self, service: OpenCellar) -> None:
        super().__init__()
        self.service = service
        self.left: dict[tuple[str, str], Task] = {}
        self.done: list[str] = []
        self.asked: Task | None = None
        self.started = False
        self.overriding = False
        self.way = 0
        self.words: tuple[CheckWord, ...] = ()
        self.word: CheckWord | None = None
        self.wide = 0

    def compose(self) -> ComposeResult:
        """Lay out what to do, the form for its result, and the keys."""
        yield Static(id="head")
        with VerticalScroll(id="main", can_focus=False):
            yield Static(id="told")
        yield FormPanel(id="form")
        yield Static(id="foot")

    def on_mount(self) -> None:
        """Start with what to weigh out and carry."""
        self.panel.on_recorded = self.result_recorded
        self.panel.on_why = self.result_asked_why
        self.panel.keyed = False
        if self.open_tasks():
            self._begin_page()
        else:
            self.action_begin()

    def on_resize(self) -> None:
        """Lay the page out for the room there is now."""
        if self.app.size.width == self.wide:
            return
        if self.asked is not None:
            self._tell(self.asked)
        elif not self.started and self.is_mounted:
            self._begin_page()

    def _begin_page(self) -> None:
        """Say what to weigh out, what to carry, and where it leads."""
        tasks = self.open_tasks()
        self.wide = self.app.size.width
        width = self.wide - 4
        late = sum(task.status == "late" for task in tasks)
        places = len({task.place for task in tasks})
        head = joined((f"{len(tasks)} to do", f"{late} late" if late else "", f"{places} places" if places > 1 else ""))
        self._page(head, round_text.start(tasks, self.service.view.units, width), "Enter begin  Esc back")

    @property
    def panel(self) -> FormPanel:
        """The form for the result."""
        return self.query_one(FormPanel)

    def take(self, press: Press) -> bool:
        """Act on a key that is meant for the result; a digit takes the word of a check that has this number."""
        form = self.panel.form
        if form is not None and self.words and form.field.name == "result":
            if press.text.isdigit() and 0 < int(press.text) <= len(self.words):
                self._take_word(self.words[int(press.text) - 1])
                return True
            if press.key == "enter" and not form.field.text:
                # A bounced Enter is no answer, and what was recorded stays said.
                if not press.again:
                    self.panel.tell(CHOOSE)
                return True
        if press.key in OWN and (self.words or press.key not in CHOOSING):
            return False
        taken = self.panel.take(press)
        if taken and self.words and self.asked is not None and self.panel.is_open:
            self._tell(self.asked)
        return taken

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Let Enter begin only on the first page, and the keys of an action act only where there is one."""
        if action == "begin":
            return not self.started
        if action == "word":
            return bool(self.words)
        return action == "leave" or action not in ("way", "later", "override") or self.asked is not None

    def open_tasks(self) -> list[Task]:
        """Return what is due and not yet left for later, in walking order."""
        due = [task for task in self.service.view.tasks() if task.status != "ahead"]
        open_ones = (one for one in due if (one.vessel, one.action.key) not in self.left)
        return sorted(open_ones, key=walking_order)

    def ways(self, task: Task) -> tuple[Way, ...]:
        """Return the ways in which this wine's result may be recorded."""
        view = self.service.view.wine(task.vessel)
        if view.contents is None:
            return ()
        return RULE_BY_ID[task.action.rule].open_answers(
            Subject(view.contents, view.info, view.house), task.action.dose
        )

    def _page(self, head: str, told: list[str], foot: str) -> None:
        self.query_one("#head", Static).update(label(joined((" Today's round", head))))
        self.query_one("#told", Static).update(label("\n".join(told)))
        self.query_one("#foot", Static).update(label(foot))
        self.query_one("#main", VerticalScroll).scroll_home(animate=False)

    def go_on(self) -> None:
        """Show the next action, or the end of the round."""
        tasks = self.open_tasks()
        self.way = 0
        self.asked = tasks[0] if tasks else None
        if self.asked is None:
            self._end()
        else:
            self._show(len(tasks))

    def _show(self, count: int) -> None:
        assert self.asked is not None
        task = self.asked
        ways = self.ways(task)
        way = ways[self.way % len(ways)]
        test = dict(way.fixed).get("test", "") if way.kind == "check" else ""
        self.words, self.word = OF_TEST.get(test, ()), None
        self.overriding = False
        # Where the page may not fit, the cautions stand with the form, which can be paged.
        self.panel.careful = self.app.size.width < NARROW or self.app.size.height < SHORT
        useless = {"word_after": not self.words, "way": len(ways) == 1}
        foot = short.of_round(self.app.size.width - 1, [key for key, none in useless.items() if none])
        due = due_words(task.action.show, task.action.latest, self.service.view.today)
        late = due if task.status == "late" else ""
        self._page(joined((f"{count} left", task.vessel, task.wine, task.place, late)), [], foot)
        prefill = {}
        dose = task.action.dose
        if way.kind == "addition" and dose is not None and dict(way.fixed).get("material") == dose.material:
            prefill = {"amount": f"{dose.amount:.2f}".rstrip("0").rstrip(".")}
        names = tuple(dict.fromkeys(("result", "fault", *way.fields))) if self.words else way.fields
        if test in CHORES:
            prefill = {"result": self.words[0].result}
        self._open(task, way.kind, names, dict(way.fixed), prefill)
        form = self.panel.form
        if self.words and form is not None and not form.is_changed:
            form.go(0)
            self.panel.show_form()
        self._tell(task)

    def _tell(self, task: Task) -> None:
        """Say what is to be done, with the words that answer it; the one that stands in the form is marked."""
        self.wide = self.app.size.width
        width = self.wide - 4
        answers = round_text.choices(self.words, self._chosen(), width) if self.words else []
        told = round_text.action(task, self.service.view.units, width, answers)
        self.query_one("#told", Static).update(label("\n".join(told)))

    def _chosen(self) -> CheckWord | None:
        """Return the word that says what stands in the form: the one taken last, where it does."""
        typed = self.panel.texts()
        said = (typed.get("result", ""), typed.get("fault", ""))
        fitting = [word for word in self.words if (word.result, word.fault) == said]
        return self.word if self.word in fitting else next(iter(fitting), None)

    def _take_word(self, word: CheckWord) -> None:
        """Take a word as the answer to the check."""
        form = self.panel.form
        if form is None or self.asked is None:
            return
        self.word = word
        form.put("result", word.result)
        form.put("fault", word.fault)
        form.go(0)
        self.panel.show_form()
        self._tell(self.asked)

    def action_word(self, step: int) -> None:
        """Take the next or the last word of a check."""
        here = self._chosen()
        place = self.words.index(here) + step if here is not None else 0
        self._take_word(self.words[place % len(self.words)])

    def _open(
        self, task: Task, kind: str, names: tuple[str, ...], fixed: dict[str, str], prefill: dict[str, str]
    ) -> None:
        try:
            opening = Opening(prefill, fixed, names, action=task.action.rule)
            self.panel.open(self.service, task.vessel, kind, opening)
        except CellarError as error:
            self.panel.shut()
            self.query_one("#foot", Static).update(label(str(error)))

    def _end(self) -> None:
        self.panel.shut()
        self.set_focus(None)
        ahead = [task for task in self.service.view.tasks() if task.status == "ahead"]
        self._page("", round_text.end(self.done, list(self.left.values()), ahead), "Esc back")

    def result_recorded(self, answer: SaveResult) -> None:
        """Note what was done, go on, and say which dates it moved."""
        names = {vessel.number: vessel.name for vessel in self.service.view.vessels()}
        first = answer.outcomes[0]
        self.done.append(joined((first.vessel, describe_entry.entry(first.entry, names, self.service.view.units))))
        self.go_on()
        if self.panel.is_open:
            self.panel.tell(round_text.recorded(answer, names, self.service.view.units))

    def result_asked_why(self, work: Work) -> None:
        """Open the working of the action and of what is typed as its result."""
        task = self.asked
        own = [] if task is None else [(task.action.task, task.action.because)]
        if task is not None and task.action.dose is not None:
            own.append((f"{task.action.task}: the dose", task.action.dose.because))
        parts = (*own, *form_why.parts(work))
        self.app.push_screen(WhyScreen(self.service, joined(("Why", work.title)), work.target, parts))

    def action_begin(self) -> None:
        """Go to the first action."""
        self.started = True
        self.go_on()

    def action_way(self) -> None:
        """Record the result in another way."""
        self.panel.save_draft()
        self.way += 1
        self._show(len(self.open_tasks()))

    def action_later(self) -> None:
        """Go on without an entry."""
        if self.asked is not None:
            self.panel.save_draft()
            self.left[self.asked.vessel, self.asked.action.key] = self.asked
            self.go_on()

    def action_override(self, kind: str) -> None:
        """Skip or postpone, with a reason."""
        if self.asked is not None:
            self.panel.save_draft()
            self.overriding, self.words = True, ()
            names = ("reason", "until") if kind == "skip" else ("until", "reason")
            self._open(self.asked, kind, names, {"action": self.asked.action.rule}, {})

    def action_leave(self) -> None:
        """Go back: from a reason to the action, else out of the round; what is typed is kept."""
        kept = self.panel.save_draft()
        if kept:
            self.notify(KEPT, markup=False)
        if self.overriding and self.asked is not None:
            self._show(len(self.open_tasks()))
        else:
            self.dismiss()

    def save_draft(self) -> None:
        """Keep what is typed: the line has dropped, or the program is ended."""
        self.panel.save_draft()

    def refresh_from_service(self) -> None:
        """Another program has recorded something: the form weighs it again."""
        self.panel.refresh_form()
