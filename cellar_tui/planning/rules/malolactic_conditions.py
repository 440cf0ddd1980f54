"""A running malolactic fermentation that is hindered: everything that stands against it, shown together.

At once under 18 C, with free SO2 over 10, total over 40, pH under 3.1 or alcohol over 14: each adds to the others. A
note of what was done, or a decision, is quiet for 14 days, a test that leaves all of it standing for a week.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta

from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.contents import Event
from cellar_tui.ledger.ferment import yeast_index
from cellar_tui.ledger.history import last_reading, readings
from cellar_tui.planning.plan import Due, Fact
from cellar_tui.planning.rules import needs
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "malolactic_conditions"
WEEK = timedelta(days=7)
"""Time in which a cellar may be warmed and bacteria show it; common practice."""
SOURCE = "Ask the AWRI; temperature and strength: source not verified"
HELP = {
    "temperature": "warm it",
    "free_so2": "stir and wait",
    "total_so2": "add no more sulfite",
    "ph": "consider a little carbonate by trial",
    "alcohol": "choose a strain for strong wine",
}
"""What helps against each hindrance, by the reading that shows it; common practice."""


def _read(s: Subject, name: str, shown: str, unit: str) -> Fact | None:
    one = last_reading(s.c, name)
    return None if one is None else Fact(shown, one.value, unit, one.entries, one.on)


def _total(s: Subject) -> Fact:
    """Return total SO2 [mg/L]: as measured or stated, and what came since; else without what crush may hold."""
    total, seen = s.total_so2, readings(s.c, "total_so2")
    if not seen and not s.c.given.stated_total:
        yeast = yeast_index(s.c)
        must = s.end_index if yeast is None else yeast
        crush = sum(event.so2 for index, event in s.added("so2") if index < must)
        total -= min(crush, s.house.number("malolactic_crush_so2"))
    return Fact("total SO2", round(total, 1), "mg/L", seen[-1].entries if seen else ())


def hindrances(s: Subject) -> dict[str, tuple[Fact, Fact]]:
    """Return what hinders bacteria at work and the house rule it goes past, by the reading that shows it."""
    if s.ml.state != "running":
        return {}
    free = None if s.free is None else needs.free_fact(s.free)
    strength = None if s.alcohol is None else Fact("strength", round(s.alcohol, 1), "% vol")
    seen = (
        ("temperature", _read(s, "temperature", "temperature", "C"), "malolactic_warm", -1),
        ("free_so2", free, "malolactic_free_most", 1),
        ("total_so2", _total(s), "malolactic_total_most", 1),
        ("ph", _read(s, "ph", "pH", "pH"), "malolactic_ph_least", -1),
        ("alcohol", strength, "malolactic_alcohol_most", 1),
    )
    return {
        name: (fact, s.fact(rule))
        for name, fact, rule, sign in seen
        if fact is not None and sign * (float(fact.value) - s.house.number(rule)) > 0
    }


def _answers(s: Subject, names: frozenset[str], after: int) -> list[tuple[int, Event]]:
    """Return the notes, the decisions on its bacteria and the readings of what hinders it, later than `after`."""
    return [event for event in s.events(k.Note, k.Decide, k.Reading, after=after) if _answers_it(event[1], names)]


def _answers_it(event: Event, names: frozenset[str]) -> bool:
    body = event.body
    if isinstance(body, k.Decide):
        return (body.about or "").startswith("malolactic")
    return isinstance(body, k.Note) or not names.isdisjoint(event.values)


def due(s: Subject) -> Iterator[Due]:
    """Yield the look at what hinders a running malolactic fermentation."""
    found = {} if s.c.store else hindrances(s)
    names = frozenset(found)
    begun = needs.came_true(s, lambda then: bool(names) and frozenset(hindrances(then)) == names)
    if begun is None:
        return
    day, facts = begun.on, [fact for pair in found.values() for fact in pair]
    facts += [s.fact("malolactic_crush_so2")] if "total_so2" in found else []
    answers = _answers(s, names, begun.index)
    read, said = (
        [answer for answer in answers if isinstance(answer[1].body, k.Reading) is seen] for seen in (True, False)
    )
    for one in read[-1:]:
        day = max(day, one[1].on + WEEK)
        facts.append(needs.moment(one).fact("last reading"))
    for one in said[-1:]:
        day = max(day, one[1].on + s.days("malolactic_quiet"))
        facts += [needs.moment(one).fact("last note or decision"), s.fact("malolactic_quiet")]
    hindered = ", ".join(f"{fact.name} {fact.value:g}" for fact, _ in found.values())
    yield window(
        ID,
        day,
        None,
        begun.entry,
        f"bacteria are hindered by {hindered}; hindrances add up",
        tuple(facts),
        source=SOURCE,
        task=f"help the bacteria: {', '.join(HELP[name] for name in found)}",
    )


def _hindered_by(name: str) -> Callable[[Subject], bool]:
    return lambda s: name in hindrances(s)


RULE = Rule(
    ID,
    "improve MLF conditions",
    (
        "Bacteria need 18 C or more, pH over 3.1, little SO2 and at most 14 % alcohol. Several marginal "
        "conditions add up."
    ),
    due,
    (
        *(ResponseForm("reading", (name,), (), _hindered_by(name)) for name in HELP),
        ResponseForm("note", ("text",)),
    ),
    kit="thermometer",
    source=SOURCE,
)
