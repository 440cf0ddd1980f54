"""Forms at the keyboard: every job ends in the ledger, and what was shown before Enter is what is kept."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from cellar_tui.entry_form import drafts, preview
from cellar_tui.entry_form.entry_form import Opening
from cellar_tui.ledger.kinds import Addition, Racking, Reading
from cellar_tui.service.open import OpenCellar, open_cellar
from cellar_tui.service.views import Request
from cellar_tui.tui.widgets.form_panel import NARROW
from tests.tui.form_desk import NOW, OTHER, WINE, cellar, count, field, opened, shown
from tests.tui.seen import flat
from tests.tui.typing import rest, write


@pytest.fixture
def service(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[OpenCellar]:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    made = cellar(tmp_path)
    yield made
    made.close()


def newest(service: OpenCellar) -> object:
    entry = service.last_by("ida")
    assert entry is not None
    return entry.body


async def test_a_reading_typed_field_by_field_is_kept_for_yesterday(service: OpenCellar) -> None:
    async with opened(service) as (pilot, panel):
        await pilot.press("r", *"21", "tab", *"3.45", "tab", "tab", *"titration", "ctrl+y", "enter")
        await pilot.pause()
        assert not panel.is_open
    entry = service.last_by("ida")
    assert entry is not None
    assert entry.on == date(2026, 11, 25)
    assert entry.body == Reading(ph=3.45, free_so2=21, method="titration")


async def test_every_number_and_date_before_enter_is_the_same_after_it(service: OpenCellar) -> None:
    async with opened(service, (100, 40)) as (pilot, panel):
        await pilot.press("a", *"1.5")
        await pilot.pause()
        assert panel.answer is not None
        before = panel.answer.outcomes[0]
        on_screen = shown(pilot, "#form-preview")
        await pilot.press("enter")
        await pilot.pause()
    kept = service.view.ledger(before.vessel, 1)[0].entry
    assert isinstance(kept.body, Addition)
    # The board after Enter is worked out anew from the file: it shows what the form had shown.
    line = next(one for one in service.view.board().lines if one.name == before.vessel)
    assert before.after is not None
    assert line.volume == before.after.volume_l
    assert line.so2 is not None
    assert (line.so2.free_so2, line.so2.molecular_so2) == (before.after.free_so2, before.after.molecular_so2)
    tasks = {one.action.rule: one.action.show for one in line.actions}
    for change in before.changes:
        assert tasks.get(change.action) == (change.now.action.show if change.now else None)
        assert preview.change(change, "metric").split(": ")[1] in " ".join(on_screen.split())


async def test_free_so2_aimed_at_gives_the_amount_while_it_is_typed(service: OpenCellar) -> None:
    async with opened(service) as (pilot, panel):
        await pilot.press("a", "tab", *"30")
        await pilot.pause()
        assert panel.answer is not None
        after = panel.answer.outcomes[0].after
        assert after is not None
        assert after.free_so2 == pytest.approx(30, abs=0.1)
        amount = float(field(panel, "amount"))
        await pilot.press("enter")
        await pilot.pause()
    body = newest(service)
    assert isinstance(body, Addition)
    assert body.amount == amount


async def test_molecular_so2_aimed_at_takes_the_ph_into_account(service: OpenCellar) -> None:
    async with opened(service) as (pilot, panel):
        await pilot.press("a", "tab", *"0.6 mol")
        await pilot.pause()
        assert panel.answer is not None
        after = panel.answer.outcomes[0].after
        assert after is not None
        assert after.molecular_so2 == pytest.approx(0.6, abs=0.01)


async def test_the_aim_follows_an_amount(service: OpenCellar) -> None:
    async with opened(service) as (pilot, panel):
        await pilot.press("a", *"1")
        await pilot.pause()
        one_gram = float(field(panel, "reach"))
        await pilot.press("backspace", *"2")
        await pilot.pause()
        assert float(field(panel, "reach")) > one_gram > 8


async def test_an_aim_that_is_reached_already_leaves_no_amount_to_record(service: OpenCellar) -> None:
    before = count(service)
    async with opened(service) as (pilot, panel):
        await pilot.press("a", *"2", "tab", *"5", "enter")
        await pilot.pause()
        assert field(panel, "amount") == ""
        assert panel.is_open
    assert count(service) == before


async def test_a_half_typed_amount_keeps_the_last_good_preview_and_says_so(service: OpenCellar) -> None:
    async with opened(service) as (pilot, panel):
        await pilot.press("a", *"2")
        await pilot.pause()
        good, told = panel.answer, shown(pilot, "#form-preview")
        assert "as last typed in full" not in told
        await pilot.press("x")
        await pilot.pause()
        assert panel.answer is good
        assert "as last typed in full" in shown(pilot, "#form-preview")
        amount = next(row for row in panel.rows if row.slot is not None and row.slot.name == "amount")
        assert amount.is_wrong
        await pilot.press("backspace")
        await pilot.pause()
        assert shown(pilot, "#form-preview") == told


async def test_enter_on_an_empty_form_records_nothing(service: OpenCellar) -> None:
    before = count(service)
    async with opened(service) as (pilot, panel):
        for key in ("m", "r", "c", "n"):
            await pilot.press(key, "enter", "enter")
            await pilot.pause()
            assert panel.is_open
            await pilot.press("f9")
            await pilot.pause()
    assert count(service) == before


async def test_enter_with_a_field_missing_asks_for_it(service: OpenCellar) -> None:
    before = count(service)
    async with opened(service) as (pilot, panel):
        await pilot.press("c", *"clarity", "enter")
        await pilot.pause()
        assert panel.is_open
        assert "result" in shown(pilot, "#form-hint")
        await pilot.press(*"pass", "enter")
        await pilot.pause()
        assert not panel.is_open
    assert count(service) == before + 1


async def test_a_double_enter_records_once(service: OpenCellar) -> None:
    before = count(service)
    async with opened(service) as (pilot, _):
        await pilot.press("a", *"2", "enter", "enter")
        await pilot.pause()
    assert count(service) == before + 1


async def test_another_persons_entry_on_the_vessel_is_shown_and_nothing_is_written(service: OpenCellar) -> None:
    async with opened(service) as (pilot, panel):
        await pilot.press("a", *"2")
        await pilot.pause()
        jon = open_cellar(service.path, lambda: NOW, by="jon")
        jon.recorder.record(Request(WINE, "reading", {"ph": "3.3"}))
        jon.close()
        before = count(service)
        await pilot.press("enter")
        await pilot.pause()
        assert count(service) == before
        hint = shown(pilot, "#form-hint")
        assert "jon" in hint
        assert "pH 3.30" in hint
        assert field(panel, "amount") == "2"
        assert panel.answer is not None
        assert panel.answer.outcomes[0].after is not None
        assert panel.answer.outcomes[0].after.ph == 3.3
        rest(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert count(service) == before + 1


async def test_an_entry_on_another_vessel_is_not_in_the_way(service: OpenCellar) -> None:
    async with opened(service) as (pilot, panel):
        await pilot.press("a", *"2")
        service.recorder.record(Request(OTHER, "note", {"text": "looked at"}, by="jon"))
        panel.refresh_form()
        assert "jon" not in shown(pilot, "#form-hint")
        await pilot.press("enter")
        await pilot.pause()
        assert not panel.is_open
    assert isinstance(newest(service), Addition)


async def test_a_stop_asks_for_a_reason_and_the_reason_is_kept(service: OpenCellar) -> None:
    before = count(service)
    async with opened(service) as (pilot, panel):
        await pilot.press("a", *"12", "enter")
        await pilot.pause()
        assert count(service) == before
        assert "STOP" in shown(pilot, "#form-preview")
        await pilot.press(*"measured twice", "enter")
        await pilot.pause()
        assert not panel.is_open
    entry = service.last_by("ida")
    assert entry is not None
    assert entry.waived == "measured twice"


async def test_wine_that_does_not_exist_cannot_be_moved_for_any_reason(service: OpenCellar) -> None:
    before = count(service)
    async with opened(service) as (pilot, panel):
        await pilot.press("m", "tab", *"80", "enter", "enter")
        await pilot.pause()
        assert panel.is_open
        assert "waive" not in panel.texts()
    assert count(service) == before


async def test_the_cautions_of_the_work_stand_in_sight_beside_the_dates_that_move(service: OpenCellar) -> None:
    async with opened(service, (140, 45)) as (pilot, panel):
        await pilot.press("a", *"2")
        await pilot.pause()
        assert panel.answer is not None
        assert len(panel.answer.outcomes[0].changes) >= 3
        assert "harm the lungs" in " ".join(shown(pilot, "#form-preview").split())


async def test_what_was_left_in_a_form_comes_back_when_it_is_opened_again(service: OpenCellar) -> None:
    async with opened(service) as (pilot, panel):
        await pilot.press("r", *"3.2", "f9", "n", *"pear", "f9", "r")
        await pilot.pause()
        assert field(panel, "free_so2") == "3.2"
        await pilot.press("f9", "n")
        await pilot.pause()
        assert field(panel, "text") == "pear"
        # The note is newer than what the reading's form had seen: it is shown once before the reading is kept.
        await pilot.press("enter", "r", "enter")
        await pilot.pause()
        assert "pear" in shown(pilot, "#form-hint")
        rest(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert not panel.is_open
    assert drafts.kept(drafts.draft_file(service.path, "ida")) == []


async def test_a_draft_that_was_recorded_after_all_is_dropped_and_said(service: OpenCellar) -> None:
    async with opened(service) as (pilot, panel):
        await pilot.press("r", *"3.2")
        panel.save_draft()
        assert panel.work is not None
        draft = panel.work.draft(panel.texts())
    service.recorder.record(Request(WINE, "reading", {"free_so2": "3.2"}, key=bytes.fromhex(draft.key)))
    before = count(service)
    async with opened(service) as (pilot, panel):
        assert not panel.is_open
        assert "already recorded" in shown(pilot, "#foot")
    assert drafts.load(drafts.draft_file(service.path, "ida")) is None
    assert count(service) == before


async def test_an_entry_is_corrected_in_the_form_it_was_made_in(service: OpenCellar) -> None:
    wrong = next(line.entry for line in service.view.ledger(WINE) if isinstance(line.entry.body, Reading))
    async with opened(service) as (pilot, panel):
        panel.open(service, WINE, "reading", Opening(amend=wrong))
        await pilot.pause()
        assert field(panel, "free_so2") == "8"
        row = next(one for one in panel.rows if one.slot is not None and one.slot.name == "free_so2")
        await write(pilot, row, "18")
        await pilot.press("enter")
        await pilot.pause()
        assert not panel.is_open
    states = {line.entry.seq: line.state for line in service.view.ledger(WINE)}
    assert states[wrong.seq] == "corrected"
    line = next(one for one in service.view.board().lines if one.name == WINE)
    assert line.so2 is not None
    assert (round(line.so2.free_so2), line.ph) == (18, 3.5)


@pytest.mark.parametrize("size", [(80, 24), (60, 20), (140, 45)])
async def test_amount_and_preview_are_in_sight_at_every_size(service: OpenCellar, size: tuple[int, int]) -> None:
    async with opened(service, size) as (pilot, panel):
        await pilot.press("a", *"2")
        await pilot.pause()
        told = shown(pilot, "#form-preview")
        assert "molecular" in told
        assert len(told.rstrip("\n").split("\n")) <= pilot.app.screen.query_one("#form-preview").size.height
        assert panel.region.bottom <= size[1]
        await pilot.press(*["pagedown"] * 6)
        await pilot.pause()
        assert "declared" in " ".join(shown(pilot, "#form-preview").split())


async def test_a_bare_racking_volume_is_read_in_the_unit_printed_beside_it(service: OpenCellar) -> None:
    service.recorder.set_rule("units", "us")
    async with opened(service) as (pilot, panel):
        await pilot.press("m", "tab", *"5.5", "enter")
        await pilot.pause()
        assert not panel.is_open
    body = newest(service)
    assert isinstance(body, Racking)
    assert body.volume == pytest.approx(5.5 * 3.785411784)


async def test_an_addition_that_another_person_has_just_made_takes_a_second_enter(service: OpenCellar) -> None:
    fields = {"material": "potassium_metabisulfite", "amount": "1 g"}
    assert service.recorder.record(Request(WINE, "addition", fields, by="bo")).saved
    async with opened(service, (100, 40)) as (pilot, panel):
        before = count(service)
        await pilot.press("a", *"1")
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert panel.is_open
        assert count(service) == before
        assert "bo added 1 g" in shown(pilot, "#form-hint")
        await pilot.pause(0.7)  # an Enter right behind an Enter is a slip of the finger
        await pilot.press("enter")
        await pilot.pause()
        assert not panel.is_open
        assert count(service) == before + 1


@pytest.mark.parametrize("size", [(40, 12), (60, 12), (80, 12), (80, 17), (40, 10)])
async def test_on_a_low_terminal_keys_and_errors_of_a_form_stay_in_sight(
    service: OpenCellar, size: tuple[int, int]
) -> None:
    async with opened(service, size) as (pilot, panel):
        await pilot.press("r")
        await pilot.pause(0.2)
        assert "Esc back" in flat(pilot)
        await pilot.press("enter")
        await pilot.pause(0.2)
        assert panel.is_open
        reason, after = shown(pilot, "#form-hint").rsplit("\n", 1)
        assert "Esc back" in after
        assert " ".join(reason.split()) in flat(pilot), "Enter says why it did not record"
        assert "Esc back" in flat(pilot)


async def test_a_form_that_is_open_is_laid_out_again_when_the_terminal_changes(service: OpenCellar) -> None:
    async with opened(service) as (pilot, panel):
        await pilot.press("a", *"1.5")
        for width, height in ((40, 12), (60, 20), (80, 24)):
            await pilot.resize_terminal(width, height)
            await pilot.pause(0.2)
            assert panel.has_class("-narrow") == (width < NARROW)
            assert panel.region.bottom <= height
            assert field(panel, "amount") == "1.5"
