"""The full-screen program: theme, wiring, and what happens when the line drops."""

from __future__ import annotations

import asyncio
import codecs
import os
import signal
from typing import ClassVar

from textual.app import App
from textual.drivers import linux_driver
from textual.theme import Theme

from cellar_tui import quantities, terminal
from cellar_tui.cellar import Service
from cellar_tui.screens.home import HomeScreen
from cellar_tui.views import CellarError
from cellar_tui.widgets.cells import ControlFilter

DARK = Theme(
    name="cellar-dark", primary="#c9a24b", secondary="#8fb0a9", background="#14110f", surface="#1f1b18",
    panel="#2a2420", foreground="#ece5da", warning="#f0b65a", error="#ff8f7a", success="#9fcf8a", accent="#c9a24b",
    dark=True, variables={"block-cursor-background": "#ecd9a8", "block-cursor-foreground": "#14110f"},
)  # fmt: skip
POLL = 1.0
"""Seconds between looks for what another program has recorded."""


class CellarApp(App[int]):
    """The cellar on the screen; service and clock are handed in."""

    TITLE = "cellar"
    ENABLE_COMMAND_PALETTE = False
    CSS_PATH: ClassVar[str] = "app.tcss"

    def __init__(self, service: Service, *, title: str, invented: bool = False) -> None:
        super().__init__()
        self.service = service
        self.cellar_title = title
        self.invented = invented
        # A second wall behind the cleaning of text: the library offers no public place for it.
        self._filters.append(ControlFilter())

    def on_mount(self) -> None:
        """Choose colours, listen for the end of the line, and open the cellar."""
        self.register_theme(DARK)
        self.theme = "ansi-dark" if terminal.plain_colours() else "cellar-dark"
        if not self.is_headless:
            loop = asyncio.get_running_loop()
            for number in (signal.SIGHUP, signal.SIGTERM):
                loop.add_signal_handler(number, self.leave, 128 + number)
            self.set_interval(POLL, self._watch_terminal)
        self.set_interval(POLL, self._poll)
        self.push_screen(HomeScreen(self.service, self.cellar_title, invented=self.invented))
        self.run_worker(self._warm, thread=True, exit_on_error=False)

    def _warm(self) -> None:
        quantities.warm()

    def _poll(self) -> None:
        try:
            moved = self.service.changed()
        except CellarError:
            return
        if moved:
            for screen in self.screen_stack:
                refresh = getattr(screen, "refresh_from_service", None)
                if refresh is not None:
                    refresh()

    def _watch_terminal(self) -> None:
        if terminal.gone():
            self.leave(1)

    def leave(self, status: int) -> None:
        """Keep what is typed and end."""
        for screen in self.screen_stack:
            save = getattr(screen, "save_draft", None)
            if save is not None:
                save()
        self.exit(return_code=status)

    def _handle_exception(self, error: Exception) -> None:
        if self.is_headless:
            super()._handle_exception(error)
            return
        path = terminal.log_crash(error)
        where = f" (details in {path})" if path else ""
        self.exit(return_code=1, message=f"The program met an error and ended; nothing recorded is lost{where}.")


def forgiving_input() -> None:
    """Let a byte that is no text come in as a mark, where the library would end the program."""
    def decoder(encoding: str) -> type[codecs.IncrementalDecoder]:
        kind = codecs.getincrementaldecoder(encoding)

        class Forgiving(kind):  # type: ignore[misc, valid-type]
            def __init__(self, errors: str = "replace") -> None:
                super().__init__("replace")

        return Forgiving

    vars(linux_driver)["getincrementaldecoder"] = decoder


def run_app(service: Service, *, title: str, invented: bool = False) -> int:
    """Run the full-screen program until it is left; return the exit status."""
    forgiving_input()
    os.environ.pop("TEXTUAL_DEBUG", None)
    app = CellarApp(service, title=title, invented=invented)
    app.run(mouse=False)
    return app.return_code or 0
