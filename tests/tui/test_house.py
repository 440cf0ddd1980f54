"""The house rules at the keyboard: found, looked into, changed with every date shown first, put back, taken back."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.pilot import Pilot

from cellar_tui.ledger.cellar_kinds import HouseRule
from cellar_tui.ledger.house import SETTINGS
from cellar_tui.service.open import OpenCellar, open_cellar
from cellar_tui.tui.screens.home import HomeScreen
from cellar_tui.tui.screens.house import HouseScreen
from tests.opened import clock_of
from tests.tui.seen import SETTLED, cellar, flat, lines, opened, text
from tests.tui.typing import rest

WEIGHED = 0.7
"""Seconds after which the whole cellar has been weighed with what is typed."""


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    found.close()


async def find(pilot: Pilot[int], words: str) -> HouseScreen:
    """Open the house rules and look for words."""
    await pilot.press("o", "slash", *words, "enter")
    await pilot.pause()
    assert isinstance(pilot.app.screen, HouseScreen)
    return pilot.app.screen


def level_look(service: OpenCellar) -> str:
    """Return the day on which Demijohn 1 is to be looked at."""
    (found,) = [one for one in service.view.tasks() if (one.vessel, one.action.rule) == ("Demijohn 1", "level_look")]
    return found.action.due.isoformat()


def last(service: OpenCellar) -> HouseRule:
    entry = service.last_by("ida")
    assert entry is not None
    assert isinstance(entry.body, HouseRule)
    return entry.body


async def test_a_house_rule_is_found_changed_and_moves_the_cellars_dates(service: OpenCellar) -> None:
    assert level_look(service) == "2026-12-01"  # 30 d after 1 November
    async with opened(service) as pilot:
        await find(pilot, "days between checks of level")
        assert "30 d, the default · may be 3 to 180 d" in flat(pilot)
        assert "Dates Demijohn 1 ullage" in flat(pilot)
        await pilot.press("enter", "2", "0")
        await pilot.pause(WEIGHED)
        assert "1 date or dose moves in 1 vessel: Demijohn 1 · check level and airlock: 1 Dec → 21 Nov 2026" in (
            " ".join(one[42:].strip() for one in lines(pilot) if len(one) > 42)
        )
        assert level_look(service) == "2026-12-01"
        await pilot.press("enter")
        await pilot.pause()
        assert last(service) == HouseRule("level_days", "20")
        assert level_look(service) == "2026-11-21"
        assert "c level days" in text(pilot)
        assert "20 d, set by ida on 26 Nov 2026, entry" in flat(pilot)
        await pilot.press("u")
        await pilot.pause(SETTLED)
        assert "Taken back: house rule level days set to 20" in flat(pilot)
        assert level_look(service) == "2026-12-01"
        await pilot.press("escape", "escape")
        await pilot.pause()
        assert isinstance(pilot.app.screen, HomeScreen)


async def test_a_changed_house_rule_is_put_back_to_its_default_by_one_key_and_enter(service: OpenCellar) -> None:
    service.recorder.set_rule("level_days", "20")
    async with opened(service) as pilot:
        await find(pilot, "changed level")
        await pilot.press("x")
        await pilot.pause(WEIGHED)
        assert "21 Nov → 1 Dec 2026" in flat(pilot)
        assert service.view.house.number("level_days") == 20
        await pilot.press("enter")
        await pilot.pause()
        assert last(service) == HouseRule("level_days", None)
        assert service.view.house.number("level_days") == SETTINGS["level_days"].default
        assert level_look(service) == "2026-12-01"
        await pilot.press("slash", *"level_days", "enter")
        await pilot.pause()
        await pilot.press("x")
        await pilot.pause()
        assert "It stands at its default already." in text(pilot)


async def test_a_value_that_cannot_be_is_told_while_it_is_typed_and_nothing_is_kept(service: OpenCellar) -> None:
    count = service.entries()
    async with opened(service) as pilot:
        await find(pilot, "level_days")
        await pilot.press("enter", *"400")
        await pilot.pause(WEIGHED)
        assert "level days must lie between 3 and 180 d." in flat(pilot)
        assert "! value" in text(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert service.entries() == count
        await pilot.press(*["backspace"] * 3, *"2 weeks", "enter")
        await pilot.pause()
        assert last(service) == HouseRule("level_days", "14")


async def test_enter_on_what_was_not_changed_records_nothing(service: OpenCellar) -> None:
    count = service.entries()
    async with opened(service) as pilot:
        await find(pilot, "level_days")
        await pilot.press("enter")
        rest(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert "nothing to record" in flat(pilot)
        assert service.entries() == count


async def test_escape_keeps_what_was_typed_for_the_next_time(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await find(pilot, "level_days")
        await pilot.press("enter", "2", "5", "escape")
        await pilot.pause()
        assert "Kept as a draft" in text(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert "As you left it" in text(pilot)
        rest(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert last(service) == HouseRule("level_days", "25")


async def test_a_dropped_line_loses_no_value_that_was_being_typed(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await find(pilot, "level_days")
        await pilot.press("enter", "2", "5")
        pilot.app.leave(0)  # type: ignore[attr-defined]
    async with opened(service) as pilot:
        assert isinstance(pilot.app.screen, HomeScreen)
        assert "House rule · level days" in text(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert last(service) == HouseRule("level_days", "25")


async def test_a_house_rule_that_another_person_changed_meanwhile_is_shown_first(service: OpenCellar) -> None:
    other = open_cellar(service.path, clock_of(service), by="jon")
    async with opened(service) as pilot:
        await find(pilot, "level_days")
        await pilot.press("enter", "2", "0")
        other.recorder.set_rule("level_days", "40")
        await pilot.press("enter")
        await pilot.pause()
        assert "jon recorded on the cellar: house rule level days set to 40" in flat(pilot)
        assert service.view.house_ledger("rule", "level_days")[0].entry.by == "jon"
        rest(pilot)
        await pilot.press("enter")
        await pilot.pause()
        assert last(service) == HouseRule("level_days", "20")
    other.close()


async def test_why_names_the_source_the_entry_and_the_dates_that_rest_on_it(service: OpenCellar) -> None:
    service.recorder.set_rule("level_days", "20")
    service.recorder.set_rule("level_days", "25", by="jon")
    async with opened(service, (100, 40)) as pilot:
        await find(pilot, "level_days")
        await pilot.press("w")
        await pilot.pause()
        told = flat(pilot)
        assert "Now 25 d, set by jon on 26 Nov 2026, entry" in told
        assert "Source common practice" in told
        assert "May be 3 to 180 d" in told
        assert "Demijohn 1 · Terrace · check level and airlock, " in told
        assert "jon: 25" in told
        assert "ida: 20" in told


async def test_every_house_rule_can_be_reached_and_stands_under_its_topic(service: OpenCellar) -> None:
    async with opened(service, (140, 45)) as pilot:
        await pilot.press("o")
        await pilot.pause()
        house = pilot.app.screen
        assert isinstance(house, HouseScreen)
        assert house.rule is not None
        reached = [house.rule.setting]
        for _ in range(len(SETTINGS) - 1):
            house.listing.action_move(1)
            assert house.rule is not None
            reached.append(house.rule.setting)
        assert reached == list(SETTINGS.values())
        house.listing.action_edge(0)
        await pilot.pause()
        assert "The house" in lines(pilot)[2]
        assert "Waterhouse, Sacks" not in text(pilot)
        await pilot.press("slash", *"free floor")
        await pilot.pause()
        assert "20 mg/L" in text(pilot)
        assert "Waterhouse, Sacks" in text(pilot)


async def test_a_house_of_other_units_reads_and_shows_its_own_degrees(service: OpenCellar) -> None:
    service.recorder.set_rule("units", "us")
    async with opened(service) as pilot:
        await find(pilot, "gravity_hot")
        assert "75.2 F" in text(pilot)
        await pilot.press("enter", *"77", "enter")
        await pilot.pause()
        assert service.view.house.number("gravity_hot") == pytest.approx(25)


async def test_a_cellar_that_is_read_only_shows_its_house_rules_and_changes_none(service: OpenCellar) -> None:
    service.recorder.set_rule("level_days", "20")
    looking = open_cellar(service.path, clock_of(service), by="jon", read_only=True)
    async with opened(looking) as pilot:
        house = await find(pilot, "level_days")
        for key in ("enter", "x", "u"):
            await pilot.press(key)
            await pilot.pause(SETTLED)
            assert not house.panel.is_open
        assert "change" not in lines(pilot)[-1]
    assert service.view.house.number("level_days") == 20
    looking.close()
