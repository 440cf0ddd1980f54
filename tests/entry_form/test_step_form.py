"""Something new under way, page by page: what is offered, what is asked next, and what is left as a draft."""

from __future__ import annotations

from cellar_tui.entry_form.newcomer import NewVessel, NewWine
from cellar_tui.entry_form.step_form import StepForm
from cellar_tui.ledger.cellar_kinds import Vessel, WineStart
from cellar_tui.service.open import OpenCellar
from tests.entry_form.hands import press


def vessel(service: OpenCellar) -> StepForm:
    return StepForm(service, NewVessel(service))


def wine(service: OpenCellar) -> StepForm:
    return StepForm(service, NewWine(service))


def answer(form: StepForm, *texts: str) -> StepForm:
    """Answer question after question; an empty text leaves what is offered."""
    for text in texts:
        press(form, *text)
        form.advance()
    return form


def state(form: StepForm) -> str:
    return form.state


def newest(service: OpenCellar) -> object:
    return max(service.view.ledger(), key=lambda one: one.entry.seq).entry.body


def test_what_is_offered_is_taken_by_enter_alone_and_looks_like_an_offer(service: OpenCellar) -> None:
    form = vessel(service)
    assert all(one.is_offered for one in form.fields if one.text)
    answer(form, "oak", "", "56", "")
    assert form.state == "recorded"
    assert newest(service) == Vessel("Barrel 1", 56.0, "oak", "back wall")


def test_an_answer_changes_what_is_asked_and_offered_next(service: OpenCellar) -> None:
    form = vessel(service)
    press(form, *"steel")
    assert [one.name for one in form.fields] == ["material", "name", "capacity", "lid", "place"]
    form.advance()
    assert form.fields[0].line.text == "steel"
    assert form.fields[1].line.text == "Tank 1"


def test_a_wine_is_begun_over_three_pages(service: OpenCellar) -> None:
    form = answer(wine(service), "Hill", "dry w", "", "20")
    assert form.page == 1
    answer(form, "fin", *[""] * 6, *[""] * 3)
    assert form.state == "recorded"
    body = newest(service)
    assert isinstance(body, WineStart)
    assert (body.name, body.style, body.volume, body.finished) == ("Hill", "dry_white", 20.0, True)


def test_what_is_wrong_is_said_in_the_words_of_its_question_and_holds_the_cursor(service: OpenCellar) -> None:
    form = answer(wine(service), "Hill", "", "", "lots")
    assert (form.page, form.field.name, form.field.wrong) == (0, "volume", True)
    assert "number" in form.fault()
    assert "_" not in form.fault()


def test_a_second_enter_of_a_slip_records_nothing(service: OpenCellar) -> None:
    form = answer(vessel(service), "glass", "", "5")
    form.advance(again=True)
    assert state(form) == "open"
    form.advance()
    assert state(form) == "recorded"


def test_questions_that_were_left_come_back_with_their_cursor(service: OpenCellar) -> None:
    left = press(answer(wine(service), "Hill", "rose"), "escape")
    assert left.field.name == "vessel"
    left.back()
    assert (left.state, left.kept) == ("closed", True)
    again = wine(service)
    assert (again.answers["name"], again.answers["style"]) == ("Hill", "rose")
    assert again.field.name == "vessel"
    assert "As you left it" in again.told


def test_nothing_typed_is_no_draft(service: OpenCellar) -> None:
    form = vessel(service)
    form.back()
    assert not form.kept
    assert vessel(service).told == ""
