"""Law 6: nothing dissolved is lost or made by moving wine, and a blend takes the cautious side of every fact."""

from __future__ import annotations

from hypothesis import given

from tests.laws import statements as laws
from tests.laws.book import Book
from tests.laws.examples import BOOKS, IN_MEMORY


@given(BOOKS)
@IN_MEMORY
def test_no_addition_lowers_so2_sorbate_or_sugar(book: Book) -> None:
    laws.no_addition_lowers_a_mass(book)


@given(BOOKS)
@IN_MEMORY
def test_racking_topping_splitting_and_blending_conserve_the_wine(book: Book) -> None:
    laws.moving_wine_conserves_it(book)


@given(BOOKS)
@IN_MEMORY
def test_the_order_of_pouring_is_no_matter(book: Book) -> None:
    laws.the_order_of_pouring_is_no_matter(book)


@given(BOOKS)
@IN_MEMORY
def test_a_blend_takes_the_cautious_side_of_its_parts(book: Book) -> None:
    laws.a_blend_takes_the_cautious_side(book)
