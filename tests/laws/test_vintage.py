"""Mass and bottles are conserved, and every trace is what walking the ledger by brute force finds."""

from __future__ import annotations

import pytest
from hypothesis import given

from cellar_tui.ledger import bottle_stock, fold, trace
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.trace import Origin
from tests.laws import vintage_statements as laws
from tests.laws.book import Book
from tests.laws.examples import BOOKS, IN_MEMORY
from tests.laws.faults import tried

STATEMENTS = (
    laws.what_wine_is_made_of_adds_up,
    laws.the_trace_is_what_walking_back_finds,
    laws.a_recall_finds_all_that_was_reached,
    laws.bottles_are_conserved,
    laws.a_store_holds_the_wine_of_its_bottles,
    laws.a_press_conserves_the_must,
)


@pytest.mark.parametrize("law", STATEMENTS)
@given(book=BOOKS)
@IN_MEMORY
def test_it_holds_of_any_cellar(law: object, book: Book) -> None:
    assert callable(law)
    law(book)


def caught(law: object, examples: int = 200) -> None:
    assert callable(law)
    with pytest.raises(AssertionError):
        tried(law, BOOKS, examples=examples)()


def test_a_trace_that_forgets_what_was_poured_in_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Origin, "plus", lambda self, other: self if self.litres else other)
    caught(laws.the_trace_is_what_walking_back_finds)


def test_a_trace_that_keeps_the_litres_of_what_was_spilt_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Origin, "scaled", lambda self, volume: self)
    caught(laws.what_wine_is_made_of_adds_up)


def test_a_recall_that_follows_no_bottling_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    real = trace._made

    def deaf(entry: object, place: int, *rest: object) -> Origin:
        made = real(entry, place, *rest)  # type: ignore[arg-type]
        return Origin(made.litres, frozenset()) if place == entry.root else made  # type: ignore[attr-defined]

    monkeypatch.setattr(trace, "_made", deaf)
    caught(laws.a_recall_finds_all_that_was_reached)


def test_bottles_drunk_without_their_wine_are_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(fold._APPLY, k.Bottles, fold._plain)
    caught(laws.a_store_holds_the_wine_of_its_bottles)


def test_a_count_that_lets_more_out_than_there_is_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bottle_stock, "min", max, raising=False)
    # Bottles have to leave one store twice, which is drawn seldom.
    caught(laws.bottles_are_conserved, examples=600)


def test_free_run_that_empties_the_press_is_caught(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(fold._APPLY, k.Press, fold._racking)
    caught(laws.a_press_conserves_the_must)
