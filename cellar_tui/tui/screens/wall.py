"""The wall display: the whole cellar to be read from across the room; nothing is recorded here."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.containers import Horizontal
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Digits, Static

from cellar_tui.language import days
from cellar_tui.language.layout import joined
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Board
from cellar_tui.tui.boundary import SpeaksErrors
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.screens import wall_text
from cellar_tui.tui.widgets import short
from cellar_tui.tui.widgets.cells import label, tinted
from cellar_tui.tui.widgets.themes import ROLES

Teller = Callable[[Board, int], list[wall_text.Line]]
LEFT = 4
"""Lines kept for the days ahead where they stand below what is pressing."""
COUNTS = ("late", "today", "this week")


class WallScreen(SpeaksErrors, Screen[None]):
    """Counts in large figures; what is late and for today by place; the days ahead."""

    DEFAULT_CSS = """
    WallScreen #counts { height: 4; padding: 1 0 0 1; }
    WallScreen Digits { width: auto; text-style: bold; }
    WallScreen .count { width: 14; height: 3; padding: 1 0 0 1; }
    WallScreen #stock { height: 1; padding: 0 1; color: $text-muted; }
    WallScreen #main { padding: 1 1 0 1; }
    WallScreen #pressing, WallScreen #ahead { width: 1fr; height: 1fr; }
    WallScreen #ahead { margin-left: 2; }
    WallScreen.-narrow #main { layout: vertical; }
    WallScreen.-narrow #ahead { margin: 1 0 0 0; }
    WallScreen.-short #counts { height: 1; padding: 0 1; }
    WallScreen.-short Digits { display: none; }
    WallScreen.-short .count { height: 1; padding: 0; }
    WallScreen.-short #main { padding: 0 1; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-roomy")]
    VERTICAL_BREAKPOINTS = [(0, "-short"), (24, "-tall")]
    BINDINGS = [Binding(one.key, one.action, one.label, show=False, id=f"wall.{one.id}") for one in keys_of("wall")]

    def __init__(self, service: OpenCellar, title: str) -> None:
        super().__init__()
        self.service = service
        self.heading = title

    def compose(self) -> ComposeResult:
        """Lay out the day, the counts, what is pressing and what lies ahead."""
        yield Static(id="head")
        with Horizontal(id="counts"):
            for _ in COUNTS:
                yield Digits()
                yield Static(classes="count")
        yield Static(id="stock")
        with Horizontal(id="main"):
            yield Static(id="pressing")
            yield Static(id="ahead")
        yield Static(id="foot")

    def on_resize(self, event: events.Resize) -> None:
        """Draw anew for the room there is."""
        self.call_after_refresh(self.refresh_from_service)

    def refresh_from_service(self) -> None:
        """Read the board again: another program has recorded something, or a new day has begun."""
        board = self.service.view.board()
        self.query_one("#head", Static).update(label(joined((" Cellar", self.heading, days.echo(board.today)))))
        numbers = (board.late, board.due_today, board.week)
        short_one = self.has_class("-short")
        figures, words = self.query(Digits), self.query(".count").results(Static)
        for digits, word, number, name in zip(figures, words, numbers, COUNTS, strict=True):
            digits.update(str(number))
            word.update(label(f"{number} {name}" if short_one else name))
        self.query_one("#stock", Static).update(label(wall_text.stocked(board)))
        self._tell(wall_text.pressing, wall_text.ahead, board)
        self.query_one("#foot", Static).update(label(short.footer("wall", self.size.width - 2)))

    def _tell(self, first: Teller, then: Teller, board: Board) -> None:
        """Write both parts side by side; one below the other the first has what it needs before the second."""
        areas = [self.query_one(name, Static) for name in ("#pressing", "#ahead")]
        room = self.query_one("#main").content_size
        if not room.width:
            return
        if not self.has_class("-narrow"):
            areas[0].styles.height = "1fr"
            for area, told in zip(areas, (first, then), strict=True):
                area.update(_painted(wall_text.cut(told(board, area.size.width), room.height)))
            return
        lines = wall_text.cut(first(board, room.width), max(1, room.height - LEFT))
        areas[0].styles.height = len(lines)
        areas[0].update(_painted(lines))
        areas[1].update(_painted(wall_text.cut(then(board, room.width), room.height - len(lines) - 1)))

    def action_back(self) -> None:
        """Go back to the cellar."""
        self.dismiss()

    def action_quit(self) -> None:
        """Leave the program."""
        self.app.exit(0)


def _painted(lines: Sequence[wall_text.Line]) -> Content:
    return tinted([(f"{text}\n", ROLES[tone]) for text, tone in lines])
