"""Questions about a wine that are answered once for every moment at which the answer is the same."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import wraps
from typing import Protocol, TypeVar

T = TypeVar("T")


class Asked(Protocol):
    """A wine that keeps the answers to what it was asked."""

    def ask(self, question: Hashable, work: Callable[[], T]) -> T:
        """Return the answer to a question."""


S = TypeVar("S", bound=Asked)


def once(question: Callable[[S], T]) -> Callable[[S], T]:
    """Keep the answer of a question with the wine it was asked of, for all the beginnings of its log that give it."""

    @wraps(question)
    def answer(s: S) -> T:
        return s.ask(question, lambda: question(s))

    return answer
