"""The cellar as text: groups, the strip of days, the days in words, and what has room at each size."""

from __future__ import annotations

import math
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import pytest

from cellar_tui.language.clean_text import CUT, cells
from cellar_tui.planning.estimate import Fading
from cellar_tui.planning.plan import Fact
from cellar_tui.planning.rules.so2_recheck import ID as RECHECK
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Board, BoardLine
from cellar_tui.tui.screens import about, fortnight, home_picture, home_rows
from cellar_tui.tui.screens.home_rows import Group
from cellar_tui.tui.widgets.toned import text_of
from tests.tui.demo import demo
from tests.tui.seen import flat, opened, text

SIZES = ((60, 20), (80, 24), (80, 50), (100, 30), (120, 24), (140, 45), (200, 60))


@pytest.fixture(scope="module", name="service")
def _service() -> Iterator[OpenCellar]:
    with demo() as service:
        yield service


@pytest.fixture(scope="module", name="board")
def _board(service: OpenCellar) -> Board:
    return service.view.board()


def line(board: Board, name: str) -> BoardLine:
    return next(one for one in board.lines if one.name == name)


def strip(board: Board, name: str, days: int = 14) -> str:
    return text_of(fortnight.strip(line(board, name), board.today, days))


def test_the_picture_of_the_cellar_is_made_without_the_framework() -> None:
    program = "import sys, cellar_tui.tui.screens.home_picture; print(' '.join(sys.modules))"
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert not {"textual", "rich"} & set(run.stdout.split())


# -- groups


def test_places_stand_together_each_under_its_head(board: Board) -> None:
    rows = home_rows.rows(board.lines, "place")
    heads = [one.name for one in rows if isinstance(one, Group)]
    assert any(one.startswith("north wall · 3 vessels · ") for one in heads)
    at = next(i for i, one in enumerate(rows) if one.name.startswith("north wall"))
    assert [one.name for one in rows[at + 1 : at + 4]] == ["Barrel 1", "Barrel 2", "Barrel 3"]


def test_a_wine_in_several_vessels_stands_before_those_in_one(board: Board) -> None:
    rows = home_rows.rows(board.lines, "wine")
    assert rows[0].name.startswith("Field red 25 · 3 vessels")
    assert [one.name for one in rows[1:4]] == ["Barrel 1", "Barrel 2", "Barrel 3"]
    assert rows[4].name.startswith("in one vessel each")


@pytest.mark.parametrize("order", home_rows.ORDERS)
def test_bottles_and_empty_vessels_stand_last_unless_something_of_theirs_is_due(board: Board, order: str) -> None:
    rows = home_rows.rows(board.lines, order)
    at = next(i for i, one in enumerate(rows) if one.name == "bottled 3 · empty 1")
    resting = rows[at + 1 :]
    assert [one.name for one in resting][-1] == "Demijohn 6"
    assert all(isinstance(one, BoardLine) and one.next is None for one in resting)
    # The bottles of Meadow white 25 are to be tasted in July: they stay among the others.
    assert "Meadow white 25 bottles" in [one.name for one in rows[:at]]
    assert sorted(one.name for one in rows if isinstance(one, BoardLine)) == sorted(one.name for one in board.lines)


