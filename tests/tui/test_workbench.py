"""At the workbench: a calculation filled from the wine, worked out while typed; a bench trial down to its entry."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Digits, Static

from cellar_tui.enology.calculations import CALCULATIONS
from cellar_tui.ledger.kinds import Trial
from cellar_tui.planning.subject import Subject
from cellar_tui.service.open import OpenCellar
from cellar_tui.tui.app import CellarApp
from cellar_tui.tui.screens.bench_trial import BenchTrialScreen
from cellar_tui.tui.screens.home import HomeScreen
from cellar_tui.tui.screens.workbench import WorkbenchScreen, list_name
from cellar_tui.tui.widgets.field_row import FieldRow
from tests.one_wine import EMPTY, WINE, cellar
from tests.tui.typing import go, rest, write


@pytest.fixture
def service(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[OpenCellar]:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    opened = cellar(tmp_path)
    yield opened
    opened.close()


@asynccontextmanager
async def bench(
    service: OpenCellar, vessel: str = WINE, size: tuple[int, int] = (80, 24)
) -> AsyncIterator[tuple[Pilot[int], WorkbenchScreen]]:
    """Open the workbench on a vessel."""
    app = CellarApp(service, title="test")
    async with app.run_test(size=size, notifications=True) as pilot:
        screen = WorkbenchScreen(service, vessel)
        await app.push_screen(screen)
        await pilot.pause()
        yield pilot, screen


@asynccontextmanager
async def planner(service: OpenCellar, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Pilot[int]]:
    """Open the bench-trial planner from the workbench."""
    async with bench(service, size=size) as (pilot, _):
        await pilot.press("t")
        await pilot.pause()
        assert isinstance(pilot.app.screen, BenchTrialScreen)
        yield pilot


def text(pilot: Pilot[int], name: str) -> str:
    return str(pilot.app.screen.query_one(name, Static).content)


def row(pilot: Pilot[int], name: str) -> FieldRow:
    return next(one for one in pilot.app.screen.query(FieldRow) if one.slot is not None and one.slot.name == name)


def beside(pilot: Pilot[int], name: str) -> str:
    return row(pilot, name).beside


def choose(screen: WorkbenchScreen, name: str) -> None:
    screen.lines.select(list(CALCULATIONS).index(name))


# -- calculations


async def test_the_first_calculation_is_worked_out_for_the_wine_without_a_key(service: OpenCellar) -> None:
    async with bench(service) as (pilot, screen):
        assert "Demijohn 1 · Solaris · dry white" in text(pilot, "#bench-head")
        assert row(pilot, "ph").text == "3.20"
        assert beside(pilot, "ph") == "28 Sep, entry 7"
        # 26 mg/L free on 28 September is the estimate of today by now: free / (1 + 10^(3.20 - 1.81)).
        today = next(line for line in service.view.board().lines if line.name == "Demijohn 1").so2
        assert today is not None
        assert float(screen.query_one(Digits).value) == pytest.approx(
            today.free_so2 / (1 + 10 ** (3.20 - 1.81)), abs=0.02
        )
        assert "28 Sep, entry 7" in text(pilot, ".working-lines")


async def test_the_result_follows_each_letter_typed(service: OpenCellar) -> None:
    async with bench(service) as (pilot, screen):
        choose(screen, "sulfite_addition")
        await pilot.pause()
        await go(pilot, row(pilot, "raise"))
        await pilot.press("3")
        await pilot.pause()
        # 3 mg/L staying free at a share of 0.67 in 22 L: 22 * 3 / 576.2 / 0.67 is 0.17 g.
        assert screen.query_one(Digits).value == "0.17"
        await pilot.press("0")
        await pilot.pause()
        assert screen.query_one(Digits).value == "1.7"
        assert "stands aside" in beside(pilot, "ph")


async def test_what_cannot_be_read_is_told_beside_its_field_at_once(service: OpenCellar) -> None:
    async with bench(service) as (pilot, _):
        await go(pilot, row(pilot, "ph"))
        await pilot.press("end", "x")
        await pilot.pause()
        assert row(pilot, "ph").is_wrong
        assert beside(pilot, "ph").startswith("! ")
        assert not row(pilot, "free_so2").is_wrong
        assert "x does not fit pH; type the number alone" in text(pilot, ".working-lines")


async def test_the_list_is_found_by_words_and_escape_shows_it_whole_again(service: OpenCellar) -> None:
    async with bench(service) as (pilot, screen):
        await pilot.press("slash", *"pressure")
        await pilot.pause()
        assert [list_name(one) for one in screen.lines.rows] == ["bottle pressure"]
        await pilot.press("enter", "enter")
        await pilot.pause()
        assert row(pilot, "sugar").is_active
        await pilot.press("escape", "escape")
        await pilot.pause(0.3)
        assert len(screen.lines.rows) == len(CALCULATIONS)
        assert isinstance(pilot.app.screen, WorkbenchScreen)


async def test_what_was_typed_is_there_again_when_one_comes_back_to_a_calculation(service: OpenCellar) -> None:
    async with bench(service) as (pilot, screen):
        await write(pilot, row(pilot, "ph"), "3.55")
        await pilot.pause()
        screen.lines.select(1)
        await pilot.pause()
        screen.lines.select(0)
        await pilot.pause()
        assert row(pilot, "ph").text == "3.55"
        await pilot.press("f5")
        await pilot.pause()
        assert row(pilot, "ph").text == "3.20"


async def test_enter_goes_to_what_is_still_to_be_typed_and_on_from_there(service: OpenCellar) -> None:
    async with bench(service) as (pilot, screen):
        choose(screen, "fortification")
        await pilot.pause()
        await pilot.press("enter", *"40", "enter", *"18.5")
        await pilot.pause()
        assert (row(pilot, "strength").text, row(pilot, "wanted").text) == ("40", "18.5")


async def test_an_empty_vessel_has_every_figure_typed_and_no_bench_trial(service: OpenCellar) -> None:
    async with bench(service, EMPTY) as (pilot, _):
        assert "Demijohn 2 is empty" in text(pilot, "#bench-head")
        assert row(pilot, "ph").text == ""
        assert beside(pilot, "ph") == "type this"
        await pilot.press("t")
        await pilot.pause()
        assert "needs a wine" in text(pilot, "#bench-foot")


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 45)])
async def test_every_calculation_can_be_looked_at_in_every_size(service: OpenCellar, size: tuple[int, int]) -> None:
    async with bench(service, size=size) as (pilot, screen):
        for index in range(len(CALCULATIONS)):
            screen.lines.select(index)
            await pilot.pause(0)
            assert screen.found is list(CALCULATIONS.values())[index]
        shown = [one for one in screen.rows if one.region.height and one.region.right <= size[0]]
        assert shown
        assert screen.query_one(".working-lines", Static).region.height


async def test_a_name_with_brackets_and_controls_is_shown_as_text(tmp_path: Path) -> None:
    service = cellar(tmp_path, wine="[@click=app.quit]Sol[/]")
    async with bench(service) as (pilot, _):
        assert "[@click=app.quit]Sol[/]" in text(pilot, "#bench-head")
        await pilot.press("t")
        await pilot.pause()
        assert "[@click=app.quit]Sol[/]" in text(pilot, "#trial-head")
    service.close()


# -- the bench trial


async def test_a_bench_trial_is_planned_told_and_recorded_by_keys_alone(service: OpenCellar) -> None:
    async with planner(service) as pilot:
        await pilot.press(*"be", "enter")
        await pilot.pause()
        # Common practice for bentonite: 25 to 100 g/hL; 1 mL of a 5 % stock in 100 mL is 50 g/hL.
        assert (row(pilot, "material").text, row(pilot, "doses").text) == ("bentonite", "0 25 50 75 100")
        assert (beside(pilot, "glass 0"), beside(pilot, "glass 50")) == ("untreated", "1 mL")
        await pilot.press("enter", "enter", "enter", "enter", *"hazy", "enter", "enter", *"clear", "up", "up", "up")
        await go(pilot, row(pilot, "chosen"))
        await pilot.press(*"50")
        await pilot.pause()
        assert "Bentonite for 22 L" in text(pilot, "#trial-ask")
        assert pilot.app.screen.query_one(Digits).value == "11"
        await pilot.press("enter", "enter")
        await pilot.pause()
        assert "Weigh 11 g of bentonite, make 220 mL of slurry" in text(pilot, "#trial-hint")
        await pilot.press("escape")
        await pilot.pause(0.3)
        assert isinstance(pilot.app.screen, WorkbenchScreen)
        assert "Recorded as entry" in text(pilot, "#bench-foot")
    bodies = [line.entry.body for line in service.view.ledger(WINE) if isinstance(line.entry.body, Trial)]
    assert bodies == [Trial("bentonite", (0, 25, 50, 75, 100), 50, "0 hazy; 50 clear")]


async def test_a_trial_without_a_chosen_dose_is_recorded_by_a_second_enter_only(service: OpenCellar) -> None:
    async with planner(service) as pilot:
        await pilot.press(*"ge", "enter")
        await go(pilot, row(pilot, "chosen"))
        before = service.entries()
        await pilot.press("enter")
        await pilot.pause()
        assert service.entries() == before
        assert "No dose is chosen" in text(pilot, "#trial-hint")
        rest(pilot)
        await pilot.press("enter", "enter", "enter")
        await pilot.pause()
        assert service.entries() == before + 1


async def test_a_dose_that_no_glass_ever_needs_is_not_recorded(service: OpenCellar) -> None:
    async with planner(service) as pilot:
        await pilot.press(*"be", "enter")
        await go(pilot, row(pilot, "chosen"))
        before = service.entries()
        await pilot.press(*"5050", "enter")
        await pilot.pause()
        assert service.entries() == before
        assert "Nothing was recorded: dose 5050 g/hL is outside 0 to 1000" in text(pilot, "#trial-hint")


async def test_a_sweetness_is_chosen_by_tasting_and_says_what_the_vessel_needs(service: OpenCellar) -> None:
    async with planner(service) as pilot:
        await pilot.press(*"sug", "enter")
        await go(pilot, row(pilot, "chosen"))
        await pilot.press(*"28")
        await pilot.pause()
        # 22 L, dry by its gravity: 22 * 28 / (1 - 0.00062 * 28) = 627 g at most, less for what it holds already.
        assert "Sugar for 22 L" in text(pilot, "#trial-ask")
        amount = float(pilot.app.screen.query_one(Digits).value)
        assert 560 < amount <= 627
        await pilot.press("enter")
        await pilot.pause()
        assert "28 g/L is the target sweetness from now on" in text(pilot, "#trial-hint")
        assert "once its yeast is held" in text(pilot, "#trial-hint")
    view = service.view.wine(WINE)
    assert view.contents is not None
    assert Subject(view.contents, view.info, service.view.house).intents.sweetness == 28


async def test_copper_is_tried_with_its_caution_in_sight(service: OpenCellar) -> None:
    async with planner(service) as pilot:
        await pilot.press(*"copper", "enter")
        await pilot.pause()
        assert "gloves, goggles" in text(pilot, "#trial-ask")
        await go(pilot, row(pilot, "chosen"))
        await pilot.press(*"0.1")
        await pilot.pause()
        assert "gloves, goggles" in text(pilot, "#trial-ask")
        assert "Copper sulfate for 22 L" in text(pilot, "#trial-ask")


async def test_a_trial_that_was_not_recorded_comes_back_as_it_was(service: OpenCellar) -> None:
    async with planner(service) as pilot:
        await pilot.press(*"be", "enter")
        await pilot.pause()
        await go(pilot, row(pilot, "glass 25"))
        await pilot.press(*"faint")
        await pilot.pause()
        await pilot.press("escape")
        await pilot.pause(0.3)
        assert "Kept as a draft" in text(pilot, "#bench-foot")
        await pilot.press("t")
        await pilot.pause()
        assert row(pilot, "material").text == "bentonite"
        assert row(pilot, "glass 25").text == "faint"


async def test_doses_that_cannot_be_poured_are_told_and_the_words_stay(service: OpenCellar) -> None:
    async with planner(service) as pilot:
        await pilot.press(*"be", "enter")
        await pilot.pause()
        await write(pilot, row(pilot, "glass 25"), "faint")
        await write(pilot, row(pilot, "doses"), "0 25 50 zz")
        await pilot.pause()
        assert row(pilot, "doses").is_wrong
        assert "Begin with a number" in text(pilot, "#trial-hint")
        await write(pilot, row(pilot, "doses"), "10 25")
        await pilot.pause()
        await pilot.pause()
        assert row(pilot, "glass 25").text == "faint"
        assert "dilute the stock" in text(pilot, "#trial-ask")


async def test_the_chosen_dose_is_offered_at_the_workbench_afterwards(service: OpenCellar) -> None:
    async with planner(service) as pilot:
        await pilot.press(*"be", "enter")
        await go(pilot, row(pilot, "chosen"))
        await pilot.press(*"75", "enter", "escape")
        await pilot.pause(0.3)
        screen = pilot.app.screen
        assert isinstance(screen, WorkbenchScreen)
        choose(screen, "fining_dose")
        await pilot.pause()
        assert row(pilot, "dose").text == "75"
        assert beside(pilot, "dose").startswith("g/hL trial of bentonite")


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 45)])
async def test_the_planner_shows_glasses_and_result_in_every_size(service: OpenCellar, size: tuple[int, int]) -> None:
    async with planner(service, size) as pilot:
        await pilot.press(*"be", "enter")
        await go(pilot, row(pilot, "chosen"))
        await pilot.press(*"50")
        await pilot.pause()
        field = row(pilot, "chosen")
        assert field.region.height == 1
        assert field.region.bottom < size[1]
        assert pilot.app.screen.query_one(".main-words", Static).region.height


async def test_escape_leads_back_to_the_cellar_step_by_step(service: OpenCellar) -> None:
    async with planner(service) as pilot:
        for expected in (WorkbenchScreen, HomeScreen):
            await pilot.press("escape")
            await pilot.pause(0.3)
            assert isinstance(pilot.app.screen, expected)
