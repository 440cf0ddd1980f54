"""A count, at the end of the run, of the published figures that were checked, by how they were read."""

from __future__ import annotations

from collections import Counter

import pytest

MARK = "figure"


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
