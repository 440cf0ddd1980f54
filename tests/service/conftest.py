from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.service.kept import Kept


@pytest.fixture
def cellar(tmp_path: Path) -> Iterator[Kept]:
    """A cellar whose board must be what its ledger gives, whatever a test did to it."""
    made = Kept(tmp_path / "cellar.db")
    yield made
    assert [one.problem for one in made.service.check() if one.entry is None] == []
    made.service.close()
