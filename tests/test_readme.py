"""The README shows the program as it is: its screens, its keys, its rules."""

from __future__ import annotations

import pytest

from tests.readme import README, blocks, renewed


async def test_the_readme_is_what_the_program_draws_today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    written = README.read_text(encoding="utf-8")
    assert renewed(written, await blocks()) == written
