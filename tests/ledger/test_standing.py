"""Chains of corrections and withdrawals: what stands, and when it counts as having happened."""

from __future__ import annotations

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.standing import chains, standing_entries
from tests.ledger.lines import Lines


def ph_that_stand(lines: Lines) -> list[float | None]:
    return [one.body.ph for one in standing_entries(lines.entries) if isinstance(one.body, k.Reading)]


def a_reading_corrected_twice() -> tuple[Lines, int, int, int]:
    lines = Lines(23)
    lines.wine()
    first = lines.read("2026-10-01", ph=3.1)
    second = lines.write("2026-10-01", k.Reading(ph=3.2), 1, first)
    third = lines.write("2026-10-01", k.Reading(ph=3.3), 1, second)
    return lines, first, second, third


def test_the_last_correction_stands() -> None:
    lines, *_ = a_reading_corrected_twice()
    assert ph_that_stand(lines) == [3.3]


def test_a_withdrawn_entry_takes_its_corrections_with_it() -> None:
    lines, first, _, third = a_reading_corrected_twice()
    lines.void(first, third)
    assert ph_that_stand(lines) == []


def test_a_withdrawn_correction_leaves_what_it_corrected() -> None:
    lines, _, _, third = a_reading_corrected_twice()
    lines.void(third)
    assert ph_that_stand(lines) == [3.2]


def test_a_correction_withdrawn_from_the_middle_takes_the_later_one_along() -> None:
    lines, _, second, third = a_reading_corrected_twice()
    lines.void(second, third)
    assert ph_that_stand(lines) == [3.1]


def test_the_undo_of_an_undo_brings_back_and_the_undo_of_that_withdraws_again() -> None:
    lines, first, _, third = a_reading_corrected_twice()
    void = lines.void(first, third)
    again = lines.void(void)
    assert ph_that_stand(lines) == [3.3]
    lines.void(again)
    assert ph_that_stand(lines) == []


def test_a_correction_made_after_an_undo_was_undone_stands() -> None:
    lines, first, _, third = a_reading_corrected_twice()
    back = lines.void(lines.void(first, third))
    lines.write("2026-10-01", k.Reading(ph=3.4), 1, back)
    assert ph_that_stand(lines) == [3.4]


def test_a_correction_keeps_its_place_among_entries_of_the_same_moment() -> None:
    lines = Lines(23)
    lines.wine()
    morning = lines.read("2026-10-01", ph=3.1)
    lines.add("2026-10-01", "potassium_metabisulfite", 2.0)
    lines.write("2026-10-01", k.Reading(ph=3.2), 1, morning)
    kinds = [one.body.kind for one in standing_entries(lines.entries)]
    assert kinds == ["vessel", "wine", "reading", "addition"]


def test_an_entry_without_an_hour_happened_at_noon() -> None:
    lines = Lines(23)
    lines.wine()
    for at, value in (("2026-10-01", 3.2), ("2026-10-01 18:00", 3.3), ("2026-10-01 08:00", 3.1)):
        lines.read(at, ph=value)
    assert ph_that_stand(lines) == [3.1, 3.2, 3.3]


def test_a_chain_knows_its_first_and_its_newest_link() -> None:
    lines, first, _, third = a_reading_corrected_twice()
    void = lines.void(first, third)
    chain = chains(lines.entries)[first]
    assert (chain.root.seq, chain.tip.seq, chain.standing) == (first, void, None)
    assert [link.seq for link in chain.links] == [first, first + 1, third, void]


def test_a_correction_may_move_an_entry_to_another_vessel_and_day() -> None:
    lines = Lines(23, 23)
    lines.finished(1)
    lines.finished(2)
    wrong = lines.read("2026-10-01", ph=3.1)
    lines.write("2026-09-25", k.Reading(ph=3.1), 2, wrong)
    assert lines.held(1).log == ()
    (event,) = lines.held(2).log
    assert (event.entry, event.on.isoformat()) == (wrong, "2026-09-25")
