"""The plan worked out the long way: every earlier moment of a wine is looked at as a wine of its own."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest

from cellar_tui.ledger.entry import Entry
from cellar_tui.planning.rules import needs
from cellar_tui.planning.subject import Subject
from tests.laws.picture import picture


def _as_of(self: Subject, size: int) -> Subject:
    if size >= self.c.size:
        return self
    if size not in self._beginnings:
        contents = replace(self.c, log=self.c.places.log[:size])
        self._beginnings[size] = Subject(contents, self.vessel, self.house)
    return self._beginnings[size]


def _holding(s: Subject, holds: Callable[[Subject], bool]) -> tuple[bool, int]:
    return holds(s), s.c.size


def an_answer_holds_for_its_span(entries: Sequence[Entry]) -> None:
    """What was answered at one moment is taken over at another only where it would be the same."""
    found = picture(entries)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Subject, "as_of", _as_of)
        patch.setattr(needs, "holding", _holding)
        assert picture(entries) == found
