"""What a release looks at beside the five verdicts: legal sums, words for the label, the final SO2."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from cellar_tui.enology import legal
from cellar_tui.enology.bottling import bottle_count
from cellar_tui.enology.sorbate import SORBIC_SHARE, sorbic_acid
from cellar_tui.ledger import kinds as k
from cellar_tui.ledger.entry import Entry
from cellar_tui.ledger.history import last_reading
from cellar_tui.planning import handling, so2, sulfur
from cellar_tui.planning.plan import Because, Fact
from cellar_tui.planning.rules import final_so2, needs
from cellar_tui.planning.rules.bottle import ACETIC
from cellar_tui.planning.subject import Subject

ALLERGENS = {
    "isinglass": "fish",
    "gelatin": "animal",
    "lysozyme": "egg",
    "albumin": "egg",
    "egg": "egg",
    "casein": "milk",
    "caseinate": "milk",
    "milk": "milk",
    "whey": "milk",
}
"""Finings, also a cellar's own by a word of their name, and what they are made from; common practice."""
ALLERGEN_SOURCE = (
    "Reg. (EU) 1169/2011, Annex II: egg, milk, fish; isinglass in wine is exempt there (source not verified)"
)


SIZES = (375, 500, 750, 1000, 1500)
"""Sizes of bottle [mL]; common practice."""
LOST = 3.0
"""Share of the wine left in filter and hoses [%]; common practice, 2 to 3."""


@dataclass(frozen=True, slots=True)
class Sum:
    """One legal sum: what it is, its value and limit in `unit`, whether it is met, and its working."""

    name: str
    value: float
    limit: float
    unit: str
    met: bool
    because: Because


@dataclass(frozen=True, slots=True)
class Word:
    """A word for the label, or a remark on one, with what it rests on."""

    text: str
    because: Because


def _sum(s: Subject, name: str, value: float, limit: legal.Limit, facts: Iterable[Fact], formula: str) -> Sum:
    most = limit.value * (ACETIC if limit.unit == "meq/L" else 1.0)
    unit = "g/L" if limit.unit == "meq/L" else limit.unit
    where = (Fact("limit", round(most, 2), unit), Fact("for", limit.wine), s.fact("jurisdiction"))
    source = f"{limit.source}; local law in its present form decides"
    because = Because(name, f"{name} against the law chosen", (*facts, *where), formula, source)
    return Sum(name, value, most, unit, value <= most, because)


def legal_sums(s: Subject) -> Iterator[Sum]:
    """Yield total SO2, sorbic acid and volatile acidity (where it was read) against the limits of the jurisdiction."""
    where, colour = s.house.word("jurisdiction"), s.intents.colour
    # Limits that rise with sugar count only what is surely there.
    sugar = s.sugar_held.low
    read = last_reading(s.c, "total_so2")
    entries = tuple(event.entry for index, event in sulfur.sulfites(s) if read is None or index > read.index)
    facts = [Fact("total SO2", round(s.total_so2, 1), "mg/L", entries), Fact("sugar", round(sugar, 1), "g/L")]
    if read is not None:
        facts.insert(0, Fact("last total SO2 tested", read.value, "mg/L", read.entries, read.on))
    yield _sum(
        s,
        "total SO2",
        s.total_so2,
        so2.limit_at(s, sugar),
        facts,
        "last reading, else the yeast's own, and every addition since",
    )
    acid = sorbic_acid(s.sorbate)
    added = tuple(event.entry for _, event in s.added("sorbate"))
    yield _sum(
        s,
        "sorbic acid",
        acid,
        legal.find(where, "sorbic_acid", colour),
        [Fact("potassium sorbate", round(s.sorbate, 1), "mg/L", added)],
        f"potassium sorbate x {SORBIC_SHARE}",
    )
    sour = last_reading(s.c, "va")
    if sour is not None:
        yield _sum(
            s,
            "VA",
            sour.value,
            legal.find(where, "va", colour),
            [Fact("last VA tested", sour.value, "g/L", sour.entries, sour.on)],
            "as tested",
        )


