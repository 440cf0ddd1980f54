"""The main job at the keyboard: see what is due, record a sulfite, see the date move, take it back."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from textual.widgets import Static

from cellar_tui.app import CellarApp
from cellar_tui.cellar import Service
from cellar_tui.keys import KEYS, keys_of
from cellar_tui.ledger.kinds import Addition
from cellar_tui.screens.home import HomeScreen
from cellar_tui.screens.workbench import WorkbenchScreen
from cellar_tui.views import Request
from cellar_tui.widgets.form_panel import FormPanel

NOW = datetime(2026, 11, 26, 12, tzinfo=UTC)


@pytest.fixture
def service(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Service]:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    monkeypatch.delenv("NO_COLOR", raising=False)
    cellar = Service.create(tmp_path / "cellar.db", lambda: NOW, by="ida", zone="UTC")
    cellar.add_vessel({"name": "Demijohn [1]", "capacity": "23L", "material": "glass", "place": "back wall"})
    wine = {"name": "Terrace", "style": "dry_white", "volume": "22.7", "finished": "yes", "alcohol": "12"}
    cellar.start_wine(Request("Demijohn [1]", "wine", wine, "2026-11-01"))
    reading = {"ph": "3.5", "free_so2": "8", "method": "aspiration"}
    cellar.record(Request("Demijohn [1]", "reading", reading, "2026-11-20"))
    yield cellar
    cellar.close()


def shown(app: CellarApp, name: str) -> str:
    return str(app.screen.query_one(name, Static).content)


async def test_two_grams_of_metabisulfite_move_the_recheck_and_can_be_taken_back(service: Service) -> None:
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("a")
        panel = app.screen.query_one(FormPanel)
        assert panel.is_open
        amount = next(row for row in panel.rows if row.slot is not None and row.slot.name == "amount")
        amount.entry.value = "2"
        panel.update_preview()
        assert panel.answer is not None
        before_enter = panel.answer.outcomes[0]
        assert before_enter.after is not None
        # 2 g in 22.7 L is about 51 mg/L; common practice: 2 g in 6 US gallons is about 50 mg/L.
        assert before_enter.after.total_so2 is not None
        assert before_enter.after.total_so2 - 15 == pytest.approx(50.7, abs=0.2)
        assert "51 mg/L total, 25 to 34 mg/L free" in shown(app, "#form-preview")
        await pilot.press("enter")
        await pilot.pause()
        assert not panel.is_open
        entry = service.last_by("ida")
        assert entry is not None
        assert isinstance(entry.body, Addition)
        assert entry.body.amount == 2
        rechecks = [task.action.due for task in service.tasks() if task.action.rule == "so2_recheck"]
        assert [day.isoformat() for day in rechecks] == ["2026-11-29"]
        await pilot.press("u")
        await pilot.pause()
        assert service.last_by("ida") is not None
        assert service.last_by("ida") != entry


async def test_what_is_shown_before_enter_is_what_is_kept_after_it(service: Service) -> None:
    from cellar_tui.forms import Form

    form = Form(service, "Demijohn [1]")
    fields = {"material": "potassium_metabisulfite", "amount": "2 g"}
    seen = form.preview("addition", fields).outcomes[0]
    kept = form.record("addition", fields).outcomes[0]
    assert (seen.before, seen.after, seen.changes, seen.findings) == (
        kept.before, kept.after, kept.changes, kept.findings
    )


async def test_a_name_with_brackets_is_shown_as_text(service: Service) -> None:
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert isinstance(app.screen, HomeScreen)
        assert "Demijohn [1]" in shown(app, "#about")


async def test_typed_text_survives_escape_as_a_draft(service: Service) -> None:
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("r", "3", ".", "2", "escape")
        await pilot.pause()
        assert not app.screen.query_one(FormPanel).is_open
    again = CellarApp(service, title="test")
    async with again.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        panel = again.screen.query_one(FormPanel)
        assert panel.is_open
        assert panel.texts()["ph"] == "3.2"


async def test_a_wine_opens_and_escape_comes_back(service: Service) -> None:
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("enter")
        await pilot.pause()
        assert "Terrace" in shown(app, "#head")
        await pilot.press("escape")
        await pilot.pause(0.3)
        assert isinstance(app.screen, HomeScreen)


async def test_the_workbench_is_filled_from_the_selected_wine(service: Service) -> None:
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("b")
        await pilot.pause()
        assert isinstance(app.screen, WorkbenchScreen)
        offered = {row.slot.name: row.entry.placeholder or row.entry.value for row in app.screen.rows if row.slot}
        assert any("3.5" in text for text in offered.values())
        await pilot.press("escape")
        await pilot.pause(0.2)
        assert isinstance(app.screen, HomeScreen)


def test_no_two_keys_of_a_place_clash() -> None:
    for place in ("cellar", "wine", "form", "round", "bench"):
        pressed = [key for one in keys_of(place) for key in one.key.split(",")]
        assert len(pressed) == len(set(pressed))
    assert len({one.id for one in KEYS}) == len(KEYS)
