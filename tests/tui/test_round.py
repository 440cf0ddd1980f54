"""Today's round: each action is completed by typing its result and leaves the list by the entry so made."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime, time
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from textual.events import Key
from textual.pilot import Pilot
from textual.widgets import Static

from cellar_tui.ledger.kinds import Check, Postpone, Skip
from cellar_tui.service.open import OpenCellar, create_cellar
from cellar_tui.service.round_list import carry, walking_order, weigh_out
from cellar_tui.service.views import Request, Task
from cellar_tui.tui.app import CellarApp
from cellar_tui.tui.screens.round import RoundScreen
from cellar_tui.tui.widgets.form_panel import FormPanel
from tests.opened import set_clock
from tests.tui.typing import rest

NOW = datetime(2026, 11, 26, 12, tzinfo=UTC)
ROUNDS = 5
KMBS = "potassium_metabisulfite"
CELLAR: dict[str, Any] = {
    "Barrel 1": (
        "225L",
        "oak",
        "north wall",
        {"name": "Ridge", "style": "dry_red", "volume": "222", "sg": "1.096"},
        ("2026-09-30", "reading", {"sg": "0.994"}),
        ("2026-10-03", "reading", {"sg": "0.994", "ph": "3.55"}),
    ),
    "Demijohn 1": (
        "23L",
        "glass",
        "back wall",
        {
            "name": "Terrace",
            "style": "sweet_white",
            "volume": "22.5",
            "finished": "yes",
            "alcohol": "12",
            "total_so2": "70",
        },
        ("2026-10-20", "racking", {"volume": "22"}),
        ("2026-11-05", "reading", {"ph": "3.2", "free_so2": "29"}),
        ("2026-11-05", "check", {"test": "clarity", "result": "pass"}),
    ),
    "Demijohn 2": (
        "23L",
        "glass",
        "back wall",
        {"name": "Meadow", "style": "dry_white", "volume": "22.9", "finished": "yes", "alcohol": "12"},
        ("2026-11-20", "reading", {"ph": "3.3", "free_so2": "9", "method": "aspiration"}),
    ),
    "Tub": (
        "60L",
        "plastic",
        "by the door",
        {"name": "Plum", "style": "dry_fruit", "volume": "50", "sg": "1.085"},
        ("2026-11-12", "reading", {"sg": "1.02", "temperature": "19"}),
    ),
}
"""Vessel -> capacity, material, place, the wine as it was started, and what was recorded since."""
RESULTS = {
    "free_so2": "31",
    "method": "aspiration",
    "ph": "3.2",
    "sg": "0.992",
    "result": "pass",
    "amount": "1.5",
    "malic": "0.1",
    "residual_sugar": "1",
    "temperature": "14",
    "sweetness": "20",
    "with": "outside",
    "until": "+9d",
    "wine": "Terrace 26",
    "count": "20",
    "reason": "as planned",
    "place": "cellar",
    "to": "",
    "fault": "",
    "filter": "",
}
"""What a well-behaved wine shows, field by field."""


@pytest.fixture
def service(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[OpenCellar]:
    """A cellar of four wines: a red in oak, a white to be sweetened, a dry white, and plums that still ferment."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    made = create_cellar(tmp_path / "cellar.db", lambda: NOW, by="ida", zone="UTC")
    for name, (capacity, material, place, wine, *story) in CELLAR.items():
        made.recorder.add_vessel({"name": name, "capacity": capacity, "material": material, "place": place})
        assert made.recorder.start_wine(Request(name, "wine", wine, "2026-09-10")).saved
        for on, kind, fields in story:
            assert made.recorder.record(Request(name, kind, fields, on)).saved
    yield made
    made.close()


def due(service: OpenCellar) -> list[Task]:
    return [one for one in service.view.tasks() if one.status != "ahead"]


def told(pilot: Pilot[int]) -> str:
    return " ".join(str(pilot.app.screen.query_one("#told", Static).content).split())


async def begun(pilot: Pilot[int]) -> RoundScreen:
    """Open the round from the cellar and go to its first action."""
    await pilot.pause()
    await pilot.press("d")
    await pilot.pause()
    screen = pilot.app.screen
    assert isinstance(screen, RoundScreen)
    await pilot.press("enter")
    await pilot.pause()
    rest(pilot)
    return screen


async def go_to(pilot: Pilot[int], screen: RoundScreen, rule: str) -> None:
    """Leave what comes before an action for later."""
    while screen.asked is not None and screen.asked.action.rule != rule:
        await pilot.press("ctrl+n")
    assert screen.asked is not None


def typed(screen: RoundScreen, service: OpenCellar) -> None:
    """Type the result of the action that is asked for."""
    assert screen.asked is not None
    left = next(one for one in service.view.board().lines if one.name == screen.asked.vessel)
    for row in screen.panel.rows:
        name = row.slot.name if row.slot is not None else ""
        if name == "volume":
            room = (left.capacity or 0.0) - (left.volume or 0.0)
            full = screen.asked.action.rule == "top_up"
            screen.panel.put(name, f"{room if full else (left.volume or 0.0) - 0.2:.2f}")
        elif name in RESULTS and not row.text:
            screen.panel.put(name, RESULTS[name])