async def test_the_cursor_passes_the_head_of_a_group_by(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await pilot.press("s", "home")
        home = pilot.app.screen
        seen = []
        for _ in range(len(home.listing.rows)):  # type: ignore[attr-defined]
            seen.append(home.listing.selected.name)  # type: ignore[attr-defined]
            await pilot.press("down")
        assert len(set(seen)) == len(service.view.board().lines)
        assert not any("vessel" in one for one in seen)


# -- the strip


def test_the_strip_counts_what_is_due_each_day(board: Board) -> None:
    for one in board.lines:
        marks = text_of(fortnight.strip(one, board.today, 28))
        assert cells(marks) == 28 * fortnight.CELLS
        for at in range(1, 28):
            due = sum(task.action.show == board.today + timedelta(days=at) for task in one.actions)
            assert marks[2 * at].isdigit() == (due > 0)
            assert not due or int(marks[2 * at]) == due
        assert (marks[0] == "!") == any(task.status == "late" for task in one.actions)


def test_free_so2_to_be_tested_is_shaded_and_darker_once_it_is_likely_under_its_target(board: Board) -> None:
    # 30 mg/L that halves in ten days is 24.4 on the third day and 22.7 on the fourth, under a target of 23.
    held, today = line(board, "Barrel 3"), board.today
    fading = Fading(30, math.log(2) / 10, today, today, 3.5)
    action = next(one for one in held.actions if one.action.rule == RECHECK)
    because = replace(action.action.because, facts=(Fact(fortnight.TARGET, 23.0, "mg/L"),))
    due = replace(action.action, show=today + timedelta(days=2), because=because)
    told = replace(held, fading=fading, actions=(replace(action, action=due, status="ahead"),))
    assert text_of(fortnight.strip(told, today, 7)) == "    1░░░▒▒▒▒▒▒"


def test_a_recheck_names_the_target_that_the_strip_is_shaded_by(board: Board) -> None:
    rechecks = [one.action for each in board.lines for one in each.actions if one.action.rule == RECHECK]
    assert rechecks
    named = [any(fact.name == fortnight.TARGET for fact in one.because.facts) for one in rechecks]
    assert sum(named) >= len(named) / 2, "those that follow the forecast; a test some days after work names none"


def test_a_wine_in_its_cold_hold_is_marked_until_the_hold_ends(board: Board) -> None:
    assert strip(board, "Steel 2").count("=") > 20
    held = line(board, "Steel 2")
    ending = replace(held.actions[0].action, rule=fortnight.HOLD_END, show=board.today + timedelta(days=3))
    ended = replace(held, actions=(replace(held.actions[0], action=ending),))
    assert text_of(fortnight.strip(ended, board.today, 14)) == "======1=" + " " * 20


def test_plain_letters_stand_where_blocks_cannot(board: Board) -> None:
    marks = "".join(text_of(fortnight.strip(one, board.today, 14, fortnight.PLAIN)) for one in board.lines)
    assert marks.isascii()


# -- the days in words


def test_vessels_of_one_kind_are_named_once() -> None:
    assert fortnight.together(["Barrel 1", "Barrel 2", "Barrel 3", "Tub 1"]) == "Barrel 1, 2, 3, Tub 1"
    assert fortnight.together(["Amphora", "Tank A", "Tank B"]) == "Amphora, Tank A, Tank B"


def test_the_two_weeks_name_every_action_that_is_due_in_them(board: Board) -> None:
    told = " ".join(text_of(one) for one in fortnight.agenda(board, 200, 60, "metric"))
    for one in (task for each in board.lines for task in each.actions):
        if one.action.show <= board.today + timedelta(days=13):
            assert fortnight._what(one, "metric") in told
            assert one.vessel.split()[0] in told
    assert "sorbate 1.9 g" in told


def test_with_less_room_it_is_one_week_then_counts_then_nothing(board: Board) -> None:
    heights = {height: fortnight.agenda(board, 70, height, "metric") for height in range(45)}
    titles = [text_of(found[0]) if found else "" for found in heights.values()]
    assert titles == sorted(titles, key=("", "This week", "Two weeks").index)
    assert set(titles) == {"", "This week", "Two weeks"}
    assert all(len(found) <= height for height, found in heights.items())
    # The title and seven days: the counts alone.
    assert titles[7:9] == ["", "This week"]
    assert text_of(heights[8][1]) == f"Thu 26  {board.late + board.due_today}"


def test_a_day_with_very_much_to_do_says_how_much_is_left_out(board: Board) -> None:
    busy = line(board, "Tub 1")
    many = tuple(replace(busy.actions[0], vessel=f"Tank {number}") for number in range(200))
    crowded = replace(board, lines=(replace(busy, actions=many),))
    told = [text_of(one) for one in fortnight.agenda(crowded, 70, 40, "metric")]
    assert sum("Tank" in one for one in told) <= fortnight.MOST_LINES
    assert any(" more" in one for one in told)


# -- the whole


@pytest.mark.parametrize("size", SIZES)
def test_every_part_has_its_room_and_no_more(board: Board, size: tuple[int, int]) -> None:
    width, height = size
    place = home_picture.layout(width, height, len(board.lines))
    assert 0 < place.selected <= place.below < height - home_picture.EDGES
    assert sum(place.parts) + home_picture.GAP * (len(place.parts) - 1) == width
    strip_part = place.strip_width + home_picture.GAP if place.days else 0
    assert width - 1 <= place.list_width + strip_part + 1 <= width + 1
    for told, room in (
        (home_picture.ahead(board, "metric", place), place.parts[1] if place.days else width),
        (home_picture.selected(board.lines[0], board, "metric", place, ""), place.parts[0]),
    ):
        assert all(cells(text_of(one)) <= room for one in told)
        assert len(told) <= place.below


@pytest.mark.parametrize("rows", [0, 1, 4, 40, 10_000])
@pytest.mark.parametrize("size", [(1, 1), (20, 5), (40, 12), *SIZES])
def test_a_list_of_any_length_keeps_lines_of_its_own(size: tuple[int, int], rows: int) -> None:
    place = home_picture.layout(*size, rows)
    assert place.below >= place.selected >= 1
    if size[1] >= 12:
        assert size[1] - home_picture.EDGES - place.below >= min(rows, 4)


@pytest.mark.parametrize("width", [36, 56, 78])
def test_the_selected_vessel_is_told_in_whole_sentences(board: Board, width: int) -> None:
    for one in board.lines:
        told = [text_of(part) for part in about.told(one, (), board.today, "metric", width)]
        assert all(cells(text) <= width for text in told[2:])
        reasons = [text for text in told if text.startswith("Why")]
        assert not reasons or width < 56 or not any(text.endswith(CUT) for text in told[2:])
        assert len(told) <= 6


async def test_the_last_entries_of_all_hands_stand_on_a_wide_screen(service: OpenCellar) -> None:
    async with opened(service, (140, 45)) as pilot:
        seen = text(pilot)
        assert "Lately" in seen
        assert "jon" in seen.split("Lately")[1]
        assert "ida" in seen.split("Lately")[1]
        assert "Two weeks" in seen
        assert "free SO2 to be tested" in seen
        await pilot.pause(5)
        assert "To get until 24 Feb" in flat(pilot)
        assert "potassium metabisulfite" in seen.split("Lately")[0] + flat(pilot)


async def test_an_entry_that_was_taken_back_is_not_among_the_last(service: OpenCellar) -> None:
    names = {one.number: one.name for one in service.view.board().lines}
    newest = service.view.newest(5, names)
    assert [one.entry.seq for one in newest] == sorted((one.entry.seq for one in newest), reverse=True)
    ledger = {one.entry.seq: one.state for one in service.view.ledger()}
    assert {ledger[one.entry.seq] for one in service.view.newest(40, names)} == {"standing"}
