"""Law 11: every plan equals the plan for which each earlier moment is worked out on its own."""

from __future__ import annotations

import pytest
from hypothesis import given

from tests.bench import cellar
from tests.laws import moments
from tests.laws.book import Book
from tests.laws.examples import BOOKS, IN_MEMORY


@given(BOOKS)
@IN_MEMORY
def test_a_plan_equals_the_plan_worked_out_moment_by_moment(book: Book) -> None:
    moments.an_answer_holds_for_its_span(book.entries)


@pytest.mark.parametrize("tale", range(len(cellar.TALES)))
def test_so_does_the_plan_of_a_wine_kept_for_long(tale: int) -> None:
    moments.an_answer_holds_for_its_span(cellar.told(tale, 120))
