"""What a rule is, and how its dates are made."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from cellar_tui.ledger.entry import NOON
from cellar_tui.planning.plan import Because, Dose, Due, Fact
from cellar_tui.planning.small_lot import POWDER, SOLUTION
from cellar_tui.planning.subject import Subject

OPEN_DAYS = 14
"""Length of a window that is open "from that day" [d]; contract of the program's dates."""

AGAIN_DAYS = 2
"""Days after which an action comes back whose own entry left its cause standing; contract of the program's dates."""

SULFITES = (POWDER, SOLUTION)
"""What a dose of sulfite is given as: by weight, or where that is too little for the balance, by volume."""

Fixed = tuple[tuple[str, str], ...]


def always(_: Subject) -> bool:
    """Return that an answer is open to every wine."""
    return True


def nothing(_: Subject) -> Iterator[Due]:
    """Ask nothing of a wine: what is asked is asked of an empty vessel."""
    return iter(())


def never(_: Subject) -> bool:
    """Return that no wine asks for it."""
    return False


@dataclass(frozen=True, slots=True)
class ResponseForm:
    """One way to record the result of an action.

    Attributes:
        kind: kind of entry.
        fields: the fields a person types, by the names of the command line.
        fixed: field and value of what is known beforehand.
        open_to: whether this way is open to a wine.
        teaches: how it is done, where the sentence of its rule does not say it.
        cautions: the usual cautions of this way alone.
        kit: what is carried for it, where that is not what its rule names.
    """

    kind: str
    fields: tuple[str, ...] = ()
    fixed: Fixed = ()
    open_to: Callable[[Subject], bool] = always
    teaches: str = ""
    cautions: tuple[str, ...] = ()
    kit: str = ""


@dataclass(frozen=True, slots=True)
class Rule:
    """One piece of cellar practice that produces due actions.

    Attributes:
        id: name of its action.
        title: what to do, in a few words.
        teaches: the practice in one sentence, shown in help.
        due: what it asks of a filling, nothing where it does not apply or waits for another step.
        answers: the ways to record its result, the usual one first.
        kit: what is carried for it; actions that share a kit are walked together.
        hard: it may not be skipped.
        guards: whether a skip of it needs the day until which it may wait: what it keeps away cannot be undone.
        cautions: the usual cautions, shown where the work is.
        source: where the practice is from.
    """

    id: str
    title: str
    teaches: str
    due: Callable[[Subject], Iterator[Due]]
    answers: tuple[ResponseForm, ...]
    kit: str = ""
    hard: bool = False
    guards: Callable[[Subject], bool] = never
    cautions: tuple[str, ...] = ()
    source: str = "common practice"

    def ways(self, s: Subject, dose: Dose | None) -> tuple[int, ...]:
        """Return the places of the answers that are open to this wine: a sulfite dose goes in as it was worked out."""
        return tuple(place for place, one in enumerate(self.answers) if one.open_to(s) and _gives(one, dose))

    def carried(self, ways: tuple[int, ...]) -> str:
        """Return what is carried for an action, by the places of the answers that are open to the wine."""
        return (self.answers[ways[0]].kit if ways else "") or self.kit

    def open_answers(self, s: Subject, dose: Dose | None = None) -> tuple[ResponseForm, ...]:
        """Return the ways to record its result that are open to this wine."""
        return tuple(self.answers[place] for place in self.ways(s, dose))


def _gives(answer: ResponseForm, dose: Dose | None) -> bool:
    stuff = dict(answer.fixed).get("material")
    return dose is None or dose.material not in SULFITES or stuff not in SULFITES or stuff == dose.material


def window(  # noqa: PLR0913 (the cells of a row, by name)
    rule: str,
    earliest: date,
    latest: date | None,
    anchor: int,
    reason: str,
    facts: tuple[Fact, ...] = (),
    *,
    formula: str = "",
    source: str = "common practice",
    dose: Dose | None = None,
    expires: date | None = None,
    task: str = "",
    urgent: bool = False,
) -> Due:
    """Make what a rule asks for; `latest` None means that one day ("N d after", "at once")."""
    because = Because(rule, reason, facts, formula, source)
    last = earliest if latest is None else max(earliest, latest)
    return Due(earliest, last, because, anchor, dose, expires, task, urgent)


def before(day: date, needs_met: date, span: timedelta) -> tuple[date, date]:
    """Return the window of "at least N before X": from the day its needs are met to X less N."""
    latest = day - span
    return (needs_met, latest) if latest > needs_met else (needs_met, needs_met)


def hours_after(on: date, minute: int | None, hours: float) -> date:
    """Return the civil day in which so many hours after a moment end; no hour is noon, midnight the next day."""
    begun = NOON if minute is None else minute
    return on + timedelta(days=int((begun + hours * 60) // (24 * 60)))
