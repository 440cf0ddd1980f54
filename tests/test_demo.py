"""The demo cellar is what its story tells, and its board is what its ledger says."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from cellar_tui.cellar import Service
from cellar_tui.cli.dashboard import demo_file
from cellar_tui.demo.__main__ import build
from storage.store import Store


def test_the_demo_cellar_is_rebuilt_from_its_story_to_the_last_hash(tmp_path: Path) -> None:
    build(tmp_path / "told.db")
    with Store.open(tmp_path / "told.db") as told, Store.open(demo_file(), read_only=True) as kept:
        assert told.entries() == kept.entries()
        assert told.vessels() == kept.vessels()
        assert told.actions() == kept.actions()
        assert told.problems() == kept.problems()


def test_the_demo_cellar_passes_its_own_check(tmp_path: Path) -> None:
    build(tmp_path / "told.db")
    service = Service.open(tmp_path / "told.db", lambda: datetime(2026, 11, 26, 12, tzinfo=UTC), by="ida")
    assert service.check() == []
    assert {line.stage for line in service.board().lines} >= {"fermenting", "ageing", None}
    service.close()
