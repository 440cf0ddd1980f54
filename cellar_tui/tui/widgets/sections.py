"""A list with headings that the cursor passes over."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cellar_tui.tui.widgets.lines import Lines, Painter, Row


class Sections(Lines[Row]):
    """Rows under headings; `heads` says which rows are headings."""

    def __init__(self, painter: Painter[Row], heads: Callable[[Row], bool], *, id: str | None = None) -> None:
        super().__init__(painter, id=id)
        self.heads = heads

    def _beside(self, index: int, step: int) -> int:
        """Return the row nearest to a place that is no heading, first in the direction of the move."""
        places = [i for i, row in enumerate(self.rows) if not self.heads(row)]
        ahead = [i for i in places if (i - index) * step >= 0]
        return min(ahead or places, key=lambda i: abs(i - index), default=0)

    def show_rows(self, rows: Sequence[Row], cursor: int = 0) -> None:
        """Show other rows, with the cursor on one of them."""
        self.rows = rows
        super().show_rows(rows, self._beside(cursor, 1))

    def select(self, index: int) -> None:
        """Put the cursor on a row; a heading is passed over."""
        super().select(self._beside(index, 1 if index >= self.cursor else -1))

    def _keep_in_sight(self) -> None:
        """Keep the cursor in sight, and a heading with the first row below it."""
        if not self.size.height:
            return
        super()._keep_in_sight()
        above = self.cursor - 1
        if self.size.height > 1 and above >= 0 and self.scroll_offset.y > above and self.heads(self.rows[above]):
            self.scroll_to(y=above, animate=False, force=True)
