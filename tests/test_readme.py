"""The README lists the keys and rules that the program has."""

from __future__ import annotations

from pathlib import Path

from cellar_tui.keys import help_lines
from cellar_tui.planning.rules.table import RULES

README = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")


def test_every_key_is_in_the_readme() -> None:
    assert "\n".join(help_lines()) in README


def test_every_rule_is_in_the_readme_with_what_it_teaches() -> None:
    assert [rule.id for rule in RULES if f"| `{rule.id}` | {rule.teaches} |" not in README] == []
