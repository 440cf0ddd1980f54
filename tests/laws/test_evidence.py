"""Laws 7 and 8: no verdict without its evidence, no figure without its reason."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given

from cellar_tui.service.rows import entry_of
from storage.store import Store
from tests.laws import statements as laws
from tests.laws.book import Book
from tests.laws.examples import BOOKS, IN_MEMORY
from tests.planning import stories
from tests.planning.stories import Story

LATER = date(2027, 2, 1)
TOLD = (
    stories.fermenting,
    stories.dry,
    stories.kept,
    stories.red,
    stories.arrested,
    stories.fortified,
    stories.clear,
    stories.came_finished,
    stories.ready_to_sweeten,
    stories.sweetened,
    stories.all_but_air,
)
each_story = pytest.mark.parametrize("story", TOLD, ids=lambda one: one.__name__)


@given(BOOKS)
@IN_MEMORY
def test_a_verdict_is_shown_by_entries_that_stand_and_no_longer_without_them(book: Book) -> None:
    laws.no_verdict_without_evidence(book)


@given(BOOKS)
@IN_MEMORY
def test_every_action_dose_and_verdict_says_why(book: Book) -> None:
    laws.everything_has_its_reason(book.entries)


@each_story
def test_every_line_of_a_told_wine_says_why(story: Callable[[], Story]) -> None:
    laws.everything_has_its_reason(story().entries)


@each_story
def test_a_blend_leaves_no_verdict_shown(story: Callable[[], Story]) -> None:
    told = story()
    laws.a_blend_leaves_no_verdict_shown(told.entries, told.vessel, LATER)


@pytest.mark.parametrize("share", [0.01, 0.019, 0.021, 0.3])
@each_story
def test_verdicts_lapse_by_more_than_two_percent_of_another_wine(story: Callable[[], Story], share: float) -> None:
    told = story()
    laws.another_wine_topped_in_lets_verdicts_lapse(told.entries, told.vessel, LATER, share)


def test_the_stories_show_waive_and_begin_verdicts() -> None:
    states = {story().state(kind) for story in TOLD for kind in ("yeast", "bacteria", "air", "crystals", "haze")}
    assert {"shown", "waived", "in_progress", "not_yet"} <= states


def test_every_line_of_the_demo_cellar_says_why(tmp_path: Path) -> None:
    copy = tmp_path / "cellar.db"
    copy.write_bytes((Path(__file__).parents[2] / "demo_cellar.db").read_bytes())
    with Store.open(copy, read_only=True) as store:
        entries = [entry_of(row) for row in store.entries()]
    assert len(entries) > 50
    laws.everything_has_its_reason(entries)
