"""The README shows the program as it is: its screens, its keys, its rules."""

from __future__ import annotations

from tests.readme import README, blocks, renewed


def test_the_readme_is_what_the_program_draws_today() -> None:
    written = README.read_text(encoding="utf-8")
    assert renewed(written, blocks()) == written