async def test_the_round_from_its_first_action_to_its_last_empties_the_list(service: OpenCellar) -> None:
    walked: list[str] = []
    for _ in range(ROUNDS):
        done = len(walked)
        app = CellarApp(service, title="test")
        async with app.run_test(size=(80, 24)) as pilot:
            screen = await begun(pilot)
            while screen.asked is not None and len(walked) < done + 40:
                asked = screen.asked
                walked.append(asked.action.rule)
                typed(screen, service)
                rest(pilot)
                await pilot.press("enter")
                await pilot.pause()
                hint = str(screen.query_one("#form-hint", Static).content)
                keys = {(one.vessel, one.action.key) for one in due(service)}
                assert (asked.vessel, asked.action.key) not in keys, f"{asked.action.rule} is still asked for: {hint}"
            assert due(service) == []
            assert f"{len(walked) - done} recorded" in told(pilot)
            assert "0 left for later" in told(pilot)
            again = service.view.tasks()[0].action.show
            assert f"Come back on {again.day}" in told(pilot)
        # The hand comes back on the day that the end of the round names.
        set_clock(service, partial(datetime.combine, again, time(12), UTC))
    assert len(set(walked)) >= 10, set(walked)
    assert service.check() == []


async def test_it_begins_with_what_to_weigh_out_and_carry(service: OpenCellar) -> None:
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("d")
        await pilot.pause()
        doses = [one.action.dose for one in due(service) if one.action.dose is not None]
        whole = sum(one.amount for one in doses if one.material == "potassium_metabisulfite")
        weighed = re.search(r"potassium metabisulfite ([0-9.]+) g", told(pilot))
        assert weighed is not None
        assert float(weighed[1]) == pytest.approx(whole, rel=0.03), "as a balance shows it"
        assert "hydrometer for 4 vessels" in told(pilot)
        assert not pilot.app.screen.query_one(FormPanel).is_open


def test_what_shares_a_kit_is_walked_together_place_by_place(service: OpenCellar) -> None:
    walk = [(one.place, one.action.kit) for one in sorted(due(service), key=walking_order)]
    stretches = [one for at, one in enumerate(walk) if at == 0 or walk[at - 1] != one]
    assert len(stretches) == len(set(stretches))
    assert len(carry(due(service))) == len({one.action.kit for one in due(service) if one.action.kit})
    assert weigh_out([], "metric") == []


async def test_the_dates_that_a_result_moves_are_said_with_the_next_action(service: OpenCellar) -> None:
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begun(pilot)
        await go_to(pilot, screen, "sulfite")
        while screen.asked is not None and screen.asked.vessel != "Demijohn 2":
            await pilot.press("ctrl+n")
            await go_to(pilot, screen, "sulfite")
        await pilot.press(*"1.5", "enter")
        await pilot.pause()
        hint = " ".join(str(screen.query_one("#form-hint", Static).content).split())
        moved = next(
            one for one in service.view.tasks() if one.vessel == "Demijohn 2" and one.action.rule == "so2_recheck"
        )
        assert "Demijohn 2: 1.5 g potassium metabisulfite" in hint
        assert f"test free SO2 now {moved.action.show.day} {moved.action.show:%b}" in hint


async def test_skip_and_postpone_ask_for_a_reason_and_are_entries(service: OpenCellar) -> None:
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begun(pilot)
        first = screen.asked
        await pilot.press("f6", *"+3d", "tab", *"lamp broken", "enter")
        await pilot.pause()
        entry = service.last_by("ida")
        assert entry is not None
        assert first is not None
        assert entry.body == Postpone(action=first.action.rule, until=date(2026, 11, 29), reason="lamp broken")
        second = screen.asked
        assert second is not None
        assert second.action.key != first.action.key
        await pilot.press("f5", "enter")
        await pilot.pause()
        assert service.last_by("ida") == entry
        await pilot.press(*"no need", "enter")
        await pilot.pause()
        skipped = service.last_by("ida")
        assert skipped is not None
        assert skipped.body == Skip(action=second.action.rule, reason="no need")


async def test_escape_leads_from_a_reason_to_the_action_and_then_out_and_keeps_what_is_typed(
    service: OpenCellar,
) -> None:
    before = service.entries()
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24), notifications=True) as pilot:
        screen = await begun(pilot)
        await go_to(pilot, screen, "level_look")
        first = screen.asked
        await pilot.press(*"fai", "f5", *"beca", "f9")
        await pilot.pause()
        assert pilot.app.screen is screen
        assert screen.asked == first
        assert screen.panel.texts()["result"] == "fai"
        await pilot.press("f9")
        await pilot.pause()
        assert pilot.app.screen is not screen
        again = await begun(pilot)
        await go_to(pilot, again, "level_look")
        assert again.panel.texts()["result"] == "fai"
        await pilot.press("f5")
        await pilot.pause()
        assert again.panel.texts()["reason"] == "beca"
    assert service.entries() == before


