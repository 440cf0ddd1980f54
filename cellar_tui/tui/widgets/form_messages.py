"""What a form tells the screen that it is docked in."""

from __future__ import annotations

from textual.message import Message

from cellar_tui.service.views import Answer
from cellar_tui.tui.widgets.form_work import Work


class Recorded(Message):
    """An entry was kept."""

    def __init__(self, answer: Answer) -> None:
        super().__init__()
        self.answer = answer


class Why(Message):
    """The working of what the form shows is asked for."""

    def __init__(self, work: Work) -> None:
        super().__init__()
        self.work = work


class Closed(Message):
    """The form was closed without an entry; `kept` says that a draft stays."""

    def __init__(self, kept: bool) -> None:
        super().__init__()
        self.kept = kept
