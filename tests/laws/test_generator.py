"""The generator of cellars really draws what the laws are about: a law over nothing holds always."""

from __future__ import annotations

from collections import Counter

from hypothesis import given, settings

from cellar_tui.ledger.standing import chains
from cellar_tui.planning.consider import CellarState
from tests.laws.book import Book
from tests.laws.cellars import ACTS
from tests.laws.examples import BOOKS, IN_MEMORY

DRAWN = {*ACTS, "amend: another day", "amend: another vessel", "amend: other words", "back-dated", "with an hour"} - {
    "amend"
}
MET = {
    "several parents",
    "a store",
    "same moment",
    "long chain",
    "shown",
    "waived",
    "in_progress",
    "no_wine",
    "overfull",
}


def test_every_kind_of_act_is_drawn_and_happens() -> None:
    acts: Counter[str] = Counter()

    @settings(IN_MEMORY, max_examples=200)
    @given(BOOKS)
    def draw(book: Book) -> None:
        acts.update(book.acts)
        found = CellarState(book.entries)
        acts.update(one.code for one in found.cellar.problems)
        acts.update(one.state for plan in found.plans.values() for one in plan.verdicts.values())
        acts["several parents"] += any(len(one.parents) > 1 for one in found.cellar.holds.values())
        acts["a store"] += any(one.store for one in found.cellar.holds.values())
        acts["same moment"] += len({one.position[:2] for one in found.ordered}) < len(found.ordered)
        acts["long chain"] += any(len(one.links) > 2 for one in chains(book.entries).values())

    draw()
    few = {name: acts[name] for name in DRAWN | MET if acts[name] < 2}
    assert few == {}
