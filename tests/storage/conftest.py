from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from storage.store import Store
from tests.storage.cellar import cellar_with


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "cellar.db"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    """An empty cellar."""
    with Store.create(path) as made:
        yield made


@pytest.fixture
def two_vessels(store: Store) -> Store:
    """A cellar with a carboy (vessel 1) and a barrel (vessel 2), each with one reading."""
    cellar_with(store, vessels=2)
    return store
