"""A table of statements about wine, each a story, a rule and the window that the rule must give."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.planning.stories import Story, at_once

Row = tuple[str, Callable[[], Story], str | tuple[str, str] | None]


def statements(*rows: Row) -> pytest.MarkDecorator:
    """Parametrize a test by rows of statement, story and window; one day stands for a window of that day."""
    cases = [
        pytest.param(story, at_once(window) if isinstance(window, str) else window, id=statement)
        for statement, story, window in rows
    ]
    return pytest.mark.parametrize(("story", "window"), cases)
