"""The full-screen program: colours, wiring, and what happens when the line drops."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable, Sequence
from contextlib import suppress
from functools import partial
from time import monotonic
from typing import Any, ClassVar

from textual import events
from textual.app import App, SystemCommand
from textual.filter import LineFilter
from textual.screen import Screen, SystemModalScreen
from textual.widgets import Static

from cellar_tui.entry_form.typed_line import Pace, Press
from cellar_tui.language import quantities
from cellar_tui.language.layout import column, joined
from cellar_tui.service import state_folder
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError, waiting
from cellar_tui.tui import keyboard, preferences, terminal
from cellar_tui.tui.boundary import REFUSALS, SpeaksErrors, tell
from cellar_tui.tui.frugal_driver import FrugalDriver
from cellar_tui.tui.keys import keys_of
from cellar_tui.tui.leaving import Leaving
from cellar_tui.tui.screens.home import HomeScreen
from cellar_tui.tui.screens.list_screen import ListScreen
from cellar_tui.tui.widgets import themes
from cellar_tui.tui.widgets.cells import ControlFilter, PaletteFilter, label
from cellar_tui.tui.widgets.takes_keys import TakesKeys

BROKEN = (
    "The program met an error and ended. What was recorded is in the cellar's file, what was typed is kept as a draft: "
    "start it again, and run `cellar-tui check`."
)
UNKNOWN = "{} does nothing here: ? shows the keys."
NO_DRAFTS = "The state folder cannot be written: what is typed is lost if the line drops."
REDRAW = "ctrl+l"
"""The key that draws the screen again, also while something is typed."""
FIRST = 2
"""Screens that lie on each other where the list of the cellar is on top: the library's own and that."""
POLL = 1.0
"""Seconds between looks for what another program has recorded."""
FRAME = 0.25
"""Seconds of keys in a row after which the next one waits for the screen to be drawn, or for as long again."""