def _sulfites(s: Subject) -> Word:
    where = s.house.word("jurisdiction")
    limit = legal.find(where, "label_threshold", "any")
    declared = legal.must_declare(where, s.total_so2)
    words = "contains sulfites" if declared else "no word on sulfites: the total is under the threshold"
    facts = (
        Fact("total SO2", round(s.total_so2, 1), "mg/L"),
        Fact("threshold", limit.value, limit.unit),
        s.fact("jurisdiction"),
    )
    reason = "from the threshold on, sulfites are named on the label"
    return Word(words, Because("label", reason, facts, "", limit.source))


def _joined(s: Subject) -> bool:
    """Return whether wine of another filling came into it."""
    poured = any(isinstance(e.body, k.Topping) and e.body.source is not None for e in s.c.log)
    return poured or bool(handling.blends(s))


def label_words(s: Subject, entries: Iterable[Entry]) -> Iterator[Word]:
    """Yield the words for the label: sulfites, and each fining from egg, milk, fish or other animals.

    `entries` are those of all wines that can have come into this one: what was poured in may bring a fining with it.
    """
    yield _sulfites(s)
    own = {event.entry for event in s.c.log}
    for entry in entries:
        body = entry.body
        if not isinstance(body, k.Addition) or not (entry.root in own or _joined(s)):
            continue
        made = {
            ALLERGENS[word] for word in (body.material or "").casefold().replace("_", " ").split() if word in ALLERGENS
        }
        for origin in sorted(made):
            stuff = (body.material or "").replace("_", " ")
            doubt = "" if entry.root in own else " (into a wine that was joined with others: did it come in here?)"
            fact = Fact(stuff, origin, "", (entry.root,), entry.on)
            because = Because("label", f"a fining of {origin} was used", (fact,), "", ALLERGEN_SOURCE)
            yield Word(f"{origin}: fined with {stuff}{doubt}", because)


def waivers(s: Subject, entries: Iterable[Entry]) -> Iterator[Word]:
    """Yield what was let pass by a written reason: verdicts waived, and entries that went past a stop."""
    for _, event in s.events(k.Waive):
        if isinstance(event.body, k.Waive):
            said = f"{event.body.stability} waived: {event.body.reason}"
            fact = Fact("waived", event.body.reason or "", "", (event.entry,), event.on)
            yield Word(said, Because("waive", said, (fact,), "", "the entry itself"))
    own = {event.entry for event in s.c.log}
    for entry in entries:
        if entry.waived and entry.root in own:
            fact = Fact("reason", entry.waived, "", (entry.root,), entry.on)
            because = Because("waive", "a stop was passed by a written reason", (fact,), "", "the entry itself")
            yield Word(f"entry {entry.root} passed a stop: {entry.waived}", because)


def final_state(s: Subject) -> Word:
    """Return how the final SO2 stands: closed by a reading, open, or waiting for the other four kinds."""
    goal, target = final_so2.goal(s), so2.target(s)
    facts = (*target.facts, s.fact("final_extra"), s.fact("final_reading_age"))
    shut, begun = final_so2.closed(s), final_so2.opened(s)
    if shut is not None:
        said = f"closed: {shut.value:.0f} mg/L free, target {target.free:.0f}"
        facts = (needs.free_fact(shut), *facts)
    elif begun is not None:
        said = f"open: free SO2 to {goal:.0f} mg/L, then a reading 2 to 3 d later"
        facts = (begun[1].fact("everything else settled"), *facts)
    else:
        said = f"waits for the other four and the target date; it will aim at {goal:.0f} mg/L free"
        facts = (needs.wish(s), *facts)
    return Word(said, Because("final_so2", said, facts, "target + what filling takes"))


def bottled(volume: float, size: float) -> tuple[int, int]:
    """Return how many bottles [mL] a volume [L] fills, and how many where some is left in filter and hoses."""
    return bottle_count(volume, size), bottle_count(volume, size, LOST)
