"""A wine's own screen: verdicts with their evidence, why, the chart, entries opened, corrected and taken back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from cellar_tui.ledger.kinds import Reading
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Request
from cellar_tui.tui.screens.home import HomeScreen
from cellar_tui.tui.screens.why import WhyScreen
from cellar_tui.tui.screens.wine import WineScreen
from cellar_tui.tui.screens.wine_figures import Item
from cellar_tui.tui.widgets.form_panel import FormPanel
from cellar_tui.tui.widgets.lines import Lines
from tests.tui.seen import SETTLED, cellar, choose, flat, lines, opened, text
from tests.tui.typing import write


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    found.close()


async def enter(pilot: Pilot[int], vessel: str) -> WineScreen:
    choose(pilot, vessel)
    await pilot.press("enter")
    await pilot.pause(0.1)
    assert isinstance(pilot.app.screen, WineScreen)
    return pilot.app.screen


def entry_of(wine: WineScreen, seq: int) -> None:
    """Put the cursor on an entry."""
    found = wine.query_one("#lines", Lines)
    found.select(next(i for i, one in enumerate(found.rows) if one.written and one.written.entry.seq == seq))


async def test_all_five_verdicts_stand_in_words_with_their_evidence(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        wine = await enter(pilot, "Barrel 2")
        view = service.view.wine("Barrel 2")
        assert view.day is not None
        rows = [one for one in wine.query_one("#figures", Lines).rows if isinstance(one, Item)][:5]
        for row, verdict in zip(rows, view.day.verdicts.values(), strict=True):
            assert row.head.split()[1] == verdict.kind
            assert verdict.because.reason in row.text
        assert "bacteria" in text(pilot)


async def test_every_number_and_verdict_says_why(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        wine = await enter(pilot, "Barrel 2")
        rows = wine.query_one("#figures", Lines).rows
        assert all(one.because is not None for one in rows)
        await pilot.press("tab", "w")
        await pilot.pause()
        assert [type(one) for one in pilot.app.screen_stack[-2:]] == [WineScreen, WhyScreen]
        assert "Source:" in text(pilot)
        await pilot.press("w")
        await pilot.pause()
        assert pilot.app.screen_stack[-1] is wine


async def test_the_working_of_molecular_so2_names_its_inputs_and_entries(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        wine = await enter(pilot, "Barrel 2")
        figures = wine.query_one("#figures", Lines)
        await pilot.press("tab")
        figures.select(next(i for i, one in enumerate(figures.rows) if "molecular" in one.head))
        await pilot.press("w")
        await pilot.pause()
        assert "free SO2 / (1 + 10^(pH - 1.81))" in flat(pilot)
        assert "pH 3.61 on 1 Jun 2026 (entry" in flat(pilot)


async def test_the_why_of_the_forecast_tells_how_forecasts_have_done(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        wine = await enter(pilot, "Barrel 2")
        figures = wine.query_one("#figures", Lines)
        await pilot.press("tab")
        figures.select(next(i for i, one in enumerate(figures.rows) if "target" in one.head))
        await pilot.press("w")
        await pilot.pause()
        assert "losing" in flat(pilot).casefold()
        assert "forecasts so far 2 of your last 2 readings fell inside the interval" in flat(pilot)


async def test_free_so2_is_drawn_with_its_target_and_forecast(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await enter(pilot, "Barrel 2")
        drawn = [one[44:] for one in lines(pilot)[1:13]]
        assert sum(one.count("●") for one in drawn) == 3
        assert any("╌" in one for one in drawn)
        assert any("░" in one for one in drawn)
        await pilot.press("4")
        await pilot.pause()
        assert "pH" in lines(pilot)[1]
        await pilot.press("5")
        await pilot.pause()
        assert "malic acid g/L: not tested yet" in text(pilot)


async def test_a_due_action_opens_the_form_for_its_result(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        wine = await enter(pilot, "Barrel 2")
        rows = wine.query_one("#lines", Lines).rows
        place = next(i for i, one in enumerate(rows) if one.task and one.task.action.rule == "so2_recheck")
        wine.query_one("#lines", Lines).select(place)
        await pilot.press("enter")
        panel = wine.query_one(FormPanel)
        assert panel.is_open
        assert "free_so2" in panel.texts()
        await pilot.press("3", "0", "enter")
        await pilot.pause()
        last = service.last_by("ida")
        assert last is not None
        assert isinstance(last.body, Reading)
        assert last.body.free_so2 == 30


async def test_an_entry_opens_with_what_was_typed_and_by_whom(service: OpenCellar) -> None:
    service.recorder.record(Request("Barrel 2", "note", {"text": "smells of cherry"}, by="ben"))
    async with opened(service) as pilot:
        wine = await enter(pilot, "Barrel 2")
        entry_of(wine, service.view.ledger("Barrel 2")[0].entry.seq)
        await pilot.press("enter")
        await pilot.pause()
        assert "smells of cherry" in text(pilot)
        assert "By ben" in flat(pilot)
        assert "It stands." in text(pilot)


async def test_a_reading_is_corrected_where_it_stands(service: OpenCellar) -> None:
    seq = next(one.entry.seq for one in service.view.ledger("Barrel 2") if one.entry.on.isoformat() == "2026-10-20")
    async with opened(service) as pilot:
        wine = await enter(pilot, "Barrel 2")
        entry_of(wine, seq)
        await pilot.press("e")
        panel = wine.query_one(FormPanel)
        assert panel.is_open
        assert panel.texts()["free_so2"] == "21"
        row = next(one for one in panel.rows if one.slot is not None and one.slot.name == "free_so2")
        await write(pilot, row, "24")
        await pilot.press("enter")
        await pilot.pause()
        assert any("[corrected]" in one.text for one in wine.query_one("#lines", Lines).rows)
    plan = service.view.wine("Barrel 2").plan
    assert plan is not None
    assert plan.readings["free_so2"].value == 24


async def test_u_takes_back_the_selected_entry_of_ones_own_and_no_other(service: OpenCellar) -> None:
    service.recorder.record(Request("Barrel 2", "note", {"text": "not yours"}, by="ben"))
    foreign = service.view.ledger("Barrel 2")[0].entry.seq
    own = next(one.entry.seq for one in service.view.ledger("Barrel 2") if isinstance(one.entry.body, Reading))
    async with opened(service) as pilot:
        wine = await enter(pilot, "Barrel 2")
        entry_of(wine, foreign)
        await pilot.press("u")
        await pilot.pause(SETTLED)
        assert "is by ben" in flat(pilot)
        entry_of(wine, own)
        await pilot.press("u")
        await pilot.pause(SETTLED)
        assert "Taken back" in flat(pilot)
    states = {one.entry.seq: one.state for one in service.view.ledger("Barrel 2")}
    assert states[foreign] == "standing"
    assert states[own] == "withdrawn"


async def test_what_happened_before_a_racking_comes_along(service: OpenCellar) -> None:
    service.recorder.record(Request("Demijohn 1", "racking", {"to": "Demijohn 9", "volume": "9.8"}))
    async with opened(service) as pilot:
        wine = await enter(pilot, "Demijohn 9")
        told = [one.text for one in wine.query_one("#lines", Lines).rows if one.written]
        assert any("free SO2 8.0 mg/L" in one and "in Demijohn 1" in one for one in told)


async def test_escape_goes_back_to_the_cellar_and_f9_does_too(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        for key in ("escape", "f9"):
            await enter(pilot, "Barrel 2")
            await pilot.press(key)
            await pilot.pause(0.1)
            assert isinstance(pilot.app.screen, HomeScreen)


async def test_a_narrow_screen_draws_the_chart_in_place_of_the_figures(service: OpenCellar) -> None:
    async with opened(service, (60, 20)) as pilot:
        await enter(pilot, "Barrel 2")
        assert "●" not in text(pilot)
        await pilot.press("1")
        await pilot.pause(0.1)
        assert text(pilot).count("●") == 3
        await pilot.press("1")
        await pilot.pause(0.1)
        assert "●" not in text(pilot)


async def test_u_on_a_withdrawal_brings_the_entry_back(service: OpenCellar) -> None:
    own = next(one.entry for one in service.view.ledger("Barrel 2") if isinstance(one.entry.body, Reading))
    gone = service.recorder.undo(own.seq).outcomes[0].entry.seq
    async with opened(service) as pilot:
        wine = await enter(pilot, "Barrel 2")
        entry_of(wine, gone)
        await pilot.press("u")
        await pilot.pause(SETTLED)
        assert "Brought back" in flat(pilot)
    assert {one.entry.seq: one.state for one in service.view.ledger("Barrel 2")}[own.seq] == "standing"
