"""The board: what the list, the round and `due` print, written anew for the vessels of a save."""

from __future__ import annotations

import pytest

from storage.board_reads import Order
from storage.errors import Rejected
from storage.rows import ActionRow, FillingRow, ProblemRow
from storage.store import Store
from tests.storage.cellar import a_filling, an_action, cellar_with

EMPTY: dict[str, object] = {
    "filling": None,
    "wine": None,
    "wine_key": None,
    "style": None,
    "colour": None,
    "stage": None,
    "volume": None,
    "ph": None,
    "free_so2": None,
    "free_loss": None,
    "free_since": None,
    "read_on": None,
    "free_read": None,
    "letters": None,
    "air_until": None,
    "next_show": None,
    "next_action": None,
}

FILLINGS = [
    a_filling(1, "Carboy 1", next_show="2026-03-25", place="back wall", wine="Plum", wine_key="plum"),
    a_filling(2, "barrel A", next_show="2026-03-18", place="Øst", wine="Cabernet", wine_key="cabernet"),
    a_filling(3, "Tank", place="cool room", **EMPTY),
    a_filling(4, "Barrel B", next_show="2026-03-18", place="cool room", wine="Cabernet", wine_key="cabernet"),
    a_filling(5, "Old jug", next_show=None, retired=1, place="shed", wine=None, wine_key=None),
]


@pytest.fixture
def board(store: Store) -> Store:
    cellar_with(store, vessels=5)
    with store.write() as tx:
        tx.replace_all(
            FILLINGS,
            [
                an_action(1, "top_up", "2026-03-10", window_to="2026-03-12"),
                an_action(1, "so2_recheck", "2026-03-10", window_to="2026-03-16"),
                an_action(2, "rack", "2026-03-14"),
                an_action(2, "bottle", "2026-03-20"),
                an_action(4, "sorbate", "2026-03-14", expires="2026-03-13"),
                an_action(4, "rack", "2026-04-30"),
            ],
            [ProblemRow(2, 4, "more wine went out than lay in it"), ProblemRow(None, None, "the clock went back")],
        )
    return store


@pytest.mark.parametrize(
    ("order", "vessels"),
    [("due", [2, 4, 1, 5, 3]), ("name", [2, 4, 1, 5, 3]), ("place", [1, 4, 3, 5, 2]), ("wine", [2, 4, 1, 5, 3])],
)
def test_the_list_is_sorted(board: Store, order: Order, vessels: list[int]) -> None:
    assert [line.vessel for line in board.fillings(order)] == vessels


def test_the_list_comes_in_pages_and_can_be_narrowed(board: Store) -> None:
    def vessels(lines: list[FillingRow]) -> list[int]:
        return [line.vessel for line in lines]

    assert vessels(board.fillings("name", offset=1, limit=2)) == [4, 1]
    assert vessels(board.fillings("name", text="cabernet")) == [2, 4]
    assert vessels(board.fillings("name", text="øst")) == [2]
    assert vessels(board.fillings("name", text="%")) == []
    assert vessels(board.fillings("name", retired=False)) == [2, 4, 1, 3]
    assert board.fillings_count() == 5
    assert board.fillings_count(text="barrel", retired=False) == 2


def test_a_vessel_is_found_by_name_and_a_wine_in_all_its_vessels(board: Store) -> None:
    assert board.by_name("barrel b") == FILLINGS[3] == board.filling(4)
    assert board.by_name("barrel c") is None
    assert [line.vessel for line in board.by_wine("cabernet")] == [2, 4]
    assert board.vessels() == board.fillings("name")


def test_of_two_vessels_of_one_name_the_one_in_use_is_meant(board: Store) -> None:
    with board.write() as tx:
        tx.replace([3, 5], [a_filling(3, "Old jug"), a_filling(5, "Old jug", retired=1)], [], [])
    found = board.by_name("old jug")
    assert found is not None
    assert found.vessel == 3


