"""Law 1: the plan follows from ledger and house rules alone; today only sorts it."""

from __future__ import annotations

import os
import subprocess
import sys

from hypothesis import given
from hypothesis import strategies as st

from tests.laws import statements as laws
from tests.laws.book import Book
from tests.laws.examples import BOOKS, IN_MEMORY

PROGRAM = """
from tests.laws.picture import picture
from tests.planning import stories
print(repr(picture(stories.sweetened().entries)))
"""


@given(BOOKS)
@IN_MEMORY
def test_the_same_ledger_gives_the_same_plan(book: Book) -> None:
    laws.the_same_ledger_gives_the_same_plan(book)


@given(BOOKS, st.integers(-10, 400))
@IN_MEMORY
def test_today_sorts_the_actions_and_moves_none(book: Book, days: int) -> None:
    laws.today_moves_nothing_but_the_list(book, days)


def test_the_plan_is_the_same_in_every_run_of_the_program() -> None:
    told = set()
    for seed in ("1", "2"):
        run = subprocess.run(
            [sys.executable, "-c", PROGRAM],
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
        )
        told.add(run.stdout)
    assert len(told) == 1