async def test_an_action_left_for_later_stays_on_the_list(service: OpenCellar) -> None:
    before = service.entries()
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begun(pilot)
        count = len(due(service))
        for _ in range(count):
            await pilot.press("ctrl+n")
        await pilot.pause()
        assert screen.asked is None
        assert f"0 recorded {count} left for later" in told(pilot)
    assert len(due(service)) == count
    assert service.entries() == before


async def test_another_way_of_recording_the_same_result(service: OpenCellar) -> None:
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begun(pilot)
        await go_to(pilot, screen, "malolactic_check")
        await pilot.press("ctrl+o", *"fail", "enter")
        await pilot.pause()
        entry = service.last_by("ida")
        assert entry is not None
        assert entry.body == Check(test="chromatogram", result="fail")


async def test_an_enter_meant_for_the_action_before_does_not_record_the_next_dose(service: OpenCellar) -> None:
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begun(pilot)
        await go_to(pilot, screen, "sulfite")
        assert screen.panel.texts()["amount"]
        before = service.entries()
        pilot.app.post_message(Key("enter", None))
        pilot.app.post_message(Key("enter", None))
        await pilot.pause()
        assert service.entries() == before + 1


async def test_a_chore_is_done_with_enter_alone(service: OpenCellar) -> None:
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begun(pilot)
        await go_to(pilot, screen, "level_look")
        assert "1 [all as it should be]" in told(pilot)
        await pilot.press("enter")
        await pilot.pause()
        entry = service.last_by("ida")
        assert entry is not None
        assert entry.body == Check(test="level", result="pass")


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        (("1", "enter"), Check(test="clarity", result="pass")),
        (("3", "enter"), Check(test="clarity", result="fail", fault="haze")),
        (("right", "right", "enter"), Check(test="clarity", result="faint")),
    ],
    ids=["clear", "hazy", "faint"],
)
async def test_a_check_in_the_round_takes_at_most_three_keys(
    service: OpenCellar, keys: tuple[str, ...], said: Check
) -> None:
    assert service.recorder.record(Request("Demijohn 2", "racking", {"volume": "22.5"}, "2026-11-01")).saved
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begun(pilot)
        await go_to(pilot, screen, "clarity_check")
        assert "1 clear 2 faint haze 3 hazy" in told(pilot)
        assert len(keys) <= 3
        await pilot.press(*keys)
        await pilot.pause()
        entry = service.last_by("ida")
        assert entry is not None
        assert entry.body == said


async def test_a_test_that_proves_something_is_not_recorded_by_enter_alone(service: OpenCellar) -> None:
    assert service.recorder.record(Request("Demijohn 2", "racking", {"volume": "22.5"}, "2026-11-01")).saved
    before = service.entries()
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begun(pilot)
        await go_to(pilot, screen, "clarity_check")
        await pilot.press("enter")
        await pilot.pause()
        assert "Choose what you found" in str(screen.query_one("#form-hint", Static).content)
    assert service.entries() == before


async def test_keys_typed_ahead_answer_one_check_after_the_other(service: OpenCellar) -> None:
    before = service.entries()
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begun(pilot)
        checks = [one for one in due(service) if one.action.rule in ("level_look", "cap")]
        await go_to(pilot, screen, "level_look")
        for key in ("1", "enter", "ctrl+n"):
            pilot.app.post_message(Key(key, key if len(key) == 1 else None))
        await pilot.pause()
        assert checks
        assert service.entries() == before + 1


async def test_the_round_has_one_footer(service: OpenCellar) -> None:
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        screen = await begun(pilot)
        assert "Enter" not in str(screen.query_one("#form-hint", Static).content)
        foot = str(screen.query_one("#foot", Static).content)
        assert foot.startswith("Enter record")
        assert foot.count("Esc") == 1


async def test_the_round_is_laid_out_again_when_the_terminal_changes_size(service: OpenCellar) -> None:
    app = CellarApp(service, title="test")
    async with app.run_test(size=(140, 45)) as pilot:
        await pilot.pause()
        await pilot.press("d")
        await pilot.pause()
        await pilot.resize_terminal(60, 20)
        await pilot.pause()
        rows = str(pilot.app.screen.query_one("#told", Static).content).splitlines()
        assert all(len(row) <= 60 for row in rows)
        await pilot.press("enter")
        await pilot.pause()
        await pilot.resize_terminal(80, 24)
        await pilot.pause()
        rows = str(pilot.app.screen.query_one("#told", Static).content).splitlines()
        assert 60 < max(len(row) for row in rows) <= 80
