"""The laws were tested: each planted fault is noticed by the law it is against, and no law goes without one."""

from __future__ import annotations

import pytest

from tests.laws.faults import FAULTS, Fault


def test_every_law_has_a_planted_fault() -> None:
    assert {fault.law for fault in FAULTS} == set(range(1, 12))


@pytest.mark.parametrize("fault", FAULTS, ids=lambda one: f"{one.law}: {one.name}")
def test_a_planted_fault_is_noticed(fault: Fault, monkeypatch: pytest.MonkeyPatch) -> None:
    fault.plant(monkeypatch)
    with pytest.raises(AssertionError):
        fault.notice()
