"""The cells of a reading sheet: what is typed stands in the cell that the cursor is in."""

from __future__ import annotations

import pytest

from cellar_tui.entry_form.sheet import ALL, METHOD, Sheet
from cellar_tui.entry_form.sheet_cells import DAY_ROW, SheetCells
from cellar_tui.entry_form.typed_line import Press
from cellar_tui.service.open import OpenCellar
from cellar_tui.service.views import Request


@pytest.fixture
def cells(service: OpenCellar) -> SheetCells:
    """Two vessels of one wine, with pH, free SO2 and its method."""
    service.recorder.record(Request("Demijohn 1", "split", {"to": "Demijohn 2", "volume": "10"}))
    found = SheetCells(Sheet(service, {}))
    found.show(found.sheet.listed(ALL), ("ph", "free_so2", METHOD))
    found.go(0, 0)
    return found


def typed(cells: SheetCells, *keys: str) -> dict[tuple[int, str], str]:
    for key in keys:
        cells.press(Press(key, key if len(key) == 1 else ""))
    return {
        (cells.rows[row].number, name): text
        for row in (0, 1)
        for name in cells.columns
        if (text := cells.sheet.texts.get((cells.rows[row].number, name), ""))
    }


def test_the_first_letter_in_a_cell_takes_the_place_of_what_stood_there(cells: SheetCells) -> None:
    first = cells.rows[0].number
    assert typed(cells, *"3.4", "tab", *"28", "shift+tab", *"3.5") == {(first, "ph"): "3.5", (first, "free_so2"): "28"}


def test_backspace_takes_a_letter_and_on_a_cell_that_was_come_to_all_of_it(cells: SheetCells) -> None:
    first = cells.rows[0].number
    assert typed(cells, *"3.44", "backspace") == {(first, "ph"): "3.4"}
    assert typed(cells, "down", "up", "backspace") == {}


def test_delete_and_ctrl_u_clear_a_cell(cells: SheetCells) -> None:
    assert typed(cells, *"3.4", "delete") == {}
    assert typed(cells, *"3.4", "ctrl+u") == {}


def test_a_method_is_known_by_its_beginning_once_it_is_left(cells: SheetCells) -> None:
    first = cells.rows[0].number
    assert typed(cells, "tab", *"28", "tab", *"asp", "tab")[first, METHOD] == "aspiration"


def test_a_pasted_column_fills_the_rows_below(cells: SheetCells) -> None:
    first, second = (one.number for one in cells.rows)
    cells.press(Press("paste", "3.4\t28\n3.5\t30\n3.6\n"))
    assert cells.sheet.texts == {
        (first, "ph"): "3.4",
        (first, "free_so2"): "28",
        (second, "ph"): "3.5",
        (second, "free_so2"): "30",
    }


def test_the_day_is_the_cell_above_the_rows(cells: SheetCells) -> None:
    typed(cells, "up", *"-2d")
    assert (cells.row, cells.sheet.at) == (DAY_ROW, "-2d")
