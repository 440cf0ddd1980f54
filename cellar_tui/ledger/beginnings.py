"""The beginnings of a log: where things stand in it, and for which of its beginnings an answer read from it holds.

Rules ask a wine about every earlier moment: since when it has been clear, when its sulfite first slipped. A log of 800
entries has 800 beginnings, but an answer changes only at the few entries that it was read from. So a log is read by
places: whoever works out an answer looks at the readings of one value or at the entries of one kind, and each look
narrows the span of beginnings for which the answer is the same. What reads a log event by event gets an answer for
that one beginning; that is slow and never wrong.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Generic, Protocol, TypeVar, overload

from cellar_tui.ledger.kinds import Addition, Body, Reading

FAR = 1 << 60
"""Place after every event."""


class Happened(Protocol):
    """What is read of an event to find its place: its entry, what that says, its values, the amounts after it."""

    @property
    def entry(self) -> int: ...
    @property
    def body(self) -> Body: ...
    @property
    def values(self) -> Mapping[str, float]: ...
    @property
    def after(self) -> object: ...


T = TypeVar("T")
E = TypeVar("E", bound=Happened)


@dataclass(slots=True)
class Span:
    """The beginnings of a log for which an answer holds, from `low` to `high` events; it was asked of `size` events."""

    size: int
    low: int = 0
    high: int = FAR


@dataclass(frozen=True, slots=True)
class Answer(Generic[T]):
    """What was asked of a beginning of a log, with the beginnings for which it is the same."""

    value: T
    span: Span


class Places(Generic[E]):
    """Where each kind of entry and each reading stands in a log, and what was asked of the beginnings of that log.

    Attributes:
        log: the whole log.
        made: what was made of the events at some places, by a name for both.
    """

    def __init__(self, log: tuple[E, ...]) -> None:
        self.log = log
        self.made: dict[Hashable, list[Any]] = {}
        self._named: dict[Hashable, tuple[list[int], Callable[[E], bool]]] = {}
        self._amounts: list[int] | None = None
        self._materials: dict[str, list[int]] | None = None
        self._entries: dict[int, list[int]] | None = None
        self._open: list[Span] = []
        self._answers: dict[Hashable, tuple[list[int], list[Answer[Any]]]] = {}

    def followed_by(self, log: tuple[E, ...]) -> Places[E]:
        """Return the places of a log that goes on from this one by an event; what is known of this one is kept.

        Lists are never changed but replaced, so that both may hold the same.
        """
        found, place = Places(log), len(log) - 1
        for name, (places, wanted) in self._named.items():
            found._named[name] = [*places, place] if wanted(log[place]) else places, wanted
        found.made = dict(self.made)
        return found

    # -- where things stand

    def where(self, name: Hashable, wanted: Callable[[E], bool]) -> list[int]:
        """Return the places of the events that are wanted; `name` stands for what is wanted of them."""
        if name not in self._named:
            self._named[name] = [place for place, event in enumerate(self.log) if wanted(event)], wanted
        return self._named[name][0]

    def of(self, *kinds: type[Body]) -> list[int]:
        """Return the places of entries of these kinds."""
        return self.where(kinds, lambda event: isinstance(event.body, kinds))

    def readings(self, name: str) -> list[int]:
        """Return the places of readings of one value."""
        return self.where(name, lambda event: isinstance(event.body, Reading) and name in event.values)

    def amounts(self) -> list[int]:
        """Return the places at which the amounts changed."""
        if self._amounts is None:
            places: list[int] = []
            last: object = None
            for place, event in enumerate(self.log):
                if event.after is not last and event.after != last:
                    places.append(place)
                last = event.after
            self._amounts = places
        return self._amounts

    def materials(self) -> dict[str, list[int]]:
        """Return the places of the additions by what was added."""
        if self._materials is None:
            self._materials = {}
            for place, event in enumerate(self.log):
                if isinstance(event.body, Addition) and event.body.material:
                    self._materials.setdefault(event.body.material, []).append(place)
        return self._materials

    def of_entry(self, entry: int) -> list[int]:
        """Return the places of what an entry did."""
        if self._entries is None:
            self._entries = {}
            for place, event in enumerate(self.log):
                self._entries.setdefault(event.entry, []).append(place)
        return self._entries.get(entry, [])

    # -- for how long an answer holds

    def looked(self, places: Sequence[int], size: int) -> None:
        """Note that what is being asked of the first `size` events was read from those at these places."""
        if self._open:
            at = bisect_left(places, size)
            low = places[at - 1] + 1 if at else 0
            self._narrow(size, low, places[at] if at < len(places) else FAR)

    def looked_at_amounts(self, size: int) -> None:
        """Note that what is being asked of the first `size` events was read from the amounts after them."""
        if self._open:
            self.looked(self.amounts(), size)

    def looked_at_all(self, size: int) -> None:
        """Note that what is being asked of the first `size` events was read from every one of them."""
        self._narrow(size, size, size)

    def _narrow(self, size: int, low: int, high: int) -> None:
        # A question about another beginning may be under way inside this one: it is the nearest of its own size.
        for span in reversed(self._open):
            if span.size == size:
                span.low, span.high = max(span.low, low), min(span.high, high)
                return

    def asked(self, size: int, work: Callable[[], T]) -> Answer[T]:
        """Return an answer about the first `size` events with its span, which narrows that of what asked for it."""
        span = Span(size)
        self._open.append(span)
        try:
            value = work()
        finally:
            self._open.pop()
        self._narrow(size, span.low, span.high)
        return Answer(value, span)

    def answer(self, question: Hashable, size: int, work: Callable[[], T]) -> Answer[T]:
        """Return the answer to a question about the first `size` events, worked out once for all its span."""
        # Spans of one question never overlap: where the same was looked at, the same was found.
        lows, known = self._answers.setdefault(question, ([], []))
        at = bisect_right(lows, size) - 1
        if at < 0 or known[at].span.high < size:
            found = self.asked(size, work)
            at = bisect_right(lows, found.span.low)
            lows.insert(at, found.span.low)
            known.insert(at, found)
            return found
        self.read_from(known[at].span, size)
        return known[at]

    def read_from(self, span: Span, size: int) -> None:
        """Note that what is being asked of the first `size` events was read from an answer that holds for a span."""
        self._narrow(size, span.low, span.high)


class Log(Sequence[E]):
    """The first `size` events of a log: an event by its place is free, all else counts as read from every one."""

    __slots__ = ("places", "size")

    def __init__(self, places: Places[E], size: int) -> None:
        self.places = places
        self.size = size

    def _all(self) -> tuple[E, ...]:
        self.places.looked_at_all(self.size)
        return self.places.log[: self.size]

    def __len__(self) -> int:
        self.places.looked_at_all(self.size)
        return self.size

    @overload
    def __getitem__(self, place: int) -> E: ...
    @overload
    def __getitem__(self, place: slice) -> tuple[E, ...]: ...
    def __getitem__(self, place: int | slice) -> E | tuple[E, ...]:
        if isinstance(place, int) and 0 <= place < self.size:
            # Whoever names a place has it from a look.
            return self.places.log[place]
        return self._all()[place]

    def __iter__(self) -> Iterator[E]:
        return iter(self._all())

    def __reversed__(self) -> Iterator[E]:
        return reversed(self._all())
