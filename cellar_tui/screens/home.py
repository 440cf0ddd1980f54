"""The cellar: every vessel on one line, what is due first, and the selected one in plain words."""

from __future__ import annotations

from collections.abc import Callable

from textual import events, on
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal, Vertical
from textual.widgets import Input, Static

from cellar_tui import explain, say, when
from cellar_tui.cellar import Service
from cellar_tui.keys import keys_of
from cellar_tui.screens.place import ListScreen
from cellar_tui.screens.round import RoundScreen
from cellar_tui.screens.wine import WineScreen
from cellar_tui.views import Board, Line, Task
from cellar_tui.widgets import short
from cellar_tui.widgets.cells import column, due_words, figure, joined, label
from cellar_tui.widgets.form_panel import FormPanel
from cellar_tui.widgets.lines import Lines

FIRST_RUN = (
    "This cellar is empty. Leave with q and begin with a vessel and a wine:\n\n"
    '  cellar-tui vessel add "Demijohn 1" capacity=23L material=glass place="back wall"\n'
    '  cellar-tui wine start Solaris vessel="Demijohn 1" style=dry_white volume=22L sg=1.088\n\n'
    "A wine that is finished already: add finished=yes and what is known, such as alcohol=12 total_so2=60."
)
SORTS: dict[str, Callable[[Line], tuple[object, ...]]] = {
    "place": lambda one: (one.place.casefold(), one.name.casefold()),
    "name": lambda one: (one.name.casefold(),),
    "wine": lambda one: ((one.wine or "\U0010ffff").casefold(), one.name.casefold()),
}
ORDERS = ("due", *SORTS)


