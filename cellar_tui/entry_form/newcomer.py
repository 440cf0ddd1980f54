"""What is entered step by step: a new vessel, and a new wine in an empty one."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from typing import ClassVar

from cellar_tui.entry_form import questions
from cellar_tui.entry_form.fields import bare_units
from cellar_tui.entry_form.open_form import Form
from cellar_tui.entry_form.questions import Page
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError, SaveResult


class Newcomer(ABC):
    """What is asked of something new, and how it is weighed and recorded.

    Attributes:
        kind, title: kind of its entry, and its name above the questions.
        lines: the cellar as it is.
    """

    kind: ClassVar[str]
    title: ClassVar[str]

    def __init__(self, service: OpenCellar) -> None:
        self.service = service
        self.refresh()

    def refresh(self) -> None:
        """Look at the cellar again: another program has recorded something."""
        self.lines = self.service.view.board().lines

    @abstractmethod
    def pages(self, answers: Mapping[str, str]) -> tuple[Page, ...]:
        """Return what is asked, as far as it follows from what is answered."""

    @abstractmethod
    def save(self, fields: dict[str, str], key: bytes, *, preview: bool) -> SaveResult:
        """Record the answers, or with `preview` return what that would do.

        Raises:
            CellarError: what is answered so far cannot be an entry.
        """


class NewVessel(Newcomer):
    """A vessel is entered."""

    kind = "vessel"
    title = "New vessel"

    def pages(self, answers: Mapping[str, str]) -> tuple[Page, ...]:
        """Return what is asked of a vessel."""
        return questions.vessel_pages(answers, self.lines, self.service.view.units)

    def save(self, fields: dict[str, str], key: bytes, *, preview: bool) -> SaveResult:
        """Record the vessel."""
        bare = bare_units(self.service.view.units)
        return self.service.recorder.add_vessel(fields, key=key, preview=preview, bare=bare)


class NewWine(Newcomer):
    """A wine starts in an empty vessel."""

    kind = "wine"
    title = "New wine"

    def refresh(self) -> None:
        """Look at the cellar, and at the vessel chosen, again."""
        super().refresh()
        self._form: Form | None = None

    def pages(self, answers: Mapping[str, str]) -> tuple[Page, ...]:
        """Return what is asked of a wine."""
        return questions.wine_pages(answers, self.lines, self.service.view.units)

    def save(self, fields: dict[str, str], key: bytes, *, preview: bool) -> SaveResult:
        """Record the wine in the vessel chosen."""
        vessel, at = fields.pop("vessel", ""), fields.pop("at", "")
        if not vessel:
            raise CellarError("vessel is missing.", field="vessel")
        if self._form is None or self._form.target != vessel:
            self._form = Form(self.service, vessel, key=key, bare=bare_units(self.service.view.units))
        weigh = self._form.preview if preview else self._form.record
        return weigh(self.kind, fields, at)
