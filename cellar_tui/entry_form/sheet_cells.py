"""The cells of a reading sheet and the cursor in one of them: what each key does to them, at once."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cellar_tui.entry_form.sheet import Row, Sheet, as_typed
from cellar_tui.entry_form.typed_line import Press, TypedLine

DAY_ROW = -1
"""The cell above the rows: the day of all of them."""


class SheetCells:
    """Rows of vessels, columns of readings, and a cursor that types; the day is the cell above them.

    A cell that is come to is selected, as a field of a form is: the first letter takes the place of what stood there.

    Attributes:
        sheet: what is typed.
        rows, columns: the vessels and readings that are shown.
        row, col: where the cursor is.
        page: rows that a page key goes on by.
    """

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.rows: Sequence[Row] = ()
        self.columns: Sequence[str] = ()
        self.row, self.col = 0, 0
        self.page = 1
        self._line = TypedLine()

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
        numbers = [row.number for row in rows]
        self.row = min(self.row, len(rows) - 1)
        self.col = min(self.col, max(0, len(columns) - 1))
        if old is not None:
            self.row = numbers.index(old[0].number) if old[0].number in numbers else 0
            self.col = columns.index(old[1]) if old[1] in columns else 0
        self.go(self.row, self.col)

    def _text(self) -> str:
        if self.row == DAY_ROW:
            return self.sheet.at
        here = self.selected
        return "" if here is None else self.sheet.texts.get((here[0].number, here[1]), "")

    # -- moving

    def go(self, row: int, col: int) -> None:
        """Put the cursor on a cell; the one that is left is complete."""
        if (here := self.selected) is not None and (row, col) != (self.row, self.col):
            self.sheet.complete(here[0].number, here[1])
        self.row = min(max(row, DAY_ROW), len(self.rows) - 1)
        self.col = min(max(col, 0), max(0, len(self.columns) - 1))
        self._line.put(self._text())
        self._line.select_all()

    def _along(self, step: int) -> None:
        """Go along the row, then to the next one."""
        count = max(1, len(self.columns))
        cell = max(0, self.row) * count + self.col + step
        if 0 <= cell < count * len(self.rows):
            self.go(*divmod(cell, count))

    def _down(self) -> None:
        """Go down the column, then to the top of the next one; below the last cell there is none."""
        if self.row < len(self.rows) - 1:
            self.go(self.row + 1, self.col)
        elif self.col < len(self.columns) - 1:
            self.go(0, self.col + 1)

    # -- typing

    def _write(self) -> None:
        """Keep in the cell what stands in its line."""
        here = self.selected
        self._line.text = as_typed(self._line.text)
        self._line.put_cursor(self._line.cursor)
        if self.row == DAY_ROW:
            self.sheet.at = self._line.text
        elif here is not None:
            self.sheet.put(here[0].number, here[1], self._line.text)

    def press(self, press: Press) -> bool:
        """Move or type; return whether the key is one of the cells."""
        moves: dict[str, Callable[[], None]] = {
            "up": lambda: self.go(self.row - 1, self.col),
            "down": lambda: self.go(self.row + 1, self.col),
            "left": lambda: self.go(self.row, self.col - 1),
            "right": lambda: self.go(self.row, self.col + 1),
            "home": lambda: self.go(0, self.col),
            "end": lambda: self.go(len(self.rows) - 1, self.col),
            "pageup": lambda: self.go(max(0, self.row - self.page), self.col),
            "pagedown": lambda: self.go(self.row + self.page, self.col),
            "tab": lambda: self._along(1),
            "shift+tab": lambda: self._along(-1),
            "enter": self._down,
            "paste": lambda: self._paste(press.text),
        }
        if press.key in moves:
            moves[press.key]()
            return True
        if press.key == "delete":
            self._line.put("")
        elif not self._line.press(press):
            return False
        self._write()
        return True

    def _paste(self, text: str) -> None:
        """Fill the column down with pasted lines, and the row with what stands between tabs."""
        row, col = self.row, self.col
        for down, line in enumerate(text.splitlines()):
            for right, typed in enumerate(line.split("\t")):
                if row + down < len(self.rows) and col + right < len(self.columns):
                    self.go(row + down, col + right)
                    self._line.put(typed.strip())
                    self._write()
