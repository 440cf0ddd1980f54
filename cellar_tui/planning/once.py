"""Questions about a wine that are answered once and kept with it."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar, cast

from cellar_tui.planning.subject import Subject

T = TypeVar("T")


def once(question: Callable[[Subject], T]) -> Callable[[Subject], T]:
    """Keep the answer of a question with the wine it was asked of."""

    @wraps(question)
    def answer(s: Subject) -> T:
        kept: dict[Any, Any] = s.answers
        if question not in kept:
            kept[question] = question(s)
        return cast(T, kept[question])

    return answer
