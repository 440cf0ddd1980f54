"""The driver of the terminal, which sends only the cells that differ from what stands there."""

from __future__ import annotations

from typing import Any

from textual.drivers.linux_driver import LinuxDriver

from cellar_tui.tui.shown_cells import ShownCells


class FrugalDriver(LinuxDriver):
    """The library's driver with a memory of the screen."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.shown = ShownCells()

    def write(self, data: str) -> None:
        """Send what of a drawing differs from what the terminal shows."""
        if sent := self.shown.feed(data):
            super().write(sent)
