"""A chart on the whole screen: a day with all that was read and done on it, other wines laid over it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

import pytest
from textual.pilot import Pilot

from cellar_tui.service.open import OpenCellar
from cellar_tui.tui.screens import chart_days
from cellar_tui.tui.screens.chart_screen import ChartScreen
from cellar_tui.tui.screens.wine import WineScreen
from cellar_tui.tui.screens.wine_chart import FERMENT, series
from cellar_tui.tui.widgets.chart import draw
from cellar_tui.tui.widgets.chart_marks import BLOCKS, PLAIN
from cellar_tui.tui.widgets.toned import text_of
from tests.tui.demo import demo
from tests.tui.seen import choose, flat, opened, text

SIZES = ((60, 20), (80, 24), (140, 45), (200, 60))


@pytest.fixture(scope="module", name="service")
def _service() -> Iterator[OpenCellar]:
    with demo() as service:
        yield service


async def chart(pilot: Pilot[int], vessel: str, *keys: str) -> ChartScreen:
    """Open the chart of a vessel on the whole screen."""
    choose(pilot, vessel)
    await pilot.press("enter", "v", *keys)
    await pilot.pause(0.1)
    assert isinstance(pilot.app.screen, ChartScreen)
    return pilot.app.screen


@pytest.mark.parametrize("size", SIZES)
async def test_the_last_day_of_a_chart_is_told_with_value_entry_and_hand(
    service: OpenCellar, size: tuple[int, int]
) -> None:
    async with opened(service, size) as pilot:
        await chart(pilot, "Barrel 2", "left")
        seen = flat(pilot)
        # The last reading of Barrel 2 by its ledger: 26 mg/L on 14 November.
        assert "Sat 14 Nov 2026" in seen
        assert "free SO2 26 mg/L by aspiration (entry" in seen
        assert "Left day before" in seen or size[0] < 80
        await pilot.press("left", "left")
        assert "Sat 14 Nov 2026" not in flat(pilot)


async def test_left_and_right_go_from_day_to_day_and_stop_at_the_ends(service: OpenCellar) -> None:
    async with opened(service, (140, 45)) as pilot:
        screen = await chart(pilot, "Barrel 2")
        found = chart_days.days(screen._series(140))
        await pilot.press("right", "right", "right")
        assert screen.day == found[2]
        await pilot.press(*["left"] * 5)
        assert screen.day == found[0]
        await pilot.press(*["right"] * (len(found) + 3))
        assert screen.day == found[-1]


async def test_all_vessels_of_a_wine_then_another_wine_then_none_are_laid_over(service: OpenCellar) -> None:
    async with opened(service, (140, 45)) as pilot:
        screen = await chart(pilot, "Barrel 2", "o")
        assert [one.info.name for one in screen.others] == ["Barrel 1", "Barrel 3"]
        assert "● Barrel 2 Field red 25 ○ Barrel 1 Field red 25 ◇ Barrel 3 Field red 25 by date" in flat(pilot)
        await pilot.press("o")
        assert len(screen.others) == 1
        seen = {screen.others[0].info.name}
        for _ in range(30):
            await pilot.press("o")
            if not screen.others:
                break
            seen.add(screen.others[0].info.name)
        assert not screen.others
        assert "Tub 2" not in seen, "free SO2 of a must was never read"
        assert "Steel 3" in seen


async def test_ferments_are_laid_over_each_other_by_day_since_the_yeast(service: OpenCellar) -> None:
    async with opened(service, (140, 45)) as pilot:
        screen = await chart(pilot, "Steel 2", "2", "z", "o")
        assert screen.counted
        assert "by day since the yeast" in text(pilot)
        assert "day 7" in text(pilot)
        await pilot.press("d")
        assert not screen.counted
        assert "day 7" not in text(pilot)


def test_day_nought_of_both_wines_is_the_day_of_their_yeast(service: OpenCellar) -> None:
    one, other = service.view.wine("Steel 2"), service.view.wine("Demijohn 3")
    shown = chart_days.laid_over(series(one, "sg", FERMENT, 80), one, [other], "sg", counted=True)
    start, its = chart_days.began(one), chart_days.began(other)
    assert start is not None
    assert its is not None
    assert shown.zero == start
    read = [on for on, _ in series(other, "sg", FERMENT, 80).points]
    assert [on - start for on, _ in shown.over[0].points] == [on - its for on in read]


@pytest.mark.parametrize("marks", [BLOCKS, PLAIN], ids=["blocks", "plain"])
def test_the_readings_of_each_wine_have_a_mark_of_their_own(service: OpenCellar, marks: object) -> None:
    one, others = service.view.wine("Barrel 2"), [service.view.wine(name) for name in ("Barrel 1", "Barrel 3")]
    shown = chart_days.laid_over(series(one, "free_so2", "year", 130), one, others, "free_so2", counted=False)
    drawn = "\n".join(text_of(line) for line in draw(shown, 130, 30, marks))  # type: ignore[arg-type]
    for mark in (marks.reading, *marks.others[:2]):  # type: ignore[attr-defined]
        assert mark in drawn
    assert marks.others[2] not in drawn or marks is PLAIN  # type: ignore[attr-defined]


def test_the_scale_holds_the_values_of_every_wine(service: OpenCellar) -> None:
    one, other = service.view.wine("Steel 2"), service.view.wine("Demijohn 5")
    shown = chart_days.laid_over(series(one, "sg", FERMENT, 80), one, [other], "sg", counted=True).cut()
    scale = shown.levels(20)
    values = [value for line in (shown, *shown.over) for _, value in line.points]
    assert scale.low - 0.01 <= min(values)
    assert max(values) <= scale.high + 0.01


def test_a_day_between_readings_is_no_day_to_stop_at(service: OpenCellar) -> None:
    view = service.view.wine("Barrel 2")
    found = chart_days.days(series(view, "free_so2", "year", 100))
    assert found == sorted(set(found))
    assert date(2026, 11, 14) in found
    assert date(2026, 11, 13) not in found
    assert all(view.today - timedelta(days=365) <= day <= view.today for day in found)


async def test_the_marks_chosen_on_the_chart_stay_on_the_page_of_the_wine(service: OpenCellar) -> None:
    async with opened(service, (140, 45)) as pilot:
        screen = await chart(pilot, "Barrel 2", "x", "x")
        assert screen.marks is PLAIN
        await pilot.press("escape")
        await pilot.pause(0.1)
        assert isinstance(pilot.app.screen, WineScreen)
        assert pilot.app.screen.marks is PLAIN
