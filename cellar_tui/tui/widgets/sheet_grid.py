"""A sheet of cells to type in, drawn line by line: a letter sends its own line, a move the lines of two cells."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from rich.segment import Segment
from rich.style import Style
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from cellar_tui.entry_form.sheet import METHOD, Row, Sheet, as_typed
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
DAY_ROW = -1


class SheetGrid(SpeaksErrors, Widget, can_focus=True):
    """Rows of vessels, columns of readings, and a cursor that types; the day is the cell above them.

    `judged` says of a row what it would do, with its tone. Keys are taken in the order in which they come, so that a
    burst of them ends in the cells that it was meant for.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {"grid--cursor", "grid--quiet", "grid--stop", "grid--head"}
    DEFAULT_CSS = """
    SheetGrid { height: 1fr; }
    SheetGrid > .grid--cursor { background: $block-cursor-background; color: $block-cursor-foreground; }
    SheetGrid > .grid--quiet { color: $text-muted; }
    SheetGrid > .grid--stop { color: $text-error; text-style: bold; }
    SheetGrid > .grid--head { text-style: bold; }
    """

    def __init__(self, sheet: Sheet, judged: Callable[[Row, int], Part], day: Callable[[], Part], *, id: str) -> None:
        super().__init__(id=id)
        self.sheet, self.judged, self.day = sheet, judged, day
        self.rows: Sequence[Row] = ()
        self.columns: Sequence[str] = ()
        self.row, self.col = 0, 0
        self._editing = False
        self._top, self._first = 0, 0
        self._drawn: list[list[Part]] = []
        self.on_typed: Callable[[], None] | None = None
        self.on_gone: Callable[[], None] | None = None
        """Told at once of another text in a cell, and of another cell under the cursor."""

    # -- what is shown

    @property
    def selected(self) -> tuple[Row, str] | None:
        """The vessel and reading under the cursor; None on the day."""
        if self.row == DAY_ROW or not self.rows or not self.columns:
            return None
        return self.rows[self.row], self.columns[self.col]

    def show(self, rows: Sequence[Row], columns: Sequence[str]) -> None:
        """Show other rows and columns; the cursor stays on its cell where that is still there."""
        old = self.selected
        self.rows, self.columns = rows, columns
        numbers = [one.number for one in rows]
        self.row = min(self.row, len(rows) - 1)
        self.col = min(self.col, max(0, len(columns) - 1))
        if old is not None:
            self.row = numbers.index(old[0].number) if old[0].number in numbers else 0
            self.col = columns.index(old[1]) if old[1] in columns else 0
        self.go(self.row, self.col)

    def repaint(self) -> None:
        """Draw anew the lines that differ."""
        old, self._drawn = self._drawn, [self._line(y) for y in range(self.size.height)]
        for y, line in enumerate(self._drawn):
            if old[y : y + 1] != [line]:
                self.refresh(Region(0, y, self.size.width, 1))

    def on_resize(self) -> None:
        """Use the room there is."""
        self._in_sight()
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
        vessel = min(max((cells(one.name) for one in self.rows), default=6), most)
        wine = min(max((cells(one.wine) for one in self.rows), default=4), most)
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
        row = max(0, self.row)
        self._top = min(max(self._top, row - height + 1), row)
        if self.col < self._first:
            self._first = self.col
        while self.col >= self._first + self._fitting():
            self._first += 1

    def _line(self, y: int) -> list[Part]:
        if y == 0:
            said, tone = self.day()
            here = self.row == DAY_ROW and self.has_focus
            cell = column(self.sheet.at or "today", max(11, cells(self.sheet.at)))
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
        return quantities.shown_unit("SG", self.sheet.service.view.units) if name == "sg" else HEADS[name]

    def _cells(self, index: int, shown: Sequence[str]) -> list[Part]:
        row = self.rows[index]
        vessel, wine = self._names()
        parts: list[Part] = [(" " + column(row.name, vessel + 1), "head" if index == self.row else "")]
        if wine:
            parts.append((column(row.wine, wine + 1), "quiet"))
        for name in shown:
            said, tone = self._cell(row, name)
            here = index == self.row and name == self.columns[self.col] and self.has_focus
            parts += [(column(said, _wide(name), _side(name)), "cursor" if here else tone), (" ", "")]
        room = self.size.width - sum(cells(said) for said, _ in parts)
        said, tone = self.judged(row, room)
        return [*parts, (column(said, max(0, room)), tone)]

    def _cell(self, row: Row, name: str) -> Part:
        """Return the text of a cell: what is typed, the method that holds from above, a mark where one is due."""
        typed = self.sheet.texts.get((row.number, name), "")
        if typed:
            return typed, ""
        if name == METHOD and (row.number, "free_so2") in self.sheet.texts:
            return self.sheet.method(row.number, self.rows) or "·", "quiet"
        return ("?" if name in row.asked else "·"), "quiet"

    # -- moving

    def go(self, row: int, col: int) -> None:
        """Put the cursor on a cell; the one that is left is complete."""
        if (here := self.selected) is not None and (row, col) != (self.row, self.col):
            self.sheet.complete(here[0].number, here[1])
        self.row = min(max(row, DAY_ROW), len(self.rows) - 1)
        self.col = min(max(col, 0), max(0, len(self.columns) - 1))
        self._editing = False
        self._in_sight()
        self.repaint()
        if self.on_gone is not None:
            self.on_gone()

    def _along(self, step: int) -> None:
        """Go along the row, then to the next one."""
        count = max(1, len(self.columns))
        place = max(0, self.row) * count + self.col + step
        if 0 <= place < count * len(self.rows):
            self.go(*divmod(place, count))

    def _down(self) -> None:
        """Go down the column, then to the top of the next one; below the last cell there is none."""
        if self.row < len(self.rows) - 1:
            self.go(self.row + 1, self.col)
        elif self.col < len(self.columns) - 1:
            self.go(0, self.col + 1)

    # -- typing

    def _text(self) -> str:
        if self.row == DAY_ROW:
            return self.sheet.at
        here = self.selected
        return "" if here is None else self.sheet.texts.get((here[0].number, here[1]), "")

    def _write(self, typed: str) -> None:
        here = self.selected
        if self.row == DAY_ROW:
            self.sheet.at = as_typed(typed)
        elif here is not None:
            self.sheet.put(here[0].number, here[1], typed)
        self._editing = True
        self.repaint()
        if self.on_typed is not None:
            self.on_typed()

    def press(self, press: Press) -> bool:
        """Move or type; return whether the key is one of the grid."""
        if press.key == "paste":
            self._paste(press.text)
            return True
        page = max(1, self.size.height - ABOVE - 1)
        moves: dict[str, Callable[[], None]] = {
            "up": lambda: self.go(self.row - 1, self.col),
            "down": lambda: self.go(self.row + 1, self.col),
            "left": lambda: self.go(self.row, self.col - 1),
            "right": lambda: self.go(self.row, self.col + 1),
            "home": lambda: self.go(0, self.col),
            "end": lambda: self.go(len(self.rows) - 1, self.col),
            "pageup": lambda: self.go(max(0, self.row - page), self.col),
            "pagedown": lambda: self.go(self.row + page, self.col),
            "tab": lambda: self._along(1),
            "shift+tab": lambda: self._along(-1),
            "enter": self._down,
            "backspace": lambda: self._write(self._text()[:-1]),
            "delete": lambda: self._write(""),
        }
        if press.key in moves:
            moves[press.key]()
        elif press.text and press.text.isprintable():
            # The first letter in a cell takes the place of what stood there.
            self._write((self._text() if self._editing else "") + press.text)
        else:
            return False
        return True

    def _paste(self, text: str) -> None:
        """Fill the column down with pasted lines, and the row with what stands between tabs."""
        row, col = self.row, self.col
        for down, line in enumerate(text.splitlines()):
            for right, typed in enumerate(line.split("\t")):
                if row + down < len(self.rows) and col + right < len(self.columns):
                    self.go(row + down, col + right)
                    self._write(typed.strip())


def _wide(name: str) -> int:
    return WORD if name == METHOD else NUMBER


def _side(name: str) -> Align:
    return "left" if name == METHOD else "right"
