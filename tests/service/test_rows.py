"""What is stored comes back as it was: entries and due actions survive the way through their rows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest
from hypothesis import given

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.cellar import Problem, VesselInfo
from cellar_tui.ledger.cellar_kinds import KINDS, Vessel, Void
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.fields import Spec, specs
from cellar_tui.planning.consider import CellarState
from cellar_tui.service import rows
from storage.rows import EntryRow
from tests.laws.book import Book
from tests.laws.examples import BOOKS, IN_MEMORY
from tests.planning import stories
from tests.planning.stories import Story

STORIES = (stories.kept, stories.arrested, stories.sweetened, stories.ready_to_sweeten, stories.clear, stories.red)


def through_the_store(entry: Entry) -> Entry:
    """Return an entry as it is read back from the row it was turned into."""
    made = rows.new_entry(entry, {1}, ())._asdict()
    kept = {name: value for name, value in made.items() if name not in ("vessels", "joins")}
    return rows.entry_of(EntryRow(seq=entry.seq, hash=b"", **kept))


def example_of(spec: Spec) -> Any:
    """Return a value of a field."""
    values: dict[str, Any] = {
        "number": (spec.low + min(spec.high, 1000.0)) / 3,
        "text": "smells of [pears] ☂",
        "yes_no": False,
        "choice": spec.choices[-1] if spec.choices else "",
        "date": date(2027, 2, 28),
        "vessel": 7,
        "list": (10.0, 20.5),
        "words": spec.choices[:2],
    }
    return values[spec.sort]


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda one: one.kind)
def test_an_entry_of_any_kind_comes_back_as_it_was(kind: type[k.Body]) -> None:
    full = kind(**{name: example_of(spec) for name, spec in specs(kind)})
    for body in (kind(), full):
        entry = Entry(
            9,
            b"0123456789abcdef",
            date(2026, 10, 1),
            485,
            datetime(2026, 10, 2, 8, 5, 9, tzinfo=UTC),
            "Ada",
            body,
            3,
            4,
            5,
            {"amount": "1/2 oz"},
            ("one_strip: read a second strip",),
            "known bag",
        )
        assert through_the_store(entry) == entry


@given(BOOKS)
@IN_MEMORY
def test_a_whole_ledger_comes_back_as_it_was(book: Book) -> None:
    assert [through_the_store(one) for one in book.entries] == book.entries


def test_a_withdrawal_knows_what_it_withdrew() -> None:
    entry = Entry(9, b"0123456789abcdef", date(2026, 10, 1), None, datetime(2026, 10, 2, tzinfo=UTC), "Ada", Void(7))
    assert through_the_store(entry).body == Void(7)


def test_moments_are_kept_in_utc_to_the_second() -> None:
    assert rows.stamp(datetime.fromisoformat("2026-10-25T02:30:15.9+02:00")) == "2026-10-25T00:30:15Z"


@pytest.mark.parametrize("story", STORIES, ids=lambda one: one.__name__)
def test_a_due_action_comes_back_from_the_board_as_it_was(story: Callable[[], Story]) -> None:
    for plan in CellarState(story().entries).plans.values():
        for action in plan.actions:
            again = rows.action_of(rows.action_row(action))
            assert again == action
            assert again.key == action.key


def test_the_board_shows_five_verdicts_as_five_signs() -> None:
    told = stories.all_but_air(volume=22.0)
    assert rows.letters(CellarState(told.entries).plans[told.vessel]) == "ww-ww"
    signs = list(rows.LETTERS.values())
    assert len(set(signs)) == len(signs) == 5


def test_an_empty_vessel_has_a_line_of_its_own() -> None:
    line = rows.filling_row(VesselInfo(3, "Fässchen", 10.0, "oak", "back wall"), None, 12)
    assert (line.name_key, line.wine, line.letters, line.summary, line.head) == ("fässchen", None, None, "empty", 12)


def test_a_wine_is_found_by_its_name_in_any_case() -> None:
    told = stories.kept()
    found = CellarState(told.entries)
    line = rows.filling_row(found.cellar.vessels[told.vessel], found.plans[told.vessel], 1)
    assert (line.wine, line.wine_key, line.style) == ("Hill", "hill", "dry_white")
    first = found.plans[told.vessel].actions[0]
    assert (line.next_action, line.next_show) == (first.rule, first.show.isoformat())


def test_only_the_lines_of_the_named_vessels_are_written() -> None:
    told = stories.kept()
    told.tell_vessel("oak", 50)
    found = CellarState(told.entries)
    found.cellar.problems.append(Problem(99, 1, "elsewhere"))
    fillings, actions, problems = rows.board(found.cellar, found.plans, {}, {told.vessel})
    assert [line.vessel for line in fillings] == [told.vessel]
    assert {line.vessel for line in actions} == {told.vessel}
    assert problems == []


def test_a_number_that_was_not_stated_is_not_kept_as_nought() -> None:
    entry = Entry(1, b"0" * 16, date(2026, 1, 1), None, datetime(2026, 1, 1, tzinfo=UTC), "Ada", k.Reading(ph=3.2), 1)
    made = rows.new_entry(entry, {1}, ())
    assert (made.ph, made.sg, made.volume) == (3.2, None, None)
    vessel = rows.new_entry(replace(entry, body=Vessel(name="V1")), {1}, ())
    assert "capacity" not in vessel.body