def test_lines_come_back_as_they_were_written(board: Store) -> None:
    assert board.filling(3) == FILLINGS[2]
    dosed = an_action(
        3,
        "sulfite",
        dose_material="potassium_metabisulfite",
        dose_amount=2.0,
        dose_unit="g",
        dose_note="in water",
        hard=1,
        postponed=1,
        expires="2026-05-01",
        window_to="2026-03-23",
    )
    with board.write() as tx:
        tx.replace([3], [FILLINGS[2]], [dosed], [])
    assert board.actions([3]) == [dosed]


def test_actions_are_counted_as_late_for_today_and_this_week(board: Store) -> None:
    assert board.counts("2026-03-14", "2026-03-21") == (1, 2, 1)
    assert board.counts("2026-03-09", "2026-03-09") == (0, 0, 0)
    assert board.counts("2026-03-13", "2026-03-14") == (1, 1, 2)
    assert board.counts("2027-01-01", "2027-01-08") == (5, 0, 0)


def test_actions_come_by_the_day_they_show(board: Store) -> None:
    def named(actions: list[ActionRow]) -> list[tuple[int, str]]:
        return [(action.vessel, action.rule) for action in actions]

    assert named(board.actions(show_to="2026-03-14")) == [
        (1, "so2_recheck"),
        (1, "top_up"),
        (2, "rack"),
        (4, "sorbate"),
    ]
    assert named(board.actions({2})) == [(2, "rack"), (2, "bottle")]
    assert named(board.actions([])) == []
    assert len(board.actions()) == 6


def test_a_save_writes_its_own_vessels_anew_and_no_other(board: Store) -> None:
    with board.write() as tx:
        tx.replace({2, 3}, [a_filling(2, "barrel A", stage="ready")], [an_action(2, "bottle")], [ProblemRow(3, 5, "x")])
    assert [line.vessel for line in board.fillings("name")] == [2, 4, 1, 5]
    assert board.actions({1, 2, 4}) == [
        *board.actions({1}),
        *(action for action in board.actions() if action.vessel == 4 and action.rule == "sorbate"),
        an_action(2, "bottle"),
        *(action for action in board.actions() if action.vessel == 4 and action.rule == "rack"),
    ]
    assert board.problems() == [ProblemRow(None, None, "the clock went back"), ProblemRow(3, 5, "x")]
    assert board.problems(3) == [ProblemRow(3, 5, "x")]
    assert board.problems(2) == []


@pytest.mark.parametrize(
    ("fillings", "actions", "problems"),
    [
        ([a_filling(1)], [], []),
        ([], [an_action(1)], []),
        ([], [], [ProblemRow(1, 3, "x")]),
        ([], [], [ProblemRow(None, None, "x")]),
    ],
)
def test_a_save_cannot_write_another_vessels_lines(
    board: Store, fillings: list[FillingRow], actions: list[ActionRow], problems: list[ProblemRow]
) -> None:
    before = board.fillings(), board.actions(), board.problems()
    with pytest.raises(Rejected), board.write() as tx:
        tx.replace({2}, fillings, actions, problems)
    assert (board.fillings(), board.actions(), board.problems()) == before


@pytest.mark.parametrize(
    "wrong",
    [
        {"letters": "+~"},
        {"retired": 2},
        {"air_until": "soon"},
        {"next_show": "2026-3-1"},
        {"head": 99},
        {"ph": float("inf")},
        {"place": None},
        {"volume": "much"},
    ],
    ids=str,
)
def test_a_line_that_cannot_be_is_not_written(board: Store, wrong: dict[str, object]) -> None:
    with pytest.raises(Rejected), board.write() as tx:
        tx.replace({1}, [a_filling(1, **wrong)], [], [])
    assert board.filling(1) == FILLINGS[0]


def test_a_snapshot_shows_one_state_whatever_others_save(board: Store) -> None:
    with board.snapshot():
        before = board.fillings()
        assert board.fillings() == before
    with board.snapshot(), pytest.raises(ZeroDivisionError):
        raise ZeroDivisionError
    with board.write() as tx:
        tx.replace({1}, [], [], [])
    assert len(board.fillings()) == 4
