"""The cellar as it was known on a past day: asked for by key, said in words, read only, and back again."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from textual.pilot import Pilot

from cellar_tui.service.open import OpenCellar, create_cellar
from cellar_tui.service.views import CellarError, Request
from cellar_tui.tui.screens.home import HomeScreen
from cellar_tui.tui.screens.wine import WineScreen
from cellar_tui.tui.widgets.form_panel import FormPanel
from tests.tui.seen import SETTLED, choose, flat, lines, opened, text


class Cellar:
    """A cellar in Auckland, thirteen hours ahead of UTC in summer, that was written day by day."""

    def __init__(self, folder: Path) -> None:
        self.now = datetime(2026, 11, 1, 0, tzinfo=UTC)
        self.service = create_cellar(folder / "cellar.db", lambda: self.now, by="ida", zone="Pacific/Auckland")
        self.service.recorder.add_vessel({"name": "Barrel 2", "capacity": "56L", "material": "oak"})
        wine = {"name": "Regent 25", "style": "dry_red", "volume": "55.5", "finished": "yes", "alcohol": "13"}
        assert self.service.recorder.start_wine(Request("Barrel 2", "wine", {**wine, "malolactic": "done"})).saved
        self.later(datetime(2026, 11, 10, 0, tzinfo=UTC), ph="3.61", free_so2="34", method="aspiration")
        # Half past midnight of 16 November in the cellar, still the 15th in UTC.
        self.later(datetime(2026, 11, 15, 11, 30, tzinfo=UTC), ph="3.70")
        self.now = datetime(2026, 11, 18, 0, tzinfo=UTC)
        self.service.recorder.add_vessel({"name": "Tub 1", "capacity": "60L", "material": "plastic"})
        self.later(datetime(2026, 11, 20, 0, tzinfo=UTC), free_so2="22", method="aspiration")

    def later(self, now: datetime, **said: str) -> None:
        """Record a reading at a later moment."""
        self.now = now
        assert self.service.recorder.record(Request("Barrel 2", "reading", said)).saved


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = Cellar(tmp_path).service
    yield found
    found.close()


async def as_of(pilot: Pilot[int], day: str) -> None:
    await pilot.press("p", *day, "enter")
    await pilot.pause(0.1)


async def wine(pilot: Pilot[int]) -> None:
    choose(pilot, "Barrel 2")
    await pilot.press("enter")
    await pilot.pause(0.1)


async def test_a_wine_is_shown_as_it_was_known_that_evening_and_escape_goes_back_to_now(service: OpenCellar) -> None:
    async with opened(service, (100, 40)) as pilot:
        await wine(pilot)
        assert "22 mg/L" in flat(pilot)
        await as_of(pilot, "2026-11-15")
        assert "As known at the end of Sun 15 Nov 2026 · Barrel 2" in lines(pilot)[0]
        assert "34 mg/L" in flat(pilot)
        assert "pH 3.70" not in flat(pilot)
        assert "nothing is recorded in the past" in lines(pilot)[-1]
        await pilot.press("escape")
        await pilot.pause(0.1)
        assert "As known" not in text(pilot)
        assert "22 mg/L" in flat(pilot)


async def test_the_day_ends_in_the_cellars_own_zone(service: OpenCellar) -> None:
    assert service.known_as_typed("2026-11-15").wine("Barrel 2").plan is not None
    for day, ph in (("2026-11-15", 3.61), ("2026-11-16", 3.7)):
        plan = service.known_as_typed(day).wine("Barrel 2").plan
        assert plan is not None
        assert plan.readings["ph"].value == ph


async def test_that_day_is_called_today_and_its_dates_are_those_of_then(service: OpenCellar) -> None:
    async with opened(service, (100, 40)) as pilot:
        await as_of(pilot, "-8d")
        home = pilot.app.screen
        assert isinstance(home, HomeScreen)
        assert home.board is not None
        assert home.board.today.isoformat() == "2026-11-12"
        shown = {(one.vessel, one.action.rule, one.status) for line in home.board.lines for one in line.actions}
        told = service.known_on(home.board.today).tasks()
        assert shown == {(one.vessel, one.action.rule, one.status) for one in told}
        assert "Tub 1" not in text(pilot)
        assert "Cellar as known at the end of Thu 12 Nov 2026" in lines(pilot)[0]
        await wine(pilot)
        assert "As known at the end of Thu 12 Nov 2026 · Barrel 2" in lines(pilot)[0]
        await pilot.press("escape")
        await pilot.pause(0.1)
        await pilot.press("escape")
        await pilot.pause(0.1)
        assert "Tub 1" in text(pilot)


async def test_house_rules_are_those_of_that_day(service: OpenCellar) -> None:
    before = service.known_as_typed("2026-11-12").wine("Barrel 2")
    service.recorder.set_rule("free_floor", "45")
    assert service.known_as_typed("2026-11-12").wine("Barrel 2") == before
    then, now = before.plan, service.view.wine("Barrel 2").plan
    assert then is not None
    assert now is not None
    assert then.forecast is not None
    assert now.forecast is not None
    assert now.forecast.target > then.forecast.target


async def test_nothing_can_be_recorded_in_the_past(service: OpenCellar) -> None:
    count = service.entries()
    async with opened(service) as pilot:
        await wine(pilot)
        await as_of(pilot, "yesterday")
        screen = pilot.app.screen
        await pilot.press("a", "r", "m", "e", "u", "R", "b")
        await pilot.pause(SETTLED)
        assert pilot.app.screen is screen
        assert not screen.query_one(FormPanel).is_open
        place = next(i for i, one in enumerate(screen.query_one("#lines").rows) if one.task)  # type: ignore[attr-defined]
        screen.query_one("#lines").select(place)  # type: ignore[attr-defined]
        await pilot.press("enter")
        await pilot.pause(0.1)
        assert not screen.query_one(FormPanel).is_open
    assert service.entries() == count


@pytest.mark.parametrize("day", ["soon", "+3d", "2026-02-30", "[/red]", ""])
async def test_what_is_no_past_day_is_said_and_can_be_put_right(service: OpenCellar, day: str) -> None:
    async with opened(service) as pilot:
        await wine(pilot)
        now = pilot.app.screen
        await as_of(pilot, day)
        assert pilot.app.screen is now
        assert lines(pilot)[-1].strip()
        await pilot.press(*["backspace"] * len(day), *"yesterday", "enter")
        await pilot.pause(0.1)
        assert "As known at the end of" in lines(pilot)[0]


async def test_before_its_vessel_was_there_a_wine_has_no_past(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await wine(pilot)
        await as_of(pilot, "2026-10-01")
        assert isinstance(pilot.app.screen, WineScreen)
        assert pilot.app.screen.past is None
        assert "there was no vessel Barrel 2 on that day" in flat(pilot)
        await pilot.press("escape")
        assert "there was no vessel" not in flat(pilot)
    with pytest.raises(CellarError, match="lies ahead"):
        service.known_as_typed("tomorrow")
