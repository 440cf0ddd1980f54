"""The yardstick of a start: an app of the framework with a table of twenty rows and nothing else."""

from __future__ import annotations

from textual.app import App, ComposeResult
from textual.widgets import DataTable


class Bare(App[None]):
    """Twenty rows of a vessel each."""

    def compose(self) -> ComposeResult:
        """Yield the table."""
        yield DataTable(cursor_type="row")

    def on_mount(self) -> None:
        """Fill it."""
        table = self.query_one(DataTable)
        table.add_columns("Vessel", "Wine", "L", "pH", "Free", "Next", "Due", "Place")
        table.add_rows(
            (f"Demijohn {n}", f"Wine {n}", "22.7", "3.31", "31", "rack", "Tue 3", "back wall") for n in range(20)
        )


if __name__ == "__main__":
    Bare().run()
