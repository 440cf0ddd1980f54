"""The due round: each action is completed by typing its result and leaves the list by the entry so made."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from cellar_tui.app import CellarApp
from cellar_tui.cellar import Service
from cellar_tui.screens.round import RoundScreen
from cellar_tui.views import Request
from cellar_tui.widgets.form_panel import FormPanel

NOW = datetime(2026, 11, 26, 12, tzinfo=UTC)
RESULTS = {
    "free_so2": "31", "ph": "3.2", "sg": "0.992", "result": "pass", "volume": "22", "amount": "1.5", "malic": "0.1"
}  # fmt: skip


async def test_the_round_from_its_first_action_to_its_last_empties_the_list(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    service = Service.create(tmp_path / "cellar.db", lambda: NOW, by="ida", zone="UTC")
    service.add_vessel({"name": "Demijohn 1", "capacity": "22.05L", "material": "glass"})
    wine = {"name": "Terrace", "style": "dry_white", "volume": "22", "finished": "yes", "total_so2": "60"}
    service.start_wine(Request("Demijohn 1", "wine", wine, "2026-11-01"))
    app = CellarApp(service, title="test")
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.press("d")
        await pilot.pause()
        screen = app.screen
        assert isinstance(screen, RoundScreen)
        walked = []
        for _ in range(12):
            if screen.asked is None:
                break
            walked.append(screen.asked.action.rule)
            panel = screen.query_one(FormPanel)
            for row in panel.rows:
                if row.slot is not None and row.slot.name in RESULTS:
                    row.entry.value = RESULTS[row.slot.name]
            await pilot.press("enter")
            await pilot.pause()
        assert screen.asked is None
        # The racking of the round moves the free SO2 reading to three days later.
        assert {"rack", "gravity_check"} <= set(walked)
        assert [one for one in service.tasks() if one.status != "ahead"] == []
    assert service.check() == []
    service.close()
