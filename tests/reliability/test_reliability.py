"""A few accidents of each sort; `python -m tests.reliability --full` makes as many as the README states."""

from __future__ import annotations

import re
from pathlib import Path

from tests.reliability import drill, fuzz, kills, table


def test_a_program_killed_in_its_saves_loses_nothing_acknowledged(tmp_path: Path) -> None:
    acknowledged, lost, bad = kills.killed(tmp_path, 8)
    assert acknowledged >= 8
    assert (lost, bad) == (0, 0)


def test_a_rebuild_killed_at_any_moment_leaves_the_old_board_or_the_new(tmp_path: Path) -> None:
    assert kills.rebuilds_killed(tmp_path, 8) == 0


def test_of_damaged_copies_none_is_silently_different_and_each_is_mended_or_restored(tmp_path: Path) -> None:
    found = drill.drilled(tmp_path, 40, seed=3)
    assert not [what for what in found if what.startswith(("traceback", "silently", "not "))], found
    assert found["mended from the ledger"]
    assert found["restored from the backup"]


def test_nonsense_ends_in_sentences(tmp_path: Path) -> None:
    found = fuzz.fuzzed(tmp_path, 1500)
    assert found["failed"] == 0, found


def test_every_row_of_the_table_has_its_tests() -> None:
    root = Path(__file__).parents[2]
    for row in table.ROWS:
        for file, part in row.parts:
            tests = re.findall(r"def (test_\w+)", (root / table.FILES[file]).read_text(encoding="utf-8"))
            assert any(part in test for test in tests), f"{row.name}: no test of {file} has {part} in its name"
