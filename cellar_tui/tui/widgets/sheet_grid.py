"""A sheet of cells to type in, drawn line by line: a letter sends its own line, a move the lines of two cells."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from cellar_tui.entry_form.sheet import METHOD, Row
from cellar_tui.entry_form.sheet_cells import DAY_ROW, SheetCells
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.language import quantities
from cellar_tui.language.clean_text import cells
from cellar_tui.language.layout import Align, column
from cellar_tui.tui.boundary import SpeaksErrors

Part = tuple[str, str]
"""Text with the name of its component style, "" for plain."""
HEADS = {
    "ph": "pH",
    "free_so2": "Free",
    METHOD: "Method",
    "total_so2": "Total",
    "sg": "SG",
    "temperature": "Temp.",
    "malic": "Malic",
    "ta": "TA",
    "residual_sugar": "Sugar",
    "alcohol": "Alc.",
    "va": "VA",
    "turbidity": "NTU",
    "dissolved_oxygen": "O2",
    "conductivity_drop": "Cond.",
    "yan": "YAN",
    "sample_temperature": "Sample",
}
NUMBER, WORD = 6, 10
"""Cells of a number, and of a method."""
ROOMY = 72
"""Width [cells] from which the wine stands beside its vessel, and more is said of a row than one word."""
ABOVE = 2
"""Lines above the rows: the day, and the heads of the columns."""


class SheetGrid(SpeaksErrors, Widget, can_focus=True):
    """Draws the cells of a sheet, the day above them, and what each row would do.

    `judged` says of a row what it would do, with its tone; `day` says of the day how it was understood.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {"grid--cursor", "grid--quiet", "grid--stop", "grid--head"}
    DEFAULT_CSS = """
    SheetGrid { height: 1fr; }
    SheetGrid > .grid--cursor { background: $block-cursor-background; color: $block-cursor-foreground; }
    SheetGrid > .grid--quiet { color: $text-muted; }
    SheetGrid > .grid--stop { color: $text-error; text-style: bold; }
    SheetGrid > .grid--head { text-style: bold; }
    """

    def __init__(
        self, cells: SheetCells, judged: Callable[[Row, int], Part], day: Callable[[], Part], *, id: str
    ) -> None:
        super().__init__(id=id)
        self.cells, self.judged, self.day = cells, judged, day
        self._top, self._first = 0, 0
        self._drawn: list[list[Part]] = []

    # -- what is shown

    @property
    def rows(self) -> Sequence[Row]:
        """The vessels shown."""
        return self.cells.rows

    @property
    def columns(self) -> Sequence[str]:
        """The readings shown."""
        return self.cells.columns

    @property
    def selected(self) -> tuple[Row, str] | None:
        """The vessel and reading under the cursor; None on the day."""
        return self.cells.selected

    def show(self, rows: Sequence[Row], columns: Sequence[str]) -> None:
        """Show other rows and columns; the cursor stays on its cell where that is still there."""
        self.cells.show(rows, columns)
        self.repaint()

    def repaint(self) -> None:
        """Draw the lines that differ."""
        self._in_sight()
        old, self._drawn = self._drawn, [self._line(y) for y in range(self.size.height)]
        for y, line in enumerate(self._drawn):
            if old[y : y + 1] != [line]:
                self.refresh(Region(0, y, self.size.width, 1))

    def on_resize(self) -> None:
        """Use the room there is."""
        self.repaint()

    def on_focus(self) -> None:
        """Show where typing goes."""
        self.repaint()

    def render_line(self, y: int) -> Strip:
        """Draw one line."""
        width, plain = self.size.width, self.rich_style
        parts = self._drawn[y] if y < len(self._drawn) else []
        segments = [Segment(said, plain + self._style(name) if name else plain) for said, name in parts]
        return Strip(Segment.simplify(segments)).adjust_cell_length(width, plain).crop(0, width)

    def _style(self, name: str) -> Style:
        return self.get_component_rich_style(f"grid--{name}", partial=True)

    # -- the layout

    def _names(self) -> tuple[int, int]:
        """Return the cells of vessel and wine."""
        roomy = self.size.width >= ROOMY
        most = 16 if roomy else 10
        vessel = min(max((cells(row.name) for row in self.rows), default=6), most)
        wine = min(max((cells(row.wine) for row in self.rows), default=4), most)
        return max(6, vessel), max(4, wine) if roomy else 0

    def _left(self) -> int:
        vessel, wine = self._names()
        return 1 + vessel + 1 + (wine + 1 if wine else 0)

    def _fitting(self) -> int:
        """Return how many columns fit from the first one shown."""
        room = self.size.width - self._left() - (24 if self.size.width >= ROOMY else 9)
        count = 0
        for name in self.columns[self._first :]:
            room -= _wide(name) + 1
            if room < 0:
                break
            count += 1
        return max(1, count)

    def _in_sight(self) -> None:
        height = max(1, self.size.height - ABOVE)
        row = max(0, self.cells.row)
        self._top = min(max(self._top, row - height + 1), row)
        if self.cells.col < self._first:
            self._first = self.cells.col
        while self.cells.col >= self._first + self._fitting():
            self._first += 1

    def _line(self, y: int) -> list[Part]:
        if y == 0:
            said, tone = self.day()
            here = self.cells.row == DAY_ROW and self.has_focus
            cell = column(self.cells.sheet.at or "today", max(11, cells(self.cells.sheet.at)))
            return [(" Day ", ""), (cell, "cursor" if here else ""), (f"  {said}", tone)]
        shown = self.columns[self._first : self._first + self._fitting()]
        if y == 1:
            return self._heads(shown)
        index = self._top + y - ABOVE
        return self._cells(index, shown) if index < len(self.rows) else []

    def _heads(self, shown: Sequence[str]) -> list[Part]:
        vessel, wine = self._names()
        said = " " + column("Vessel", vessel + 1) + (column("Wine", wine + 1) if wine else "")
        said += "".join(f"{column(self._head(one), _wide(one), _side(one))} " for one in shown)
        more = len(self.columns) - len(shown)
        return [(said, "quiet"), (f" {more} more: Left, Right" if more else "", "quiet")]

    def _head(self, name: str) -> str:
        """Return the head of a column; that of a gravity is the house's scale."""
        return quantities.shown_unit("SG", self.cells.sheet.service.view.units) if name == "sg" else HEADS[name]

    def _cells(self, index: int, shown: Sequence[str]) -> list[Part]:
        row = self.rows[index]
        vessel, wine = self._names()
        parts: list[Part] = [(" " + column(row.name, vessel + 1), "head" if index == self.cells.row else "")]
        if wine:
            parts.append((column(row.wine, wine + 1), "quiet"))
        for name in shown:
            said, tone = self._cell(row, name)
            here = index == self.cells.row and name == self.columns[self.cells.col] and self.has_focus
            parts += [(column(said, _wide(name), _side(name)), "cursor" if here else tone), (" ", "")]
        room = self.size.width - sum(cells(said) for said, _ in parts)
        said, tone = self.judged(row, room)
        return [*parts, (column(said, max(0, room)), tone)]

    def _cell(self, row: Row, name: str) -> Part:
        """Return the text of a cell: what is typed, the method that holds from above, a mark where one is due."""
        typed = self.cells.sheet.texts.get((row.number, name), "")
        if typed:
            return typed, ""
        if name == METHOD and (row.number, "free_so2") in self.cells.sheet.texts:
            return self.cells.sheet.method(row.number, self.rows) or "·", "quiet"
        return ("?" if name in row.asked else "·"), "quiet"

    # -- keys

    def go(self, row: int, col: int) -> None:
        """Put the cursor on a cell."""
        self.cells.go(row, col)
        self.repaint()

    def press(self, press: Press) -> bool:
        """Give a key to the cells, and draw what it changed; return whether it is one of theirs."""
        self.cells.page = max(1, self.size.height - ABOVE - 1)
        taken = self.cells.press(press)
        if taken:
            self.repaint()
        return taken


def _wide(name: str) -> int:
    return WORD if name == METHOD else NUMBER


def _side(name: str) -> Align:
    return "left" if name == METHOD else "right"
