"""What every test shares: no setting of this machine may leak in, and property tests stay quick."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "cellar", max_examples=35, deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.load_profile("cellar")

LEAKS = ("CELLAR_DB", "CELLAR_BY", "NO_COLOR", "TEXTUAL_THEME", "TEXTUAL_COLOR_SYSTEM", "TEXTUAL_ANIMATIONS")


@pytest.fixture(scope="session", autouse=True)
def _own_surroundings(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Point the user's data and state folders at a scratch home, and forget the caller's settings."""
    home = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        for name in LEAKS:
            patch.delenv(name, raising=False)
        patch.setenv("HOME", str(home))
        patch.setenv("XDG_DATA_HOME", str(home / "data"))
        patch.setenv("XDG_STATE_HOME", str(home / "state"))
        yield home


MARK = "figure"
"""User property of a test that checks a published figure: how it was read."""


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how many figures were seen in a source, known from memory, or computed; and how many were only listed."""
    counts: Counter[str] = Counter()
    for outcome in ("passed", "failed"):
        for report in terminalreporter.stats.get(outcome, ()):
            counts.update(str(value) for name, value in report.user_properties if name == MARK)
    if counts:
        terminalreporter.write_line(
            "published figures: " + ", ".join(f"{n} {mark}" for mark, n in sorted(counts.items()))
        )
