"""Law 6 of sugar: never shown lower than what went in; never onto live yeast without a stop."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tests.laws import sugar_statements as laws
from tests.laws.book import Book
from tests.laws.examples import BOOKS, IN_MEMORY, SHORT_BOOKS


@given(BOOKS)
@IN_MEMORY
def test_sugar_is_never_shown_lower_than_what_went_in(book: Book) -> None:
    laws.sugar_is_never_shown_lower_than_what_went_in(book)


@given(SHORT_BOOKS, st.sampled_from(laws.SWEET), st.sampled_from((0.3, 0.5)))
@IN_MEMORY
def test_no_sugar_comes_onto_live_yeast_without_a_stop(book: Book, kind: str, share: float) -> None:
    laws.no_sugar_comes_onto_live_yeast_without_a_stop(book, kind, share)
