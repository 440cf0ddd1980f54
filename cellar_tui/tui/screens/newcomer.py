"""A new vessel and a new wine, step by step."""

from __future__ import annotations

from cellar_tui.entry_form.newcomer import NewVessel, NewWine
from cellar_tui.entry_form.step_form import StepForm
from cellar_tui.service.open import OpenCellar
from cellar_tui.tui.screens.steps import StepScreen


class NewVesselScreen(StepScreen):
    """A vessel is entered."""

    def __init__(self, service: OpenCellar) -> None:
        super().__init__(service, StepForm(service, NewVessel(service)))


class NewWineScreen(StepScreen):
    """A wine starts in an empty vessel, in the one named where one is."""

    def __init__(self, service: OpenCellar, vessel: str | None = None) -> None:
        known = {} if vessel is None else {"vessel": vessel}
        super().__init__(service, StepForm(service, NewWine(service), known))
