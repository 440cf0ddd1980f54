"""A must too weak to keep, or too strong to ferment out, is corrected before its yeast: sugar, or water.

Sugar is dissolved in part of the must and its growth of volume counted; the law of the place says how much may go in.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from cellar_tui.enology import alcohol, must
from cellar_tui.ledger.ferment import must_entry, potential_alcohol
from cellar_tui.ledger.history import last_reading, thinned
from cellar_tui.planning.plan import Because, Dose, Due, Fact
from cellar_tui.planning.rules import cautions, needs, running
from cellar_tui.planning.rules.base import ResponseForm, Rule, window
from cellar_tui.planning.subject import Subject

ID = "must_sugar"
SOURCE = "mass balance; limits: Reg. (EU) 1308/2013, Annex VIII, text of 2013 (source not verified), and 26 USC 5383"
NEAR = 0.1
"""Difference of potential strength under which a must is let be [% vol]; common practice: solids vary by more."""
LAW = "Check your own law first: sugar or water in the must is limited, dated and in places forbidden."


@dataclass(frozen=True, slots=True)
class Strength:
    """The potential strength of a must [% vol] and the bounds it should lie between."""

    now: float
    least: float
    most: float

    @property
    def weak(self) -> bool:
        """Sugar is wanted."""
        return self.now < self.least - NEAR

    @property
    def strong(self) -> bool:
        """Water is the way, or a yeast that bears it."""
        return self.now > self.most + NEAR


def strength(s: Subject) -> Strength | None:
    """Return how strong a must would become; None where it is no must, not known, or spirit decides its strength."""
    if not running.must(s) or s.intents.finish == "fortified":
        return None
    now = potential_alcohol(s.c)
    if now is None:
        return None
    # A ferment that is stopped by cold leaves sugar: a rich must is what it is made from.
    most = 99.0 if s.intents.finish == "arrested" else s.house.number("strong_must")
    return Strength(now, s.house.number("must_alcohol_least"), most)


def _weak(s: Subject) -> bool:
    found = strength(s)
    return found is not None and found.weak


def _strong(s: Subject) -> bool:
    found = strength(s)
    return found is not None and found.strong


def _fact(s: Subject, found: Strength) -> Fact:
    return Fact("potential alcohol", round(found.now, 2), "% vol", (must_entry(s.c),))


def _sugar(s: Subject, found: Strength) -> Dose:
    """Return the sugar that lifts a must to the least strength, and in the note the most that may go in."""
    added = s.house.number("enrichment_most")
    wanted = min(found.least, found.now + added)
    factor = alcohol.SUGAR_PER_ALCOHOL
    grams, most = (must.sugar_for_alcohol(s.volume, found.now, goal, factor) for goal in (wanted, found.now + added))
    note = f"to {wanted:.1f} % vol; at most {most:.0f} g for +{added:g} % vol; dissolve it in must, stir, test gravity"
    facts = (_fact(s, found), Fact("volume", round(s.volume, 2), "L"), s.fact("must_alcohol_least"))
    rules = (*facts, s.fact("enrichment_most"))
    because = Because(ID, note, rules, "V (A1 - A0) / (1 / 16.83 - 0.00062 A1), growth of volume counted", SOURCE)
    return Dose("sugar", grams, "g", note, because)


def _water(s: Subject, found: Strength) -> Dose:
    litres = s.volume * (found.now / found.most - 1)
    ta = last_reading(s.c, "ta")
    left = None if ta is None else ta.value * thinned(s.c, ta.index) * s.volume / (s.volume + litres)
    acid = "test TA first: acid thins alike" if left is None else f"TA falls to {left:.1f} g/L"
    most = min(litres, must.most_amelioration(s.volume))
    note = f"to {found.most:g} % vol; {acid}; forbidden in the EU, at most 35 % of the whole in the US"
    facts = (_fact(s, found), Fact("volume", round(s.volume, 2), "L"), s.fact("strong_must"))
    return Dose("water", most, "L", note, Because(ID, note, facts, "V (A0 / A1 - 1)", SOURCE))


def due(s: Subject) -> Iterator[Due]:
    """Yield the sugar of a weak must, or the water of a strong one."""
    found = strength(s)
    if found is None or not (found.weak or found.strong):
        return
    since = needs.came_true(s, _weak if found.weak else _strong) or running.start(s)
    if found.weak:
        reason = f"{found.now:.1f} % vol to come: a wine this weak keeps badly"
        dose, rule, task = _sugar(s, found), "must_alcohol_least", "add sugar to the must, in two parts"
    else:
        reason = f"{found.now:.1f} % vol to come: few yeasts finish this"
        dose, rule, task = _water(s, found), "strong_must", "thin the must, or skip and pitch a strong yeast"
    facts = (_fact(s, found), s.fact(rule))
    yield window(ID, since.on, None, since.entry, reason, facts, source=SOURCE, dose=dose, task=task)


RULE = Rule(
    ID,
    "correct the sugar of the must",
    (
        "Under 10 % potential alcohol a wine keeps badly, over 16 % few yeasts finish. Sugar early, in parts; "
        "the law of the place limits both."
    ),
    due,
    (
        ResponseForm("addition", ("amount",), (("material", "sugar"),), _weak),
        ResponseForm("addition", ("amount",), (("material", "water"),), _strong),
    ),
    kit="scales",
    cautions=(LAW, cautions.AIRLOCK),
    source=SOURCE,
)
