"""A bench trial under way: it follows its material, keeps what the glasses showed, and says what it would record."""

from __future__ import annotations

import pytest

from cellar_tui.entry_form.trial_form import TrialForm
from cellar_tui.ledger.kinds import Trial
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Request
from tests.entry_form.hands import go_to, press


def trial(service: OpenCellar) -> TrialForm:
    return TrialForm(service, "Demijohn 1", "100")


def newest(service: OpenCellar) -> object:
    entry = service.last_by("ida")
    assert entry is not None
    return entry.body


@pytest.mark.parametrize(
    ("typed", "material", "doses", "unit", "stock"),
    [
        ("be", "bentonite", "0 25 50 75 100", "g/hL", "5"),
        ("tart", "tartaric acid", "0 0.25 0.5 0.75 1", "g/L", "10"),
        ("sug", "sugar", "0 10 20 30 40", "g/L sugar", "50"),
        ("copper", "copper sulfate", "0 0.05 0.1 0.15 0.2", "mg/L copper", "0.004"),
    ],
)
def test_unit_doses_and_stock_follow_the_material_of_which_the_beginning_is_typed(
    service: OpenCellar, typed: str, material: str, doses: str, unit: str, stock: str
) -> None:
    tried = press(trial(service), *typed, "tab")
    assert tried.fields[0].line.text == material
    assert (tried.texts()["doses"], tried.fields[1].beside, tried.texts()["stock"]) == (doses, unit, stock)
    assert tried.fields[1].is_offered


def test_a_sweetness_chosen_in_the_glass_is_recorded_and_wished_from_then_on(service: OpenCellar) -> None:
    tried = press(trial(service), *"sugar", "tab", *"0 15 28", "tab")
    press(go_to(tried, "glass 15"), *"ends sour", "enter", *"round")
    press(go_to(tried, "chosen"), *"28", "enter")
    assert tried.recorded is not None
    assert newest(service) == Trial("sugar", (0, 15, 28), 28, "15 ends sour; 28 round", "g/L")
    assert trial(service).trial.wished == 28


def test_glasses_stand_around_the_sweetness_that_is_wished(service: OpenCellar) -> None:
    service.recorder.record(Request("Demijohn 1", "intent", {"sweetness": "28"}))
    assert press(trial(service), *"sugar", "tab").texts()["doses"] == "0 14 21 28 35"


def test_doses_that_somebody_typed_stay_when_the_material_changes(service: OpenCellar) -> None:
    tried = press(trial(service), *"be", "tab", *"0 40 80", "shift+tab", *"gel", "tab")
    assert tried.texts()["doses"] == "0 40 80"
    assert tried.texts()["stock"] == "1"


def test_what_a_glass_showed_stays_with_its_dose(service: OpenCellar) -> None:
    tried = press(go_to(press(trial(service), *"be", "tab"), "glass 50"), *"clear")
    press(go_to(tried, "doses"), *"40 50", "tab")
    assert tried.texts()["glass 50"] == "clear"
    press(go_to(tried, "doses"), *"40 60", "tab")
    assert tried.entry_texts()["results"] == ""


def test_an_unknown_material_and_a_trial_without_a_dose_take_a_second_enter_each(service: OpenCellar) -> None:
    tried = press(trial(service), *"bentonit x", "tab", *"0 20", "tab")
    press(go_to(tried, "stock"), *"5")
    press(go_to(tried, "chosen"), "enter")
    assert "is no material of the list. Did you mean bentonite" in tried.told
    press(tried, "enter")
    assert "No dose is chosen" in tried.told
    press(tried, "enter")
    assert newest(service) == Trial("bentonit x", (0, 20))


def test_a_dose_that_no_glass_ever_needs_is_not_recorded(service: OpenCellar) -> None:
    before = service.entries()
    tried = press(go_to(press(trial(service), *"copper", "tab"), "chosen"), *"2", "enter")
    assert "Nothing was recorded: dose 2 mg/L is outside 0 to 1 mg/L" in tried.told
    assert service.entries() == before


def test_a_trial_that_was_not_recorded_comes_back_with_its_cursor(service: OpenCellar) -> None:
    left = press(go_to(press(trial(service), *"be", "tab"), "glass 25"), *"faint haze", "left", "left")
    assert left.keep()
    back = trial(service)
    assert (back.field.name, back.field.line.text, back.field.line.cursor) == ("glass 25", "faint haze", 8)


def test_a_recorded_trial_that_is_changed_is_another_one(service: OpenCellar) -> None:
    tried = press(go_to(press(trial(service), *"be", "tab"), "chosen"), *"50", "enter")
    count = service.entries()
    press(tried, "enter")
    assert service.entries() == count
    press(tried, "backspace", "backspace", *"75", "enter")
    assert service.entries() == count + 1
    assert newest(service) == Trial("bentonite", (0, 25, 50, 75, 100), 75)