class HomeScreen(ListScreen):
    """The cellar."""

    BINDINGS = [
        Binding(one.key, one.action, one.label, show=False, priority=one.id not in ("open",), id=one.id)
        for one in keys_of("cellar")
    ]  # fmt: skip

    def __init__(self, service: Service, title: str, *, invented: bool = False) -> None:
        super().__init__(service)
        self.heading = title
        self.invented = invented
        self.order = "due"
        self.words = ""
        self.board: Board | None = None

    def compose(self) -> ComposeResult:
        """Lay out head, list, the selected vessel in words, the form and the keys."""
        yield Static(id="head")
        with Horizontal(id="main"):
            with Vertical():
                yield Static(id="columns")
                yield Lines(self.paint, id="vessels")
                yield Input(id="find", placeholder="words to look for", compact=True)
            yield Static(id="side")
        yield Static(id="about")
        yield FormPanel(id="form")
        yield Static(id="foot")

    def on_mount(self) -> None:
        """Show the board, and a form that was cut off."""
        self.query_one("#find", Input).cursor_blink = False
        self.refresh_from_service()
        self.listing.focus()
        self.reopen_draft()

    def on_resize(self, event: events.Resize) -> None:
        """Use the room there is."""
        self.set_class(event.size.width >= 120, "-wide")
        self._heads()

    def refresh_from_service(self) -> None:
        """Read the board again; the cursor stays on its vessel."""
        kept = self.listing.selected
        self.board = self.service.board()
        lines = list(self.board.lines)
        if self.order in SORTS:
            lines.sort(key=SORTS[self.order])
        if self.words:
            found = self.words.casefold()
            lines = [one for one in lines if found in f"{one.name} {one.wine} {one.style} {one.place}".casefold()]
        number = kept.number if isinstance(kept, Line) else None
        self.listing.show_rows(lines, next((i for i, one in enumerate(lines) if one.number == number), 0))
        self._heads()
        if not self.board.lines:
            self.query_one("#about", Static).update(label(FIRST_RUN))
        if self.panel.is_open:
            self.panel.refresh_form()

    def _heads(self) -> None:
        if self.board is None:
            return
        width = self.app.size.width
        invented = ", invented" if self.invented else ""
        counts = f"{self.board.late} late · {self.board.due_today} today · {self.board.week} this week"
        right = joined((when.echo(self.board.today), counts))
        left = f" Cellar · {self.heading}{invented} · {self.service.by}"
        self.query_one("#head", Static).update(label(f"{column(left, max(0, width - len(right) - 2))} {right}"))
        self.query_one("#columns", Static).update(label(self._columns(self._widths(self.listing.size.width or width))))
        foot = short.footer("cellar", width - 1, read_only=self.service.read_only)
        self.say(foot if self.order == "due" else f"by {self.order} · {foot}")

    def _widths(self, width: int) -> dict[str, int]:
        """Return the columns that fit, in the order in which they are dropped: style, molecular, litres."""
        fixed = {"Vessel": 11, "Wine": 11, "Style": 11, "L": 5, "pH": 4, "Free": 4, "Mol.": 4, "YBACH": 5, "Next": 10}
        for name in ("Style", "Mol.", "L"):
            if sum(fixed.values()) + len(fixed) + 11 <= width:
                break
            del fixed[name]
        spare = width - (sum(fixed.values()) + len(fixed) + 11)
        for name in ("Vessel", "Wine"):
            fixed[name] += max(0, min(8, spare // 2))
        return {**fixed, "Due": 10}

    def _columns(self, widths: dict[str, int]) -> str:
        right = ("L", "pH", "Free", "Mol.")
        return " " + " ".join(column(name, size, "right" if name in right else "left") for name, size in widths.items())

    def paint(self, line: Line, width: int) -> list[tuple[str, str]]:
        """Return one vessel as parts of text."""
        task = line.next
        due = "" if task is None or self.board is None else due_words(
            task.action.show, task.action.latest, self.board.today)  # fmt: skip
        shown = {
            "Vessel": line.name, "Wine": line.wine or "empty", "Style": say.words(line.style or ""),
            "YBACH": line.letters, "Next": short.action(task.action.rule) if task else "", "Due": due,
        }  # fmt: skip
        numbers = {"L": (line.volume, 0 if (line.volume or 0) >= 100 else 1), "pH": (line.ph, 2),
                   "Free": (line.free_so2, 0), "Mol.": (line.molecular, 2)}  # fmt: skip
        tone = "warn" if task is not None and task.status == "late" else "quiet" if line.wine is None else ""
        parts: list[tuple[str, str]] = [(" ", "")]
        for name, size in self._widths(width).items():
            text = figure(*numbers[name], size) if name in numbers else column(shown[name], size)
            if line.wine is None and name in numbers:
                text = " " * size
            parts.append((text + " ", tone if name in ("Next", "Due") or line.wine is None else ""))
        return parts

    @on(Lines.Moved)
    def _selected(self) -> None:
        line = self.listing.selected
        if isinstance(line, Line):
            text = "\n".join(self._about(line))
            self.query_one("#about", Static).update(label(text))
            self.query_one("#side", Static).update(label("\n\n".join(self._side(line))))

    def _about(self, line: Line) -> list[str]:
        units = self.service.units
        held = f"{line.volume:.1f} of {line.capacity:g} L" if line.volume is not None and line.capacity else ""
        told = [joined((line.name, line.wine or "", held, f"{line.material}, {line.place}".rstrip(", "), line.summary))]
        if line.next is not None:
            action = line.next.action
            dose = f": {say.dose(action.dose, units)} ({action.dose.note})" if action.dose else ""
            told += [f"Now  {action.task}{dose}", f"Why  {explain.because(action.because, units=units)}"]
        return told

    def _side(self, line: Line) -> list[str]:
        return [f"{task.action.task}, {explain.short_day(task.action.show)}" for task in line.actions]

    def target(self) -> str | None:
        """Return the selected vessel."""
        line = self.listing.selected
        return line.name if isinstance(line, Line) and line.wine is not None else None

    def due_tasks(self) -> list[Task]:
        """Return the due actions of the selected vessel."""
        line = self.listing.selected
        return list(line.actions) if isinstance(line, Line) else []

    @property
    def find_open(self) -> bool:
        """Whether words to look for are being typed."""
        return self.query_one("#find", Input).has_class("-open")

    def action_sort(self) -> None:
        """Sort in the next order."""
        self.order = ORDERS[(ORDERS.index(self.order) + 1) % len(ORDERS)]
        self.refresh_from_service()

    def action_find(self) -> None:
        """Type words to look for."""
        box = self.query_one("#find", Input)
        box.add_class("-open")
        box.value = ""
        box.focus()

    @on(Input.Changed, "#find")
    def _narrow(self, event: Input.Changed) -> None:
        self.words = event.value.strip()
        self.refresh_from_service()

    @on(Input.Submitted, "#find")
    def _found(self) -> None:
        self.query_one("#find", Input).remove_class("-open")
        self.listing.focus()

    def action_open(self) -> None:
        """Open the selected wine."""
        line = self.listing.selected
        if isinstance(line, Line):
            self.app.push_screen(WineScreen(self.service, line.name))

    def action_round(self) -> None:
        """Walk through what is due."""
        self.app.push_screen(RoundScreen(self.service), lambda _: self.refresh_from_service())

    def action_why(self) -> None:
        """Show why the next action is due."""
        tasks = self.due_tasks()
        if tasks:
            self.explain(f"Why · {tasks[0].vessel} · {tasks[0].action.task}", tasks[0].action.because)

    def action_quit(self) -> None:
        """Leave the program."""
        self.save_draft()
        self.app.exit(0)