class CellarApp(SpeaksErrors, App[int]):
    """The cellar on the screen; service and clock are handed in."""

    TITLE = "cellar"
    CSS_PATH: ClassVar[str] = "app.tcss"
    AUTO_FOCUS = None

    def __init__(self, service: OpenCellar, *, title: str, invented: bool = False, wall: bool = False) -> None:
        # In the terminal's own colours nothing is mixed, so that NO_COLOR leaves letters on their ground.
        plain = terminal.plain_colours()
        # A server of such programs has named a driver of its own; then the library takes that one.
        driver = None if terminal.served() else FrugalDriver
        super().__init__(driver_class=driver, ansi_color=True if plain else None)
        self.service = service
        self.cellar_title = title
        self.invented = invented
        self.on_wall = wall
        self.keys_seen = 0
        self._units_asked = False
        self.window_name = ""
        self.pace = Pace()
        self._drawn = 0.0
        self.walls: list[LineFilter] = [PaletteFilter(), ControlFilter()]
        self.leaving = Leaving(self.leave, self.keep_drafts)
        self.day = service.view.today
        for theme in themes.THEMES:
            self.register_theme(theme)
        chosen = preferences.kept(service.by, "colours")
        self.theme = chosen if themes.fits(chosen, plain=plain) else themes.of_ground(terminal.ground(), plain=plain)

    def on_mount(self) -> None:
        """Listen for the end of the line, and open the cellar."""
        if not self.is_headless:
            self.leaving.attach(asyncio.get_running_loop())
            self.service.on_wait(self.say_waiting)
            self.set_interval(POLL, self._watch_terminal)
        self.set_interval(POLL, self.poll)
        home = HomeScreen(self.service, self.cellar_title, invented=self.invented)
        self.push_screen(home)
        if self.on_wall:
            home.action_wall()
        self.call_after_refresh(self.warn)
        self.call_after_refresh(self.name_window)
        if not state_folder.usable():
            home.call_after_refresh(home.say, NO_DRAFTS)

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Return what is done to every line drawn; the last wall lets no control character through."""
        return [*super().get_line_filters(), *self.walls]

    async def on_event(self, event: events.Event) -> None:
        """Deal with a key here, from beginning to end; the library would hand it on to a queue of each widget."""
        if isinstance(event, events.Resize) and isinstance(self._driver, FrugalDriver):
            # A terminal that changes its size may wrap or cut what it shows.
            self._driver.shown.forget()
        ours = isinstance(event, (events.Key, events.Paste)) and not isinstance(self.screen, SystemModalScreen)
        if isinstance(event, events.Key) and not event.is_forwarded:
            self.keys_seen += 1
        if isinstance(event, (events.Key, events.Paste)) and ours and not event.is_forwarded:
            await self._take(event)
        else:
            await super().on_event(event)

    async def _take(self, event: events.Key | events.Paste) -> None:
        """Take one key before the next one is looked at: none overtakes another, and none is lost.

        A screen that is still being built gets it when it is there. What is being typed in has the first word.
        """
        screen = self.screen
        await screen._mounted_event.wait()
        if isinstance(event, events.Paste):
            press = Press("paste", event.text)
        else:
            press = self.pace.press(event.key, event.character or "", event.time)
        if press.key == REDRAW:
            self.action_redraw()
            return
        typing = isinstance(screen, TakesKeys) and screen.take(press)
        if not typing and press.key != "paste":
            known = await self._check_bindings(press.key, priority=True) or await self._check_bindings(press.key)
            if not known and isinstance(screen, ListScreen) and press.text.isprintable() and press.text.strip():
                screen.say(UNKNOWN.format(press.text))
        self._load_units()
        await self._draw_between()

    async def _draw_between(self) -> None:
        """Let the screen be drawn between two keys; while more of them wait, wait for it a few times a second."""
        await asyncio.sleep(0)
        if self._message_queue.empty():
            self._drawn = monotonic()
        if monotonic() - self._drawn < FRAME:
            return
        drawn = asyncio.Event()
        self.screen.call_after_refresh(drawn.set)
        with suppress(TimeoutError):
            await asyncio.wait_for(drawn.wait(), FRAME)
        self._drawn = monotonic()

    def _load_units(self) -> None:
        """Have units loaded in the background once an amount may be typed: in a form, or off the list of the cellar."""
        if self._units_asked or self.is_headless:
            return
        # A screen that was just opened may have no form yet: only the list, which has been drawn, is asked for its own.
        listed = self.screen if len(self.screen_stack) == FIRST else None
        if not isinstance(listed, ListScreen) or listed.panel.is_open:
            self._units_asked = True
            self.run_worker(quantities.warm, thread=True, exit_on_error=False)

    def get_system_commands(self, screen: Screen[Any]) -> Iterable[SystemCommand]:
        """Yield every command of the place by name, and the colours."""
        from cellar_tui.tui import outward

        if isinstance(screen, ListScreen):
            for one in keys_of(screen.PLACE):
                if not (self.service.read_only and one.writes) and one.id != "palette":
                    yield SystemCommand(one.label.capitalize(), one.help, partial(screen.run_action, one.action))
            yield from outward.commands(screen)
        for name, theme in themes.NAMES.items():
            yield SystemCommand(f"Colours: {name}", f"take {name} colours", partial(self.take_colours, theme))

    def action_files(self) -> None:
        """Show what can leave the cellar as a file, and what a file can bring in."""
        from cellar_tui.tui import outward

        if isinstance(self.screen, ListScreen):
            outward.show(self.screen)

    def action_redraw(self) -> None:
        """Draw the whole screen again, whatever another program has written over it."""
        if isinstance(self._driver, FrugalDriver):
            self._driver.shown.forget()
        self.screen.refresh(layout=True)

    def take_colours(self, theme: str) -> None:
        """Take other colours, now and whenever this person opens the program in such a terminal."""
        self.theme = theme
        preferences.keep(self.service.by, "colours", theme)

    def poll(self) -> None:
        """Show what another program has recorded, and the new day at midnight."""
        try:
            moved, today = self.service.changed(), self.service.view.today
            self.warn()
            self.name_window()
        except CellarError:
            # The other program is writing this moment: the next look tells.
            return
        if moved or today != self.day:
            self.day = today
            for screen in self.screen_stack:
                refresh = getattr(screen, "refresh_from_service", None)
                if refresh is not None and screen.is_mounted:
                    refresh()

    def warn(self) -> None:
        """Say at the head of every screen what puts all of it in doubt: a wrong clock, a damaged board."""
        told = " ".join(self.service.warnings)
        for screen in self.screen_stack:
            found = screen.query("#warning")
            if told and not found and screen.is_mounted:
                screen.mount(Static(label(told), id="warning"), before=0)
            elif told and found:
                found.first(Static).update(label(told))
            elif found:
                found.remove()

    def say_waiting(self, who: str) -> None:
        """Say in the last line for whom a save waits.

        The save has the thread, so that nothing is drawn: the line is written past the library, which draws the
        place again afterwards.
        """
        if self._driver is not None:
            told = column(waiting(who), self.size.width)
            self._driver.write(terminal.at_the_foot(told, self.size.height))
            self._driver.flush()
            self.call_later(self.screen.refresh)

    def name_window(self) -> None:
        """Name cellar and vessel in the title of the terminal's window."""
        vessel = getattr(self.screen, "vessel", "") if self.screen_stack else ""
        name = joined((self.cellar_title, str(vessel or "")))
        if name != self.window_name and self._driver is not None and not self.is_headless:
            self.window_name = name
            self._driver.write(terminal.titled(name))

    def _watch_terminal(self) -> None:
        if terminal.gone():
            self.leave(1)

    def leave(self, status: int) -> None:
        """Keep what is typed and end."""
        if not self.is_headless:
            self.leaving.watch(status)
        self.keep_drafts()
        self.exit(return_code=status)

    def keep_drafts(self) -> None:
        """Keep what is typed on every screen."""
        for screen in self.screen_stack:
            save = getattr(screen, "save_draft", None)
            if save is not None:
                save()

    async def action_quit(self) -> None:
        """Leave the program; what is typed is kept."""
        self.leave(0)

    def _handle_exception(self, error: Exception) -> None:
        if isinstance(error, REFUSALS):  # from what was put off to the end of a turn
            tell(self, error)
            return
        if self.is_headless:
            super()._handle_exception(error)
            return
        path = terminal.log_crash(error)
        with suppress(Exception):
            self.keep_drafts()
        where = f" Where it broke is written in {path}, without a word of your wines." if path else ""
        self.exit(return_code=1, message=f"{BROKEN}{where}")


def run_app(service: OpenCellar, *, title: str, invented: bool = False, wall: bool = False) -> int:
    """Run the full-screen program until it is left, `wall` from the wall display; return the exit status."""
    keyboard.take_over()
    app = CellarApp(service, title=title, invented=invented, wall=wall)
    app.leaving.listen()
    with terminal.title_kept():
        app.run(mouse=False)
    app.leaving.ended()
    return app.leaving.told or app.return_code or 0
