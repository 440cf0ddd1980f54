"""The cellar at the keyboard: what is due, a sulfite recorded and taken back, sorting, finding, another program."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from textual.events import Key

from cellar_tui.ledger.kinds import Addition
from cellar_tui.planning.rules.table import RULES
from cellar_tui.service.open import OpenCellar, create_cellar, open_cellar
from cellar_tui.service.views import BoardLine, Request
from cellar_tui.tui.keys import EVERY_DAY, KEYS, Place, keys_of
from cellar_tui.tui.screens.home import HomeScreen
from cellar_tui.tui.screens.workbench import WorkbenchScreen
from cellar_tui.tui.widgets.form_panel import FormPanel
from tests.tui.seen import NOW, SETTLED, cellar, choose, flat, lines, opened, text

PLACES: tuple[Place, ...] = ("cellar", "wine", "form", "round", "bench")


@pytest.fixture
def service(tmp_path: Path) -> Iterator[OpenCellar]:
    found = cellar(tmp_path)
    yield found
    found.close()


def names(home: HomeScreen) -> list[str]:
    return [one.name for one in home.listing.rows if isinstance(one, BoardLine)]


async def test_two_grams_of_metabisulfite_move_the_recheck_and_are_taken_back(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        choose(pilot, "Demijohn 1")
        await pilot.press("a")
        panel = pilot.app.screen.query_one(FormPanel)
        assert panel.is_open
        await pilot.press("2")
        await pilot.pause()
        # 2 g in 22.7 L is about 51 mg/L of SO2; common practice: 2 g in 6 US gallons is about 50 mg/L.
        assert "+51 mg/L total SO2, of which 25 to 34" in flat(pilot)
        await pilot.press("enter")
        await pilot.pause()
        entry = service.last_by("ida")
        assert entry is not None
        assert isinstance(entry.body, Addition)
        assert entry.body.amount == 2
        assert "Recorded as entry" in flat(pilot)
        assert "test SO2" in flat(pilot)
        rechecks = [
            one.action.due.isoformat()
            for one in service.view.tasks()
            if one.vessel == "Demijohn 1" and one.action.rule == "so2_recheck"
        ]
        assert rechecks == ["2026-11-29"]
        await pilot.press("u")
        await pilot.pause(SETTLED)
        assert "Taken back: 2 g potassium metabisulfite, Demijohn 1" in flat(pilot)
        assert service.last_by("ida") != entry


async def test_what_is_due_first_stands_first_and_is_said_in_words(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        assert isinstance(pilot.app.screen, HomeScreen)
        first = service.view.board().lines[0]
        assert first.next is not None
        others = [one.name for one in service.view.board().lines if one.name != first.name]
        assert first.name in lines(pilot)[2], "its whole name, not its first word alone"
        assert not [name for name in others if name in lines(pilot)[2]]
        assert first.next.action.task in flat(pilot)
        assert f"{service.view.board().late} late" in lines(pilot)[0]
        assert "ida" in lines(pilot)[0]


async def test_sorting_goes_round_by_due_place_wine_and_name(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        home = pilot.app.screen
        assert isinstance(home, HomeScreen)
        by_due = names(home)
        await pilot.press("s")
        assert names(home) == ["Demijohn 1", "Steel 4", "Barrel 2", "Demijohn 9"]
        await pilot.press("s")
        assert names(home) == ["Steel 4", "Barrel 2", "Demijohn 1", "Demijohn 9"]
        assert "by wine" in lines(pilot)[-1]
        await pilot.press("s")
        assert names(home) == ["Barrel 2", "Demijohn 1", "Steel 4", "Demijohn 9"]
        await pilot.press("s")
        assert names(home) == by_due


async def test_words_narrow_the_list_and_escape_shows_everything_again(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        home = pilot.app.screen
        assert isinstance(home, HomeScreen)
        await pilot.press("slash", *"back")
        await pilot.pause()
        assert sorted(names(home)) == ["Demijohn 1", "Steel 4"]
        await pilot.press("enter")
        assert "only back" in lines(pilot)[-1]
        await pilot.press("escape")
        assert len(names(home)) == 4


async def test_words_find_what_is_due_and_how_it_stands(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        home = pilot.app.screen
        assert isinstance(home, HomeScreen)
        for words, found in (("sulfite late", ["Demijohn 1"]), ("gravity damson", ["Steel 4"])):
            await pilot.press("slash", *words, "enter")
            await pilot.pause()
            assert sorted(names(home)) == found
            await pilot.press("escape")


async def test_the_cursor_stays_on_its_vessel_when_another_program_records(service: OpenCellar, tmp_path: Path) -> None:
    async with opened(service) as pilot:
        home = pilot.app.screen
        assert isinstance(home, HomeScreen)
        await pilot.press("end", "up")
        chosen = home.target()
        other = open_cellar(tmp_path / "cellar.db", lambda: NOW, by="ben")
        other.recorder.record(Request("Steel 4", "reading", {"ph": "3.24", "free_so2": "28", "method": "aspiration"}))
        other.close()
        await pilot.pause(1.2)
        assert "3.24" in text(pilot)
        assert home.target() == chosen


async def test_u_takes_back_only_ones_own_entries(service: OpenCellar) -> None:
    service.recorder.record(Request("Steel 4", "note", {"text": "smells of plum"}, by="ben"))
    last = service.last_by("ida")
    assert last is not None
    async with opened(service) as pilot:
        await pilot.press("u")
        await pilot.pause(SETTLED)
    assert next(one.state for one in service.view.ledger("Steel 4") if one.entry.by == "ben") == "standing"
    assert [one.state for one in service.view.ledger() if one.entry.seq == last.seq] == ["withdrawn"]


async def test_u_among_other_keys_takes_nothing_back(service: OpenCellar) -> None:
    count = service.entries()
    async with opened(service) as pilot:
        for key in ("u", "s", "w"):
            pilot.app.post_message(_key(key))
        await pilot.pause(SETTLED)
    assert service.entries() == count


async def test_keys_of_one_burst_act_in_their_order(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        home = pilot.app.screen
        assert isinstance(home, HomeScreen)
        second = names(home)[1]
        for key in ("down", "n", "h", "i", "tab"):
            pilot.app.post_message(_key(key))
        await pilot.pause()
        panel = home.query_one(FormPanel)
        assert panel.work is not None
        assert panel.work.form.target == second
        assert panel.texts()["text"] == "hi"


def _key(name: str) -> Key:
    return Key(name, name if len(name) == 1 else None)


async def test_a_form_cannot_be_opened_on_an_empty_vessel(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await pilot.press("end", "r")
        assert not pilot.app.screen.query_one(FormPanel).is_open
        assert "This vessel is empty" in flat(pilot)
        assert "y begins a wine in it" in flat(pilot)


async def test_where_nothing_may_be_written_no_form_opens(service: OpenCellar, tmp_path: Path) -> None:
    service.close()
    with_open = open_cellar(tmp_path / "cellar.db", lambda: NOW, by="ida", read_only=True)
    async with opened(with_open) as pilot:
        await pilot.press("a", "r", "m", "u", "d")
        await pilot.pause(SETTLED)
        assert isinstance(pilot.app.screen, HomeScreen)
        assert not pilot.app.screen.query_one(FormPanel).is_open
        assert "a addition" not in lines(pilot)[-1]
    with_open.close()


async def test_an_empty_cellar_says_how_to_begin(tmp_path: Path) -> None:
    empty = create_cellar(tmp_path / "new.db", lambda: NOW, by="ida", zone="UTC")
    async with opened(empty) as pilot:
        assert 'cellar-tui vessel add "Demijohn 1" capacity=23L material=glass' in text(pilot)
        empty.recorder.add_vessel({"name": "Tub", "capacity": "60L", "material": "plastic"})
        pilot.app.screen.query_one(FormPanel)
        home = pilot.app.screen
        assert isinstance(home, HomeScreen)
        home.refresh_from_service()
        await pilot.pause()
        assert "Tub" in text(pilot)
        assert "This cellar is empty" not in text(pilot)
    empty.close()


async def test_typed_text_survives_escape_as_a_draft(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await pilot.press("r", "3", ".", "2", "escape")
        await pilot.pause()
        assert not pilot.app.screen.query_one(FormPanel).is_open
    async with opened(service) as pilot:
        panel = pilot.app.screen.query_one(FormPanel)
        assert panel.is_open
        assert "3.2" in panel.texts().values()


async def test_the_workbench_is_filled_from_the_selected_wine(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        choose(pilot, "Demijohn 1")
        await pilot.press("b")
        await pilot.pause()
        assert isinstance(pilot.app.screen, WorkbenchScreen)
        offered = {row.field.name: row.text or row.field.offered for row in pilot.app.screen.rows if row.field}
        assert any("3.5" in one for one in offered.values())
        await pilot.press("escape")
        await pilot.pause(0.2)
        assert isinstance(pilot.app.screen, HomeScreen)


async def test_every_command_is_in_the_palette_by_name(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        found = {one.title: one for one in pilot.app.get_system_commands(pilot.app.screen)}
        assert {one.label.capitalize() for one in keys_of("cellar") if one.id != "palette"} <= set(found)
        await found["Sort"].callback()
        assert "by place" in lines(pilot)[-1]
        found["Colours: light"].callback()
        assert pilot.app.theme == "cellar-light"


def test_no_two_keys_of_a_place_clash() -> None:
    for place in PLACES:
        pressed = [key for one in keys_of(place) for key in one.key.split(",")]
        assert len(pressed) == len(set(pressed)), place
    assert len({one.id for one in KEYS}) == len(KEYS)


async def test_the_page_of_keys_names_every_rule_of_the_planner(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await pilot.press("question_mark")
        await pilot.pause()
        told = " ".join(pilot.app.screen.lines_shown)  # type: ignore[attr-defined]
        assert all(rule.teaches in told for rule in RULES)


def test_a_verdict_that_has_run_out_is_lapsed_in_words_as_in_its_letter(service: OpenCellar) -> None:
    days = (service.view.today + timedelta(days=ahead) for ahead in range(0, 120, 10))
    for line in (one for day in days for one in service.view.board(day).lines if one.wine is not None):
        stable, _, lapsed = line.summary.partition("lapsed: ")
        assert ("air" in lapsed) == (line.letters[2] == "!"), line
        assert ("air" in stable) == (line.letters[2] in "+w"), line


@pytest.mark.parametrize("size", [(60, 20), (80, 24), (140, 45)], ids=["60x20", "80x24", "140x45"])
async def test_the_page_of_keys_begins_with_the_letters_and_the_keys_of_every_day(
    service: OpenCellar, size: tuple[int, int]
) -> None:
    async with opened(service, size) as pilot:
        await pilot.press("question_mark")
        await pilot.pause()
        told = "\n".join(pilot.app.screen.lines_shown)  # type: ignore[attr-defined]
        assert told.index("Y yeast") < told.index("EVERY DAY") < told.index("WHAT THE PLANNER ASKS FOR")
        daily = [next(one for one in KEYS if one.id == name) for name in EVERY_DAY]
        assert len(daily) == 12
        assert all(" ".join(one.help.split()[:3]) in told for one in daily)


async def test_a_key_that_does_nothing_says_so_and_names_the_way_to_the_others(service: OpenCellar) -> None:
    async with opened(service) as pilot:
        await pilot.press("k")
        await pilot.pause()
        assert "k does nothing here: ? shows the keys." in text(pilot)
