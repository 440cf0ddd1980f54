"""Malic acid is followed while bacteria work, and looked for where they are unwanted but may live.

Running: 14 days after the start, then every 10 days, every 21 in the cold. Prevented or open, under 18 %, pH over 3.5
or unknown: within 3 days of the first sulfite and 30 days after it. Decided to stop it: 14 and 28 days after.
"""

from __future__ import annotations

from collections.abc import Iterator

from cellar_tui.ledger.history import Evidence, checks, decisions, last_reading, readings
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import malolactic_start, needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.spirit import by_spirit
from cellar_tui.planning.subject import Subject
from cellar_tui.planning.verdicts.bacteria import first_sulfite
from cellar_tui.planning.verdicts.table import settled

ID = "malolactic_check"


def looks(s: Subject, after: int = -1) -> list[Evidence]:
    """Return the malic readings and chromatograms later than `after`, oldest first."""
    found = readings(s.c, "malic", after) + [one for one, _ in checks(s.c, "chromatogram", after=after)]
    return sorted(found, key=lambda one: one.index)


def _running(s: Subject) -> Iterator[Due]:
    if s.ml.state not in ("running", "unknown") or s.ml.started is None:
        return
    started, warmth = s.ml.started, last_reading(s.c, "temperature")
    # A look on the day of the start is the one beside it, not the first of those that follow.
    seen = [needs.seen(look) for look in looks(s) if look.on > started]
    seen += [needs.moment(skip) for skip in s.skips(ID) if skip[1].on > started]
    begun = Fact("malolactic started", started.isoformat(), "", s.ml.entries, started)
    if not seen:
        name = "malolactic_first_days"
        yield window(
            ID,
            started + s.days(name),
            None,
            s.ml.entries[0],
            "the first look at a running one",
            (begun, s.fact(name)),
            formula=f"start + {s.house.days(name)} d",
        )
        return
    last = needs.last_of(*seen)
    cold = warmth is not None and warmth.value < s.house.number("malolactic_cold")
    name = "malolactic_days_cold" if cold else "malolactic_days"
    facts = [begun, last.fact("last look"), s.fact(name)]
    if warmth is not None:
        facts += (Fact("temperature", warmth.value, "C", warmth.entries, warmth.on), s.fact("malolactic_cold"))
    yield window(
        ID,
        last.on + s.days(name),
        None,
        last.entry,
        "malic acid is followed until it is gone",
        tuple(facts),
        formula="last look + interval",
    )


def _beside_start(s: Subject) -> Iterator[Due]:
    """Yield the malic reading beside the start: it may be through already."""
    for begin in malolactic_start.due(s):
        if s.end is None or any(look.on >= (s.end.steady_from or s.c.started) for look in looks(s)):
            return
        yield window(
            ID,
            begin.earliest,
            begin.latest,
            begin.anchor,
            "it may be through already: look before the culture goes in",
            begin.because.facts,
        )
        return


def _unwanted(s: Subject) -> Iterator[Due]:
    # Malic acid once tested, sulfite alone no longer shows the wine safe: the tests must be carried through.
    # A fault that was smelt or gas does the same.
    open_still = not settled(s, "bacteria")
    faulty = [one for one, said in checks(s.c, "gas", "smell", after=s.end_index) if said.result == "fail"]
    tested = open_still and bool(looks(s) or faulty)
    doubtful = s.ph is None or s.ph.value > s.house.number("malolactic_ph") or tested
    wanted = doubtful and not s.intents.encouraged and by_spirit(s) is None
    first = needs.came_true(s, needs.sulfited) if wanted else None
    if first is None:
        return
    acid = Fact("pH", "not known") if s.ph is None else Fact("pH", s.ph.value, "pH", s.ph.entries, s.ph.on)
    facts = (first.fact("first sulfite"), acid, s.fact("malolactic_ph"), *needs.behind(s, "bacteria"))
    around, again = s.days("malolactic_look_days"), s.days("malolactic_look_again")
    seen = [look for look in looks(s) if look.on >= first.on - around]
    reason = "bacteria may live although they are not wanted"
    if not seen:
        yield window(ID, first.on, first.on + around, first.entry, reason, (*facts, s.fact("malolactic_look_days")))
        return
    # The second look counts for the verdict once it lies 14 d after both the sulfite and the first look.
    second = max(first.on, first_sulfite(s), seen[0].on) + s.days("malic_apart")
    if any(one.on >= second for one in seen):
        return
    day = max(first.on + again, second)
    yield window(
        ID,
        day,
        None,
        seen[0].entry,
        f"{reason}: a second look shows whether malic acid stays",
        (*facts, s.fact("malolactic_look_again"), s.fact("malic_apart")),
        formula=f"first sulfite + {again.days} d",
    )


def _stopped(s: Subject) -> Iterator[Due]:
    for index, event in decisions(s.c, "malolactic_unwanted", "stop")[-1:]:
        names = ("malolactic_stop_first", "malolactic_stop_second")
        marks = tuple(s.house.days(name) for name in names)
        met = needs.marks_met(looks(s, index), event.on, marks)
        if len(met) < len(marks):
            fact = Fact("decided to stop it", event.on.isoformat(), "", (event.entry,), event.on)
            yield window(
                ID,
                needs.next_mark(event.on, met, marks),
                None,
                met[-1].entry if met else event.entry,
                "whether it has stopped",
                (fact, s.fact(names[len(met)])),
                formula="decision + days",
            )


def due(s: Subject) -> Iterator[Due]:
    """Yield the looks at malic acid that the wine asks for."""
    if s.c.store or s.ml.state == "done":
        return
    yield from _running(s)
    yield from _beside_start(s)
    if s.ml.state != "running":
        yield from _unwanted(s)
        yield from _stopped(s)


RULE = Rule(
    ID,
    "test malic acid",
    "MLF is complete below 0.2 g/L malic acid, or after two chromatograms 10 days apart with no malic spot.",
    due,
    (
        ResponseForm("reading", ("malic",)),
        ResponseForm("check", ("result", "fault"), (("test", "chromatogram"),)),
    ),
    kit="malic test",
    cautions=("A faint spot is no pass. Running solvent is flammable and its vapour harms: open air, no flame.",),
)
