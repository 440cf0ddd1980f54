"""Laws 3 and 4: corrected, withdrawn and late entries leave the plan of a ledger that was right and timely."""

from __future__ import annotations

from hypothesis import given

from tests.laws import statements as laws
from tests.laws.book import Book
from tests.laws.examples import BOOKS, IN_MEMORY, ORDERS


@given(BOOKS)
@IN_MEMORY
def test_what_stands_is_what_was_last_meant(book: Book) -> None:
    laws.what_stands_is_what_was_meant(book)


@given(BOOKS)
@IN_MEMORY
def test_a_corrected_ledger_plans_like_one_made_rightly(book: Book) -> None:
    laws.a_correction_is_as_if_made_rightly(book)


@given(BOOKS, ORDERS)
@IN_MEMORY
def test_late_entries_plan_like_timely_ones(book: Book, order: list[int]) -> None:
    laws.late_entries_change_nothing(book, order)
