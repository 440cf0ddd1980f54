"""What the cellar refuses becomes a sentence on the screen that asked, and the program goes on."""

from __future__ import annotations

from textual.app import App
from textual.message import Message
from textual.message_pump import MessagePump

from cellar_tui.enology.errors import CalcError
from cellar_tui.service.views import CellarError

REFUSALS = (CellarError, CalcError)
"""What the service and a calculation refuse: bad input, a file that cannot be used, a figure out of its range."""


def tell(app: App[int], error: Exception) -> None:
    """Say on the screen in front what was refused."""
    say = getattr(app.screen, "say", None)
    if say is not None:
        say(str(error))
    else:
        app.notify(str(error), severity="warning", markup=False)


class SpeaksErrors(MessagePump):
    """Mixed into whatever handles messages: a refusal ends the handler, not the program.

    The framework ends the program on any error that leaves a handler; this is the one place through which every
    event, key, timer and message of a screen or widget goes.
    """

    async def _dispatch_message(self, message: Message) -> None:
        try:
            await super()._dispatch_message(message)
        except REFUSALS as error:
            tell(self.app, error)
