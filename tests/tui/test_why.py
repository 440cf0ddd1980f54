"""Every number says why: its formula, the entries it rests on, its source; Enter on an input opens the entry."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from textual.pilot import Pilot

from cellar_tui.language import explain
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.outcomes import task as as_task
from cellar_tui.service.views import BoardLine
from cellar_tui.tui.screens.home import HomeScreen
from cellar_tui.tui.screens.why import Row, WhyScreen, chains_of
from cellar_tui.tui.screens.wine_figures import Item, figure_items
from cellar_tui.tui.screens.wine_lines import due_items, path_items
from cellar_tui.tui.widgets.form_panel import FormPanel
from cellar_tui.tui.widgets.lines import Lines
from tests.tui.demo import demo
from tests.tui.seen import choose, flat, opened, text

CONSTANT = re.compile(r"house rule \w+|common practice|source not verified|computed|assumed|Source: .*\b(19|20)\d\d\b")
"""What names the constant or the practice that a number rests on where no entry does."""


@pytest.fixture(scope="module")
def service() -> Iterator[OpenCellar]:
    with demo() as found:
        yield found


def working(pilot: Pilot[int]) -> list[Row]:
    screen = pilot.app.screen
    assert isinstance(screen, WhyScreen), text(pilot)
    return list(screen.query_one(Lines).rows)


def holds(rows: list[Row]) -> bool:
    """Return whether a working names an entry or a constant, and a source."""
    told = " ".join(row.text for row in rows)
    return "Source:" in told and (any(row.entries for row in rows) or bool(CONSTANT.search(told)))


async def test_w_in_the_cellar_says_why_with_every_number_of_the_line(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        home = pilot.app.screen
        assert isinstance(home, HomeScreen)
        for name in ("Barrel 2", "Demijohn 3", "Tub 1"):
            choose(pilot, name)
            line = home.listing.selected
            assert isinstance(line, BoardLine)
            await pilot.press("w")
            await pilot.pause()
            rows = working(pilot)
            assert holds(rows)
            told = " ".join(row.text for row in rows)
            for number, value in (("pH", line.ph), ("free SO2", line.so2), ("volume", line.volume)):
                assert value is None or number in told
            await pilot.press("escape")
            await pilot.pause()


def lines_of(service: OpenCellar, name: str) -> list[Item]:
    """Return every line of a wine's page that is no entry: verdicts, figures, what is due, the way to bottling."""
    view = service.view.wine(name)
    assert view.plan is not None
    assert view.day is not None
    tasks = [as_task(one, view.info, view.plan.wine, view.today) for one in view.day.actions]
    return [*figure_items(view), *due_items(tasks, view), *path_items(view)]


def test_every_number_date_and_verdict_of_every_wine_has_a_why(service: OpenCellar) -> None:
    for line in service.view.board().lines:
        for item in lines_of(service, line.name) if line.wine is not None else ():
            assert item.because is not None, f"{line.name}: {item.head} {item.text}"
            rows = [Row(one.text, one.entries) for one in explain.working(item.because)]
            assert holds(rows), f"{line.name}: {item.head} {item.text}"


async def test_w_opens_the_why_of_every_line_of_a_wine(service: OpenCellar) -> None:
    async with opened(service, (140, 45)) as pilot:
        choose(pilot, "Demijohn 3")
        await pilot.press("enter")
        await pilot.pause()
        for which in ("#figures", "#lines"):
            found = pilot.app.screen.query_one(which, Lines)
            pilot.app.screen.set_focus(found)
            for index, item in enumerate(found.rows):
                if isinstance(item, Item) and item.written is None:
                    found.select(index)
                    await pilot.press("w")
                    assert holds(working(pilot)), f"{item.head} {item.text}"
                    await pilot.press("escape")


async def test_enter_on_an_input_opens_its_entry(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        choose(pilot, "Barrel 2")
        await pilot.press("w")
        await pilot.pause()
        screen = pilot.app.screen
        assert isinstance(screen, WhyScreen)
        row = screen.query_one(Lines).selected
        assert isinstance(row, Row)
        assert row.entries, "the cursor begins on an input"
        await pilot.press("enter")
        await pilot.pause()
        assert f"Entry {row.entries[0]}" in flat(pilot)
        assert "As typed" in flat(pilot)
        await pilot.press("escape")
        await pilot.pause()
        assert pilot.app.screen is screen
        await pilot.press("home", "enter")
        await pilot.pause()
        assert "rests on no entry" in flat(pilot)


def test_a_corrected_input_is_opened_with_its_whole_history(service: OpenCellar) -> None:
    everything = {line.entry.seq: line for line in service.view.ledger()}
    corrected = next(line for line in everything.values() if line.state == "standing" and line.entry.supersedes)
    root = corrected.entry
    while root.supersedes is not None:
        root = everything[root.supersedes].entry
    found = chains_of(list(everything.values()), [root.seq])
    assert found[0].entry.seq == root.seq
    assert found[-1].entry.seq == corrected.entry.seq
    assert [one.state for one in found][:-1] != []


async def test_an_open_form_shows_the_working_of_every_number_and_date_it_shows(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        choose(pilot, "Barrel 2")
        await pilot.press("a", "5", "f2")
        await pilot.pause()
        rows = working(pilot)
        assert holds(rows)
        told = " ".join(" ".join(row.text for row in rows).split())
        # 5 g x 0.576 in 56 L is 51.4 mg/L.
        assert "rise 51 mg/L" in told
        assert "fraction of SO2 in it 0.576" in told
        assert "test free SO2: " in told
        assert "before: free SO2 26 mg/L" in told
        await pilot.press("escape")
        await pilot.pause()
        form = pilot.app.screen.query_one(FormPanel)
        assert form.is_open
        assert form.texts()["amount"] == "5", "the form stays as it was"
        await pilot.press("escape")


async def test_an_action_of_the_round_shows_the_working_of_its_dose(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await pilot.press("d", "enter")
        await pilot.pause()
        await pilot.press("f2")
        await pilot.pause()
        assert holds(working(pilot)), "an action says why before anything is typed"
        await pilot.press("escape")
        await pilot.pause()
        screen = pilot.app.screen
        for _ in range(12):
            if screen.asked is not None and screen.asked.action.dose is not None:  # type: ignore[attr-defined]
                break
            await pilot.press("ctrl+n")
            await pilot.pause()
        await pilot.press("f2")
        await pilot.pause()
        rows = working(pilot)
        assert holds(rows)
        assert any(": the dose" in row.text for row in rows)
        await pilot.press("escape", "escape")
