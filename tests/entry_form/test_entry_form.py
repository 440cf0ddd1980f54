"""An entry under way, without a terminal: what follows from what is typed, what it says, and what it records."""

from __future__ import annotations

import pytest

from cellar_tui.entry_form.entry_form import EntryForm, Opening
from cellar_tui.ledger.kinds import Addition, Check, Reading, Trial
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Request
from tests.entry_form.hands import go_to, press


def form(service: OpenCellar, kind: str, **opening: object) -> EntryForm:
    return EntryForm(service, "Demijohn 1", kind, Opening(**opening))  # type: ignore[arg-type]


def state(typed: EntryForm) -> str:
    return typed.state


def newest(service: OpenCellar) -> object:
    entry = service.last_by("ida")
    assert entry is not None
    return entry.body


def test_the_amount_follows_the_aim_and_goes_with_it(service: OpenCellar) -> None:
    typed = press(form(service, "addition"), "tab", *"30")
    typed.settle()
    assert float(typed.texts()["amount"]) > 0
    press(typed, "ctrl+u")
    typed.settle()
    assert typed.texts()["amount"] == ""


def test_the_aim_follows_the_amount_and_goes_with_it(service: OpenCellar) -> None:
    typed = press(form(service, "addition"), *"2")
    typed.settle()
    assert float(typed.texts()["reach"]) > 8
    press(typed, "backspace")
    typed.settle()
    assert typed.texts()["reach"] == ""


def test_what_follows_does_not_depend_on_the_way_it_was_typed(service: OpenCellar) -> None:
    straight, around = form(service, "addition"), form(service, "addition")
    press(straight, *"2")
    for key in (*"2000", "backspace", "backspace", "backspace"):
        press(around, key)
        around.settle()
    straight.settle()
    assert straight.texts() == around.texts()
    assert [one.name for one in straight.fields] == [one.name for one in around.fields]


@pytest.mark.parametrize("typed", ["sulfite", "Campden", "meta", "k-meta", "bisulphite", "potassium meta"])
def test_a_name_of_the_trade_means_the_material(service: OpenCellar, typed: str) -> None:
    filled = go_to(form(service, "addition"), "material")
    press(filled, *typed, "tab")
    assert filled.texts()["material"] == "potassium_metabisulfite"
    assert filled.fields[0].line.text == "potassium metabisulfite"


def test_an_unknown_material_is_named_with_the_nearest_before_it_is_recorded(service: OpenCellar) -> None:
    filled = go_to(form(service, "addition"), "material")
    press(filled, *"potasium metabisulfit")
    press(go_to(filled, "amount"), *"2", "enter")
    assert state(filled) == "open"
    assert "Did you mean potassium metabisulfite" in filled.told
    press(filled, "enter")
    assert state(filled) == "recorded"
    assert newest(service) == Addition(material="potasium metabisulfit", amount=2.0)


def test_p_is_a_pass_and_tab_writes_the_word_out(service: OpenCellar) -> None:
    checked = press(form(service, "check"), *"clar", "tab", *"p", "enter")
    assert checked.state == "recorded"
    assert newest(service) == Check(test="clarity", result="pass")


def test_a_form_speaks_like_a_form(service: OpenCellar) -> None:
    wished = go_to(form(service, "intent"), "finish_sg")
    press(wished, *"7", "tab")
    assert "finish sg 7 cannot be right" in wished.told.casefold()
    styled = press(form(service, "intent"), *"zz", "tab")
    assert "_" not in wished.told + styled.told
    assert "dry white malolactic" in styled.told


def test_a_draft_belongs_to_its_action_and_to_its_wine(service: OpenCellar) -> None:
    level = press(form(service, "reading", action="ph_check"), *"3.4", "escape")
    assert level.kept
    assert form(service, "reading", action="so2_recheck").texts()["ph"] == ""
    assert form(service, "reading").texts()["ph"] == ""
    assert form(service, "reading", action="ph_check").texts()["ph"] == "3.4"
    service.recorder.record(Request("Demijohn 1", "racking", {"to": "Demijohn 2", "volume": "22"}))
    service.recorder.start_wine(Request("Demijohn 1", "wine", {"name": "Moor", "style": "rose", "volume": "20"}))
    assert form(service, "reading", action="ph_check").texts()["ph"] == ""


