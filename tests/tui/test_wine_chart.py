"""The days that a chart of a wine shows: those that its stage makes worth looking at, others on a key."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from cellar_tui.service.open import OpenCellar, create_cellar
from cellar_tui.service.views import Request
from cellar_tui.tui.screens.wine import WineScreen
from cellar_tui.tui.screens.wine_chart import below, opening, series, stage_window, zooms
from cellar_tui.tui.widgets.chart_marks import BLOCKS
from tests.tui.seen import NOW, SETTLED, cellar, choose, opened, text

TODAY = NOW.date()
NARROW, WIDE = 32, 66


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    found.close()


@pytest.fixture
def press_room(tmp_path: Path) -> Iterator[OpenCellar]:
    """A red on its skins: crushed on 14 November, yeast on the 16th, fed on the 17th, on the move since."""
    found = create_cellar(tmp_path / "press.db", lambda: NOW, by="ida", zone="UTC")
    found.recorder.add_vessel({"name": "Tub 1", "capacity": "300L", "material": "plastic", "place": "press room"})
    must = {"name": "Field red", "style": "dry_red", "volume": "120", "sg": "1.098", "source": "grape"}
    assert found.recorder.start_wine(Request("Tub 1", "wine", must, "2026-11-14")).saved
    for kind, fields, on in (
        ("addition", {"material": "yeast", "amount": "24g"}, "2026-11-16"),
        ("addition", {"material": "dap", "amount": "30g"}, "2026-11-17"),
        ("reading", {"sg": "1.090", "temperature": "22"}, "2026-11-18"),
        ("reading", {"sg": "1.060", "temperature": "26"}, "2026-11-22"),
    ):
        assert found.recorder.record(Request("Tub 1", kind, fields, on)).saved
    yield found
    found.close()


def test_a_running_ferment_is_shown_from_its_yeast_to_six_days_ahead(press_room: OpenCellar) -> None:
    drawn = series(press_room.view.wine("Tub 1"), "sg", "", NARROW)
    assert drawn.window == (date(2026, 11, 16), TODAY + timedelta(days=6))
    assert drawn.zooms == (["ferment", "60 d", "year", "all"], "ferment")


def test_the_temperature_of_a_ferment_stands_under_its_gravity_and_only_there(press_room: OpenCellar) -> None:
    view = press_room.view.wine("Tub 1")
    under = {name: below(view, series(view, name, "", WIDE), name, WIDE) for name in ("sg", "ph")}
    assert under["ph"] is None
    assert under["sg"] is not None
    assert under["sg"].points == [(date(2026, 11, 18), 22.0), (date(2026, 11, 22), 26.0)]
    assert below(view, series(view, "sg", "year", WIDE), "sg", WIDE) is None


def test_the_target_of_a_running_ferment_is_the_gravity_it_goes_to(press_room: OpenCellar) -> None:
    dry = series(press_room.view.wine("Tub 1"), "sg", "", WIDE).target
    assert dry is not None
    assert 0.985 < dry < 1.0
    assert press_room.recorder.record(Request("Tub 1", "intent", {"finish_sg": "1.010"}, "2026-11-25")).saved
    assert series(press_room.view.wine("Tub 1"), "sg", "", WIDE).target == 1.010


def test_a_ferment_opens_on_its_gravity_and_a_finished_wine_on_its_free_so2(
    press_room: OpenCellar, service: OpenCellar
) -> None:
    assert opening(press_room.view.wine("Tub 1")) == "sg"
    assert opening(service.view.wine("Barrel 2")) == "free_so2"


def test_an_ageing_wine_is_shown_for_half_a_year_or_ninety_days_and_its_last_three_readings(
    service: OpenCellar,
) -> None:
    view = service.view.wine("Barrel 2")
    wide, narrow = series(view, "free_so2", "", WIDE), series(view, "free_so2", "", NARROW)
    assert wide.window is not None
    assert narrow.window is not None
    assert wide.window[0] == TODAY - timedelta(days=183)
    # Read on 1 June, 1 August and 20 October: 90 days alone would show the last of them.
    assert narrow.window[0] == date(2026, 6, 1)
    assert (wide.zooms[1], narrow.zooms[1]) == ("6 months", "90 d")


def test_what_is_to_come_takes_at_most_a_third(service: OpenCellar) -> None:
    view = service.view.wine("Barrel 2")
    for name in ("6 months", "60 d", "year", "all"):
        window = series(view, "free_so2", name, WIDE).window
        assert window is not None
        assert (window[1] - TODAY) * 2 <= TODAY - window[0]


def test_wine_in_bottles_is_shown_whole() -> None:
    assert stage_window("bottled", WIDE) == "all"


def test_a_wine_whose_gravity_was_last_read_over_a_year_ago_shows_its_ferment(press_room: OpenCellar) -> None:
    view = press_room.view.wine("Tub 1")
    assert view.plan is not None
    aged = replace(view, today=date(2028, 3, 1), plan=replace(view.plan, stage="ageing"))
    assert zooms(aged, "sg", WIDE)[0] == "ferment"
    assert zooms(aged, "ph", WIDE)[0] == "all"
    young = replace(aged, today=date(2027, 3, 1))
    assert zooms(young, "sg", WIDE)[0] == "6 months"


def test_a_sulfite_breaks_the_line_of_free_so2_and_only_that(service: OpenCellar) -> None:
    fields = {"material": "potassium_metabisulfite", "amount": "2g"}
    assert service.recorder.record(Request("Barrel 2", "addition", fields, "2026-11-01")).saved
    view = service.view.wine("Barrel 2")
    (dose,) = series(view, "free_so2", "", WIDE).deeds
    assert (dose.on, dose.mark, dose.follows) == (date(2026, 11, 1), "s", 3), "after the reading of 20 October"
    assert [one.follows for one in series(view, "ph", "", WIDE).deeds] == [None]


def test_yeast_nutrient_topping_and_racking_have_their_letters(press_room: OpenCellar, service: OpenCellar) -> None:
    assert [one.mark for one in series(press_room.view.wine("Tub 1"), "sg", "", WIDE).deeds] == ["y", "n"]
    topped = {"outside": "yes", "wine": "Regent 25", "volume": "0.4"}
    assert service.recorder.record(Request("Barrel 2", "topping", topped, "2026-11-02")).saved
    assert service.recorder.record(Request("Barrel 2", "racking", {"volume": "55"}, "2026-11-02")).saved
    assert [one.mark for one in series(service.view.wine("Barrel 2"), "free_so2", "", WIDE).deeds] == ["r", "t"]


async def test_z_shows_other_days_and_comes_round(service: OpenCellar) -> None:
    async with opened(service, (140, 45)) as pilot:
        choose(pilot, "Barrel 2")
        await pilot.press("enter")
        await pilot.pause(SETTLED)
        shown = []
        for _ in range(6):
            shown.append(text(pilot).partition("[")[2].partition("]")[0])
            await pilot.press("z")
            await pilot.pause(SETTLED)
        assert shown == ["6 months", "ferment", "60 d", "year", "all", "6 months"]


async def test_x_draws_in_braille_then_in_plain_letters(service: OpenCellar, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LC_ALL", "en_GB.UTF-8")
    monkeypatch.setenv("TERM", "xterm-256color")
    async with opened(service, (140, 45)) as pilot:
        choose(pilot, "Barrel 2")
        await pilot.press("enter")
        await pilot.pause(SETTLED)
        assert isinstance(pilot.app.screen, WineScreen)
        assert BLOCKS.reading in text(pilot)
        await pilot.press("x")
        await pilot.pause(SETTLED)
        assert any("\u2800" < char <= "\u28ff" for char in text(pilot))
        await pilot.press("x")
        await pilot.pause(SETTLED)
        assert BLOCKS.reading not in text(pilot)
