"""The fields of a form, one under the other, in a room that may be lower than they are."""

from __future__ import annotations

from textual.containers import VerticalScroll
from textual.screen import Screen

from cellar_tui.tui.widgets.field_row import FieldRow


class FieldList(VerticalScroll):
    """Rows of fields of which the one with the cursor stands in the middle.

    What is in sight follows from the cursor and the room there is, after every layout: the way to a field, and
    how fast it was gone, leave no trace.
    """

    DEFAULT_CSS = "FieldList { scrollbar-size-vertical: 1; }"

    def on_mount(self) -> None:
        """Follow every layout of the screen."""
        self.screen.screen_layout_refresh_signal.subscribe(self, self._follow)

    def _follow(self, _: Screen[object]) -> None:
        for row in self.query(FieldRow):
            if row.display and row.is_active:
                row.to_middle()
