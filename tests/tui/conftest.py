"""What the tests of screens share: a terminal of many colours, and drafts in a scratch folder."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def _own_terminal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.delenv("COLORFGBG", raising=False)
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
