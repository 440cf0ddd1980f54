"""What the five kinds of stability share: how a verdict is reached from evidence, steps and undoings."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.history import checks
from cellar_tui.planning import handling
from cellar_tui.planning.ground import ground
from cellar_tui.planning.plan import Because, Fact, Verdict
from cellar_tui.planning.subject import Subject


@dataclass(frozen=True, slots=True)
class Shown:
    """Evidence that shows a kind of stability; `index` is the place of what completed it."""

    facts: tuple[Fact, ...]
    reason: str
    index: int


@dataclass(frozen=True, slots=True)
class Undone:
    """Something that took the evidence away; `index` is its place in the log, `setting` the house rule it went past."""

    index: int
    event: Event
    reason: str
    setting: str = ""

    @property
    def fact(self) -> Fact:
        """The undoing as an input of an explanation."""
        return Fact("undone by", self.reason, "", (self.event.entry,), self.event.on)


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of stability.

    Attributes:
        name: yeast, bacteria, air, crystals or haze.
        undoings: what undid it, oldest first.
        shown: evidence that is newer than a place in the log, None where there is none.
        begun: the step toward it at or after a place in the log, None where there is none.
        wants: what is still missing, in a few words.
        faults: faults of a kept bottle that reopen it.
        completes: readings, tests and kinds of entry that can complete its evidence.
        rests_on: the house rules that decide it for this wine.
        until: the day until which what was shown holds, None where it holds for good, and what that day rests on.
    """

    name: str
    undoings: Callable[[Subject], Iterator[Undone]]
    shown: Callable[[Subject, int], Shown | None]
    begun: Callable[[Subject, int], Fact | None]
    wants: Callable[[Subject], str]
    faults: tuple[str, ...]
    completes: frozenset[str]
    rests_on: Callable[[Subject], Iterator[Fact]]
    until: Callable[[Subject], tuple[date | None, tuple[Fact, ...]]] = lambda s: (None, ())


def blends(s: Subject) -> Iterator[Undone]:
    """Yield the blends, which undo all five."""
    for index, event in handling.blends(s):
        yield Undone(index, event, "blended")


def _failed_bottles(s: Subject, kind: Kind) -> Iterator[Undone]:
    for evidence, check in checks(s.c, "kept_bottle"):
        if check.result == "fail" and check.fault in kind.faults:
            yield Undone(evidence.index, s.c.log[evidence.index], f"a retained bottle showed {check.fault}")


def _toppings(s: Subject, index: int) -> Undone | None:
    """Return the topping with which other wine since that place came to more than 2 %, if any."""
    total = 0.0
    for place, event in s.events(k.Topping, after=index):
        total += 100 * event.foreign
        if total > s.house.number("foreign_share"):
            return Undone(place, event, "topped with another wine", "foreign_share")
    return None


def _bulk(s: Subject) -> Subject:
    """Return the wine as it was bottled: what happens to a store afterwards is judged by its kept bottles."""
    if not s.c.store:
        return s
    bottled = s.events(k.Bottle)
    return s.as_of(bottled[-1][0]) if bottled else s


