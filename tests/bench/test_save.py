"""A save stays small however large the cellar: it reads one wine, and its time is told as a ratio to its own syncs."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench import cellar, save


def test_a_save_in_a_large_cellar_reads_the_entries_of_its_own_wine(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    service = cellar.build(tmp_path / "large.db", vessels=20, entries=600)
    found = save.saves(service)
    with capsys.disabled():
        print(f"\n20 vessels, {service.entries()} entries; {save.told(found)}")
    service.close()
    # Thirty entries a wine, the two saved into it, and those of the whole cellar.
    assert max(one.read for one in found) < 40
