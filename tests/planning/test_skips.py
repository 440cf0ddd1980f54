"""A skip ends its cycle, not its subject: the action comes back by its day, in 30 days, or when it is needed again."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from cellar_tui.ledger import kinds as k
from cellar_tui.planning.planner import plan
from cellar_tui.planning.rules.table import RULES
from tests.planning.stories import (
    Story,
    clear,
    day,
    dry,
    fermenting,
    kept,
    ready_to_sweeten,
    sweetened,
)

Tale = Callable[[], Story]


def listed(story: Story, rule: str) -> tuple[str, str] | None:
    """Return the window in which an action stands on the list, None where it does not."""
    s = story.subject()
    found = [one for one in plan(s.c, s.vessel, s.house).actions if one.rule == rule]
    return (found[0].due.isoformat(), found[0].latest.isoformat()) if found else None


def until(story: Story, on: str, action: str, last: str) -> Story:
    """Skip an action until a day."""
    return story.record(on, k.Skip(action=action, until=day(last), reason="away"))


def low() -> Story:
    """Free SO2 of 15 mg/L where 20.4 and a margin of 5 are wanted."""
    return kept().reading("2026-11-20", free_so2=15, method="aspiration")


# Skipped on 21 November: 30 days later it is 21 December.
SKIPPED: dict[str, tuple[Tale, str, str | None]] = {
    "before it is skipped": (low, "sulfite", "2026-11-20"),
    "skipped: back after 30 d": (lambda: low().skip("2026-11-21", "sulfite"), "sulfite", "2026-12-21"),
    "a later reading that is low: back that day": (
        lambda: low().skip("2026-11-21", "sulfite").reading("2026-12-01", free_so2=9, method="aspiration"),
        "sulfite",
        "2026-12-01",
    ),
    "a later reading that is not low: no longer due": (
        lambda: low().skip("2026-11-21", "sulfite").reading("2026-12-01", free_so2=30, method="aspiration"),
        "sulfite",
        None,
    ),
    "what has nothing to do with it leaves it": (
        lambda: low().skip("2026-11-21", "sulfite").check("2026-12-01", "smell"),
        "sulfite",
        "2026-12-21",
    ),
    "skipped twice: 30 d from the second": (
        lambda: low().skip("2026-11-21", "sulfite").skip("2026-12-21", "sulfite"),
        "sulfite",
        "2027-01-20",
    ),
    "skipped until a day: back on that day": (
        lambda: until(low(), "2026-11-21", "sulfite", "2026-12-05"),
        "sulfite",
        "2026-12-05",
    ),
    "until a day, and a low reading before it": (
        lambda: until(low(), "2026-11-21", "sulfite", "2026-12-05").reading("2026-11-30", free_so2=9),
        "sulfite",
        "2026-11-30",
    ),
    "a house rule of 10 d": (
        lambda: low().house(skip_holds=10).skip("2026-11-21", "sulfite"),
        "sulfite",
        "2026-12-01",
    ),
    "a level look until a day": (
        lambda: until(kept(), "2026-11-12", "level_look", "2026-11-20"),
        "level_look",
        "2026-11-20",
    ),
    "a sign of bacteria": (
        lambda: clear().check("2026-11-05", "gas", "fail").skip("2026-11-06", "malolactic_unwanted"),
        "malolactic_unwanted",
        "2026-12-06",
    ),
    "another sign after it": (
        lambda: (
            clear()
            .check("2026-11-05", "gas", "fail")
            .skip("2026-11-06", "malolactic_unwanted")
            .check("2026-11-12", "gas", "fail")
        ),
        "malolactic_unwanted",
        "2026-11-12",
    ),
}


@pytest.mark.parametrize("name", SKIPPED)
def test_a_skip_ends_its_cycle(name: str) -> None:
    story, rule, due = SKIPPED[name]
    assert listed(story(), rule) == (None if due is None else (due, due))


def asks_for_a_day(story: Story) -> set[str]:
    """Return the actions due that only a day until which they may wait lets skip."""
    s = story.subject()
    asked = {action.rule for action in plan(s.c, s.vessel, s.house).actions}
    return {rule.id for rule in RULES if rule.id in asked and rule.guards(s)}


def in_bottles(story: Story, on: str) -> Story:
    """Bottle it and look at its bottles."""
    story.record(on, k.Bottle(count=26, size=750))
    story.vessel = story.last()
    return story


@pytest.mark.parametrize(
    ("story", "asked"),
    [
        (dry, {"sulfite"}),
        (low, set()),
        (ready_to_sweeten, {"sorbate"}),
        (sweetened, {"refermentation_watch", "level_look"}),
        (lambda: dry(sg=0.9955), {"sulfite", "sugar_test"}),
        (
            lambda: fermenting("arrested_sweet").intent("2026-09-21", finish_sg=1.02).reading("2026-09-27", sg=1.02),
            {"arrest"},
        ),
        (lambda: in_bottles(sweetened(), "2026-12-10"), {"kept_bottle_check"}),
        (lambda: in_bottles(clear(), "2026-12-10"), set()),
    ],
    ids=[
        "the first sulfite",
        "a later one may simply be skipped",
        "sorbate before sugar",
        "the watch of a sweetened wine, and its airlock",
        "sugar that may be left",
        "the arrest",
        "bottles that hold sugar",
        "bottles of a dry wine",
    ],
)
def test_what_guards_a_wine_is_never_skipped_without_a_day(story: Tale, asked: set[str]) -> None:
    assert asks_for_a_day(story()) == asked
