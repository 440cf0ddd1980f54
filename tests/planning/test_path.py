"""The way to bottling: what is still to come, on which day at the earliest, and what holds it up."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from cellar_tui.language import describe_entry
from cellar_tui.planning.planner import Day, on_day, plan
from tests.planning.stories import (
    Story,
    all_but_air,
    arrested,
    clear,
    day,
    dry,
    fortified,
    kept,
    ready_to_sweeten,
    sweetened,
)


def seen(story: Story, today: str) -> Day:
    s = story.subject()
    return on_day(plan(s.c, s.vessel, s.house), day(today))


def days_of(story: Story, today: str) -> list[tuple[str, str]]:
    return [(one.action, one.earliest.isoformat()) for one in seen(story, today).path]


def test_a_clear_sweet_white_takes_77_days_from_the_chill_to_the_bottle() -> None:
    # Common practice: fridge 30 d (the cold test in its last 3), racking and 14 d, sorbate 1 d, watch 28 d, final
    # SO2 4 d: 77 d.
    story = clear("sweet_white").check("2026-11-01", "heat_test").intent("2026-11-01", minimum_age=0)
    assert days_of(story.intent("2026-11-01", bottling="2026-11-02"), "2026-11-01") == [
        ("so2_recheck", "2026-11-01"),
        ("cold_hold_start", "2026-11-01"),
        ("cold_test", "2026-11-28"),
        ("cold_hold_end", "2026-12-01"),
        ("clarity_check", "2026-12-01"),
        ("sorbate", "2026-12-15"),
        ("sweeten", "2026-12-16"),
        ("refermentation_watch", "2026-12-16"),
        ("final_so2", "2027-01-13"),
        ("bottle", "2027-01-17"),
    ]
    assert date(2027, 1, 17) - date(2026, 11, 1) == timedelta(days=77)


def test_what_holds_the_bottling_up_is_named_with_its_days() -> None:
    story = clear("sweet_white").check("2026-11-01", "heat_test").intent("2026-11-01", minimum_age=0)
    found = seen(story.intent("2026-11-01", bottling="2026-11-02"), "2026-11-01")
    assert describe_entry.bottling(found.path, found.held_up_by) == (
        "Earliest bottling 17 Jan 2027: start the cold hold 27 d, test for crystals 3 d, check clarity 14 d, "
        "add sorbate 1 d, watch for refermentation 28 d, pre-bottling SO2 4 d."
    )


def test_a_wine_that_only_waits_for_its_age_says_so_and_when_the_work_could_be_done() -> None:
    # Five months from 13 October is 13 March; the watch of 28 d from 5 November ends on 3 December.
    found = seen(sweetened(), "2026-11-06")
    assert found.held_up_by == ()
    said = describe_entry.bottling(found.path, found.held_up_by)
    assert said == "Earliest bottling 13 Mar 2027: of age; all else can be done by 3 Dec 2026."


def test_days_already_served_count() -> None:
    for today in ("2026-11-06", "2026-11-20"):
        watch = next(one for one in seen(sweetened(), today).path if one.action == "refermentation_watch")
        assert (watch.earliest, watch.done) == (day(today), day("2026-12-03"))
    late = next(one for one in seen(sweetened(), "2027-01-10").path if one.action == "refermentation_watch")
    assert late.done == day("2027-01-10"), "what should be over is over today at the earliest"


def test_a_final_sulfite_that_is_closed_is_no_step_any_more() -> None:
    # Wished 20 January 2027; the final reading of the 16th closes it: only the bottling is left.
    story = all_but_air().reading("2027-01-13", free_so2=30, method="aspiration")
    assert "final_so2" in dict(days_of(all_but_air(), "2027-01-12"))
    assert "final_so2" not in dict(days_of(story, "2027-01-13"))
    assert days_of(story, "2027-01-13")[-1] == ("bottle", "2027-01-20")


def test_the_path_shortens_with_each_entry() -> None:
    steps = [[action for action, _ in days_of(story, "2026-11-10")] for story in (dry("sweet_white"), sweetened())]
    assert steps[0][0] == "sulfite"
    assert "sorbate" in steps[0]
    assert not {"sorbate", "sweeten", "cold_hold_start"} & set(steps[1])


def test_an_arrested_wine_leaves_the_cold_only_after_its_sorbate() -> None:
    path = [action for action, _ in days_of(arrested(), "2026-09-29")]
    assert path.index("sorbate") < path.index("cold_hold_end") < path.index("refermentation_watch")
    # Held still at 3, 7 and 14 d after 28 September; two cold rackings, the second 7 d after the first.
    assert ("cold_test", "2026-10-12") in days_of(arrested(), "2026-09-29")
    assert path.count("rack") == 2


@pytest.mark.parametrize(("times", "clear_from"), [(1, "2026-09-30"), (2, "2026-10-07"), (3, "2026-10-14")])
def test_an_arrested_wine_is_racked_cold_as_often_as_the_house_says(times: int, clear_from: str) -> None:
    # Arrested on 28 September: the first cold racking from 2 d after, each further one 7 d later at the earliest.
    path = days_of(arrested().house(cold_rackings=times), "2026-09-29")
    assert ("rack", "2026-09-30") in path
    assert dict(path)["clarity_check"] == clear_from


def test_a_must_is_shown_the_whole_way() -> None:
    path = [action for action, _ in days_of(Story("dry_red", sg=1.090), "2026-09-20")]
    assert path[:2] == ["yeast", "gravity_check"]
    assert path.index("malolactic_check") < path.index("sulfite") < path.index("final_so2") < path.index("bottle")
    assert days_of(fortified(), "2026-09-25")[-1] == ("bottle", "2027-09-20"), "12 months from its start"


def test_a_wished_day_that_is_too_early_does_not_move_the_path() -> None:
    # Four months from 20 September: no earlier than 20 January.
    assert days_of(kept(bottling="2026-12-01"), "2026-11-01")[-1] == ("bottle", "2027-01-20")


def test_a_wine_is_not_to_be_sweetened_twice() -> None:
    story = ready_to_sweeten()
    assert [action for action, _ in days_of(story, "2026-11-03")].count("sweeten") == 1
    assert "sweeten" not in [action for action, _ in days_of(sweetened(), "2026-11-06")]


def test_the_same_look_stands_on_one_day_in_the_list_and_on_the_way() -> None:
    # Racked on 18 October: the look is due 14 d later, on 1 November, and nowhere else.
    found = seen(kept(), "2026-10-25")
    (asked,) = [one.due for one in found.actions if one.rule == "clarity_check"]
    first = next(one for one in found.path if one.action == "clarity_check")
    assert asked == first.earliest == first.done == day("2026-11-01")
    late = next(one for one in seen(kept(), "2026-11-05").path if one.action == "clarity_check")
    assert late.earliest == day("2026-11-05"), "what is late can be done today at the earliest"


def test_a_look_at_malic_acid_stands_on_the_day_it_is_due() -> None:
    story = dry("dry_red", sg=0.994).add("2026-10-14", "malolactic_culture", 2)
    found = seen(story, "2026-10-16")
    (asked,) = [one.due for one in found.actions if one.rule == "malolactic_check"]
    first = next(one for one in found.path if one.action == "malolactic_check")
    assert asked == first.earliest == day("2026-10-28")  # 14 d after the culture


def test_a_wished_day_that_has_passed_moves_and_says_so() -> None:
    story = all_but_air().intent("2026-11-02", bottling="2027-01-20")
    before, after = (seen(story, on).path[-1] for on in ("2027-01-10", "2027-02-10"))
    assert "has passed" not in before.why
    assert after.earliest > day("2027-02-09")
    assert "20 Jan 2027, has passed: it moves to" in after.why