def judge(s: Subject, kind: Kind) -> Verdict:
    """Reach the verdict on one kind of stability: the first that holds of waived, shown, begun, lapsed, not yet."""
    bulk = _bulk(s)
    undone = sorted([*kind.undoings(bulk), *_failed_bottles(s, kind)], key=lambda undoing: undoing.index)
    proof, was_shown = None, False
    while True:
        last = undone[-1].index if undone else -1
        proof = kind.shown(bulk, last) or _sterile_bottling(s, kind, last)
        waived = _waiver(s, kind.name, last)
        settled = proof.index if proof is not None else None if waived is None else waived[0]
        moved = None if settled is None else _toppings(bulk, settled)
        if moved is None:
            break
        undone.append(moved)
        was_shown = True
    # At an earlier moment only the state is asked for, never why or until when.
    rules = () if s.earlier else _rules(bulk, kind)
    if waived is not None:
        return _verdict(kind, "waived", "waived", (waived[1], *rules))
    if proof is not None:
        until, more = (None, ()) if s.earlier else kind.until(bulk)
        return _verdict(kind, "shown", proof.reason, (*proof.facts, *more, *rules), None if s.c.store else until)
    step = kind.begun(bulk, last)
    if step is not None:
        return _verdict(kind, "in_progress", kind.wants(bulk), (step, *rules))
    if undone and (was_shown or _shown_before(bulk, kind, undone) or _shown_until_blend(s, kind) or s.c.store):
        gone = undone[-1]
        setting = (s.fact(gone.setting),) if gone.setting else ()
        return _verdict(kind, "lapsed", f"{gone.reason}; {kind.wants(bulk)}", (gone.fact, *setting, *rules))
    return _verdict(kind, "not_yet", kind.wants(bulk), rules)


def _rules(s: Subject, kind: Kind) -> tuple[Fact, ...]:
    """Return the house rules on which a verdict rests, whatever it is."""
    topped = any(event.foreign > 0 for _, event in s.events(k.Topping))
    return (*kind.rests_on(s), *((s.fact("foreign_share"),) if topped else ()), *ground(s))


def _verdict(kind: Kind, state: str, reason: str, facts: tuple[Fact, ...], until: date | None = None) -> Verdict:
    because = Because(kind.name, reason, tuple(dict.fromkeys(facts)))
    return Verdict(kind.name, state, because, until)  # type: ignore[arg-type]


def _waiver(s: Subject, name: str, last: int) -> tuple[int, Fact] | None:
    """Return place and reason of the newest waiver that nothing has undone."""
    for index, event in reversed(s.events(k.Waive, after=last)):
        if isinstance(event.body, k.Waive) and event.body.stability == name and index > last:
            return index, Fact("waived because", event.body.reason or "", "", (event.entry,), event.on)
    return None


def _completes(event: Event, names: frozenset[str]) -> bool:
    """Return whether an entry can complete evidence: a reading or test of these names, or an entry of such a kind."""
    body = event.body
    if isinstance(body, k.Reading):
        return not names.isdisjoint(event.values)
    return body.kind in names or (isinstance(body, k.Check) and body.test in names)


def _shown_before(s: Subject, kind: Kind, undone: list[Undone]) -> bool:
    """Return whether the evidence was complete at any moment before one of the undoings."""
    earlier = -1
    completing = s.c.places.where(("completes", kind.name), lambda event: _completes(event, kind.completes))
    for one in undone:
        # What undid it may lie in the bottle, later than the wine as it was bottled.
        for place in s.c.among(completing, earlier):
            if place < one.index and _shown_at(s.as_of(place + 1), kind, earlier):
                return True
        earlier = one.index
    return False


def _shown_at(s: Subject, kind: Kind, after: int) -> bool:
    return s.ask(("shown", kind.name, after), lambda: kind.shown(s, after)) is not None


def _shown_until_blend(s: Subject, kind: Kind) -> bool:
    """Return whether it was shown at any time in the wine that a blend made this one of."""
    before = s.before
    if before is None:
        return False
    found = before.ask(("verdict", kind.name, before.earlier), lambda: judge(before, kind))
    return found.state in ("shown", "waived", "lapsed")


def _sterile_bottling(s: Subject, kind: Kind, last: int) -> Shown | None:
    """Return the sterile filtration of the bottling, which settles yeast and bacteria."""
    if kind.name not in ("yeast", "bacteria") or not s.c.store:
        return None
    for index, event in s.events(k.Bottle, after=last):
        if isinstance(event.body, k.Bottle) and event.body.filter == "sterile":
            fact = Fact("bottled through a sterile filter", "yes", "", (event.entry,), event.on)
            return Shown((fact,), "filtered sterile at bottling", index)
    return None
