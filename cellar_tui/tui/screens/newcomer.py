"""A new vessel and a new wine, step by step."""

from __future__ import annotations

from collections.abc import Mapping

from cellar_tui.entry_form.fields import bare_units
from cellar_tui.entry_form.open_form import Form
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import CellarError, SaveResult
from cellar_tui.tui.screens import questions
from cellar_tui.tui.screens.questions import Page
from cellar_tui.tui.screens.steps import StepScreen


class NewVesselScreen(StepScreen):
    """A vessel is entered."""

    KIND = "vessel"
    TITLE = "New vessel"

    def pages(self) -> tuple[Page, ...]:
        """Return what is asked of a vessel."""
        return questions.vessel_pages(self.texts, self.lines, self.service.view.units)

    def weigh(self) -> SaveResult:
        """Return what Enter would record."""
        return self._add(preview=True)

    def keep(self) -> SaveResult:
        """Record the vessel."""
        return self._add(preview=False)

    def _add(self, *, preview: bool) -> SaveResult:
        fields = questions.fields_of(self.texts, self.pages())
        bare = bare_units(self.service.view.units)
        return self.service.recorder.add_vessel(fields, key=self.key, preview=preview, bare=bare)


class NewWineScreen(StepScreen):
    """A wine is begun in an empty vessel."""

    KIND = "wine"
    TITLE = "New wine"

    def __init__(self, service: OpenCellar, vessel: str | None = None) -> None:
        super().__init__(service, {} if vessel is None else {"vessel": vessel})
        self.form: Form | None = None

    def pages(self) -> tuple[Page, ...]:
        """Return what is asked of a wine."""
        return questions.wine_pages(self.texts, self.lines, self.service.view.units)

    def _told(self) -> tuple[Form, Mapping[str, str], str]:
        """Return the form of the vessel chosen, the fields of the entry and its day."""
        fields = questions.fields_of(self.texts, self.pages())
        vessel, at = fields.pop("vessel", ""), fields.pop("at", "")
        if not vessel:
            raise CellarError("vessel is missing.", field="vessel")
        if self.form is None or self.form.target != vessel:
            self.form = Form(self.service, vessel, key=self.key, bare=bare_units(self.service.view.units))
        return self.form, fields, at

    def weigh(self) -> SaveResult:
        """Return what Enter would record."""
        form, fields, at = self._told()
        return form.preview(self.KIND, fields, at)

    def keep(self) -> SaveResult:
        """Record the wine."""
        form, fields, at = self._told()
        return form.record(self.KIND, fields, at)

    def refresh_from_service(self) -> None:
        """Another program has recorded something: look at the vessel anew."""
        self.form = None
        super().refresh_from_service()