def test_a_draft_comes_back_with_its_cursor_where_it_was(service: OpenCellar) -> None:
    press(form(service, "reading"), *"3.41", "left", "escape")
    again = form(service, "reading")
    press(again, "backspace", "2")
    assert again.texts()["ph"] == "3.21"


def test_a_changed_form_whose_entry_was_made_already_becomes_its_correction(service: OpenCellar) -> None:
    left = press(form(service, "reading"), *"3.3")
    left.keep()
    key = left.work.form.key
    service.recorder.record(Request("Demijohn 1", "reading", {"ph": "3.3"}, key=key))
    press(left, "backspace", "4", "enter")
    assert state(left) == "open"
    assert "Recorded already as entry" in left.told
    press(left, "enter")
    assert state(left) == "recorded"
    standing = [one.entry.body for one in service.view.ledger("Demijohn 1") if one.state == "standing"]
    assert Reading(ph=3.4) in standing
    assert Reading(ph=3.3) not in standing


def test_a_draft_of_an_entry_that_was_made_otherwise_comes_back_as_its_correction(service: OpenCellar) -> None:
    left = press(form(service, "reading"), *"3.4")
    left.keep()
    service.recorder.record(Request("Demijohn 1", "reading", {"ph": "3.3"}, key=left.work.form.key))
    back = form(service, "reading")
    assert back.work.amending is not None
    assert back.texts()["ph"] == "3.4"
    assert "Enter corrects it" in back.told


def test_an_entry_made_twice_from_one_form_is_recorded_once(service: OpenCellar) -> None:
    left = press(form(service, "reading"), *"3.3")
    service.recorder.record(Request("Demijohn 1", "reading", {"ph": "3.3"}, key=left.work.form.key))
    count = service.entries()
    press(left, "enter")
    assert state(left) == "recorded"
    assert service.entries() == count


def test_what_the_form_itself_writes_is_an_offer_until_it_is_typed_over(service: OpenCellar) -> None:
    filled = form(service, "addition")
    material = filled.fields[0]
    assert material.is_offered
    press(go_to(filled, "amount"), *"2")
    filled.settle()
    amount, reach = filled.fields[1], filled.fields[2]
    assert reach.is_offered
    assert not amount.is_offered
    press(go_to(filled, "material"), *"sugar")
    assert not material.is_offered


def test_a_long_list_of_words_is_offered_below_and_shrinks_as_one_is_begun(service: OpenCellar) -> None:
    checked = form(service, "check")
    assert "clarity" in checked.offers()
    assert "cold test" in checked.offers()
    press(checked, "c")
    assert "heat test" not in checked.offers()[:1]
    assert all(" c" in f" {one}" for one in checked.offers())
    press(checked, *"lar", "tab")
    assert checked.offers() == [], "pass, faint and fail stand beside their field"
    press(checked, "shift+tab")
    assert len(checked.offers()) > 10, "a word that is selected may be typed over by any"


def test_an_unknown_material_takes_a_second_enter_where_it_is_put_on_hand(service: OpenCellar) -> None:
    counted = EntryForm(service, "", "material", Opening(names=("name", "amount")))
    press(counted, *"bentonit x", "tab", *"5", "enter")
    assert state(counted) == "open"
    assert "bentonit x is no material of the list. Did you mean bentonite" in counted.told
    press(counted, "enter")
    assert state(counted) == "recorded"


def test_the_unit_of_a_trial_follows_its_material(service: OpenCellar) -> None:
    tried = form(service, "trial", names=("material", "doses", "chosen", "results"))
    assert tried.fields[2].beside == "g/hL"
    press(tried, *"sugar")
    assert [one.beside for one in tried.fields[1:3]] == ["g/L", "g/L"]
    press(tried, "tab", *"0 20 30", "tab", *"30", "enter")
    assert newest(service) == Trial("sugar", (0, 20, 30), 30, None, "g/L")


def test_the_correction_of_a_trial_is_counted_as_the_trial_was(service: OpenCellar) -> None:
    said = {"material": "tartaric_acid", "doses": "50 100", "chosen": "100", "unit": "g/hL"}
    service.recorder.record(Request("Demijohn 1", "trial", said))
    entry = service.last_by("ida")
    fixed = form(service, "trial", amend=entry)
    assert [one.beside for one in fixed.fields if one.name == "chosen"] == ["g/hL"]
    press(go_to(fixed, "chosen"), *"50", "enter")
    assert newest(service) == Trial("tartaric_acid", (50, 100), 50, None, "g/hL")
